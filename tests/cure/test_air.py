"""Dew point, vapour pressure and deficit against psychrolib (ASHRAE Fundamentals 2017, ch. 1) and tables."""

from __future__ import annotations

import math

import numpy as np
import psychrolib
import pytest

from finishing.cure.air import (
    air,
    dew_point_c,
    saturation_kpa,
    vapour_pressure_deficit_kpa,
    wood_moisture_pct,
)
from finishing.errors import BadInput

psychrolib.SetUnitSystem(psychrolib.SI)


def test_saturation_pressure() -> None:
    # The Magnus form's constants differ from ASHRAE's fit by up to 0.35 %, which is 0.05 K of dew point.
    for t in np.arange(0.0, 45.1, 1.5):
        assert float(saturation_kpa(t)) == pytest.approx(psychrolib.GetSatVapPres(float(t)) / 1000, rel=4e-3)


def test_dew_point_over_a_grid() -> None:
    checked = 0
    for t in np.arange(0.0, 40.1, 2.5):
        for rh in np.arange(20.0, 100.1, 5.0):
            # Below 0 °C psychrolib gives the frost point, over ice; ours is over water by its docstring.
            theirs = psychrolib.GetTDewPointFromRelHum(float(t), float(rh) / 100)
            if theirs >= 0.0:
                assert float(dew_point_c(t, rh)) == pytest.approx(theirs, abs=0.1)
                checked += 1
    assert checked > 150


def test_dew_point_where_its_ends_are() -> None:
    assert float(dew_point_c(20.0, 100.0)) == pytest.approx(20.0, abs=1e-9)
    assert dew_point_c(20.0, 0.0) == -math.inf


def test_dew_point_over_water_below_freezing() -> None:
    # Magnus over water, worked by hand: 5 °C and 50 % RH give -4.58 °C (over ice it would be -4.03 °C).
    assert float(dew_point_c(5.0, 50.0)) == pytest.approx(-4.58, abs=0.01)


def test_deficit_is_saturation_less_vapour() -> None:
    for t in (5.0, 12.0, 21.0, 30.0):
        for rh in (0.0, 35.0, 60.0, 90.0, 100.0):
            missing = psychrolib.GetSatVapPres(t) - psychrolib.GetVapPresFromRelHum(t, rh / 100)
            assert float(vapour_pressure_deficit_kpa(t, rh)) == pytest.approx(missing / 1000, rel=4e-3, abs=1e-9)


def test_arrays_give_what_scalars_give() -> None:
    t, rh = np.array([5.0, 20.0, 30.0]), np.array([80.0, 50.0, 30.0])
    for law in (dew_point_c, vapour_pressure_deficit_kpa, wood_moisture_pct):
        np.testing.assert_array_equal(law(t, rh), [law(a, b) for a, b in zip(t, rh, strict=True)])


# Simpson's equation (Wood Handbook eq. 4-5) worked at 20 °C, and the rule of thumb 30 -> 6, 50 -> 9, 65 -> 12, 80 -> 16
# (common practice, no source).
@pytest.mark.parametrize(("rh", "worked", "thumb"), [(30, 6.19, 6), (50, 9.27, 9), (65, 12.00, 12), (80, 16.04, 16)])
def test_wood_moisture_at_twenty_degrees(rh: float, worked: float, thumb: float) -> None:
    assert float(wood_moisture_pct(20.0, rh)) == pytest.approx(worked, abs=0.005)
    assert float(wood_moisture_pct(20.0, rh)) == pytest.approx(thumb, abs=0.5)


def test_wood_moisture_hot_and_damp_shows_the_right_exponent() -> None:
    # A slip of the exponent in the last constant of K (2.73e-7 for e-6) hides at 20 °C; here it would give 14.48.
    assert float(wood_moisture_pct(50.0, 80.0)) == pytest.approx(14.28, abs=0.005)


def test_three_degrees_above_the_dew_point() -> None:
    # 20 °C and 70 %: dew point 14.37 °C (psychrolib), so a surface must be at 17.37 °C or more; UFC 3-190-06, 9.6.6
    # asks 5 °F (2.8 °C), common practice 3 °C.
    assert not any("dew point" in w for w in air(20.0, 70.0, surface_c=17.4).warnings)
    assert any("dew point" in w for w in air(20.0, 70.0, surface_c=17.3).warnings)
    # At 20 °C and 85 % a thing at the air's own temperature has only 2.6 K.
    assert any("2.6 °C above the dew point" in w for w in air(20.0, 85.0).warnings)


@pytest.mark.parametrize(
    ("t", "rh", "word"),
    [(20.0, 86.0, "85 %"), (9.0, 50.0, "10 °C"), (33.0, 40.0, "32 °C"), (20.0, 70.0, "8-10 %"), (20.0, 20.0, "swell")],
)
def test_air_outside_what_finishing_wants_is_said(t: float, rh: float, word: str) -> None:
    assert any(word in w for w in air(t, rh).warnings)


def test_good_air_is_not_spoken_against() -> None:
    # The Army's paint shop: 75 to 80 °F and 45 to 50 % RH (TM 43-0139, 3-8d).
    assert air(25.0, 47.0).warnings == ()


@pytest.mark.parametrize(
    ("t", "rh", "surface", "field"),
    [
        (math.nan, 50.0, None, "temperature"),
        (61.0, 50.0, None, "temperature"),
        (20.0, -0.1, None, "humidity"),
        (20.0, math.nan, None, "humidity"),
        (20.0, math.inf, None, "humidity"),
        (20.0, 50.0, -41.0, "surface"),
    ],
)
def test_air_out_of_range_is_refused(t: float, rh: float, surface: float | None, field: str) -> None:
    with pytest.raises(BadInput) as refused:
        air(t, rh, surface_c=surface)
    assert refused.value.field == field
