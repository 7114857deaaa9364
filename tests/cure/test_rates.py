"""Rate laws against textbook and trade figures."""

from __future__ import annotations

import math

import numpy as np
import psychrolib
import pytest

from finishing.cure.rates import TOO_COLD, TOO_DAMP, TOO_DRY, RateLaw, arrhenius, humidity_factor, rate, standstill
from finishing.cure.terms import ClockName, HumidityLaw

from .factory import ALL_FINISHES, law, moisture_cure, waterborne

psychrolib.SetUnitSystem(psychrolib.SI)


def relative(ea: float, t: float, reference: float) -> float:
    return float(arrhenius(t, ea, reference))


def test_openstax_worked_example() -> None:
    # OpenStax Chemistry 12.5, Example 12.13 (HI): k 3.52e-7 at 555 K and 3.95e-2 at 781 K, published Ea 180 kJ/mol.
    # The book rounds 1/T to three figures, so only its two figures are held to; 185 is what the unrounded pair gives.
    ea = 8.314462618e-3 * math.log(3.95e-2 / 3.52e-7) / (1 / 555 - 1 / 781)
    assert ea == pytest.approx(180, abs=10)
    assert relative(ea, 781 - 273.15, 555 - 273.15) == pytest.approx(3.95e-2 / 3.52e-7, rel=1e-9)
    assert relative(180.0, 781 - 273.15, 555 - 273.15) == pytest.approx(3.95e-2 / 3.52e-7, rel=0.5)


def test_openstax_check_your_learning() -> None:
    # The same section: 1.66 at 650 K and 7.39 at 700 K, published 110 kJ/mol (113 unrounded).
    assert relative(110.0, 700 - 273.15, 650 - 273.15) == pytest.approx(7.39 / 1.66, rel=0.05)
    assert relative(113.0, 700 - 273.15, 650 - 273.15) == pytest.approx(7.39 / 1.66, rel=0.002)


# Q10 of an Ea over 10-20, 15-25 and 20-30 °C, the Arrhenius equation worked by hand.
@pytest.mark.parametrize(
    ("ea", "q10"),
    [
        (40.0, (1.785, 1.751, 1.718)),
        (50.0, (2.064, 2.014, 1.967)),
        (60.0, (2.386, 2.316, 2.253)),
        (80.0, (3.188, 3.065, 2.953)),
    ],
)
def test_q10(ea: float, q10: tuple[float, float, float]) -> None:
    for low, expected in zip((10.0, 15.0, 20.0), q10, strict=True):
        assert relative(ea, low + 10, low) == pytest.approx(expected, abs=1e-3)


def test_doubling_per_ten_degrees_is_about_fifty_kilojoules() -> None:
    # "+10 °C halves the time" is common practice, no source; it and 50 kJ/mol are the same rule near room temperature.
    for ea, low in ((47.8, 10.0), (49.5, 15.0), (51.2, 20.0)):
        assert relative(ea, low + 10, low) == pytest.approx(2.0, abs=0.003)


# Relative to 20 °C: Ea down, °C across; and Ea 50 relative to 21 °C. The equation worked by hand.
WARMTH = (5, 10, 15, 20, 23, 25, 30, 35)
TO_20 = {
    40: (0.413, 0.560, 0.752, 1, 1.181, 1.317, 1.718, 2.223),
    50: (0.331, 0.485, 0.701, 1, 1.231, 1.411, 1.967, 2.714),
    66: (0.232, 0.384, 0.625, 1, 1.316, 1.575, 2.443, 3.736),
    80: (0.170, 0.314, 0.566, 1, 1.394, 1.734, 2.953, 4.942),
}


@pytest.mark.parametrize("ea", TO_20)
def test_rate_against_twenty_degrees(ea: int) -> None:
    np.testing.assert_allclose(arrhenius(np.array(WARMTH, float), ea, 20.0), TO_20[ea], atol=6e-4)


# Waterborne drying time against 23 °C and 50 % RH, film at the air's temperature: time is inversely as
# (1 - RH) * psat(T), Magnus. Computed from that equation; printed to two decimals.
DAMP = (30, 40, 50, 60, 70, 80, 85)
WATERBORNE = {
    12: (1.43, 1.67, 2.00, 2.50, 3.34, 5.00, 6.67),
    15: (1.18, 1.37, 1.65, 2.06, 2.74, 4.12, 5.49),
    18: (0.97, 1.13, 1.36, 1.70, 2.27, 3.40, 4.54),
    20: (0.86, 1.00, 1.20, 1.50, 2.00, 3.00, 4.00),
    23: (0.71, 0.83, 1.00, 1.25, 1.67, 2.50, 3.33),
    26: (0.60, 0.70, 0.84, 1.04, 1.39, 2.09, 2.79),
    30: (0.47, 0.55, 0.66, 0.83, 1.10, 1.65, 2.21),
}


def deficit_law(reference: float) -> RateLaw:
    return law(44.0, reference, humidity=HumidityLaw.WATER_LEAVES)


@pytest.mark.parametrize("t", WATERBORNE)
def test_waterborne_drying_time_follows_the_deficit(t: int) -> None:
    times = 1 / rate(deficit_law(23.0), np.full(7, float(t)), np.array(DAMP, float))
    np.testing.assert_allclose(times, WATERBORNE[t], rtol=0.015, atol=0.005)


def test_latent_heat_stands_in_for_saturation_pressure() -> None:
    # 44 kJ/mol (latent heat of water at 25 °C) against psychrolib's saturation pressure (ASHRAE Fundamentals 2017,
    # ch. 1, eq. 6), 10 to 30 °C, from a reference of 21 °C.
    for t in range(10, 31):
        pressure = psychrolib.GetSatVapPres(float(t)) / psychrolib.GetSatVapPres(21.0)
        assert relative(44.0, float(t), 21.0) == pytest.approx(pressure, rel=0.0075)


def test_oxidation_is_slowed_by_damp_air_as_stated() -> None:
    # An estimate, no published figure: x1.16 on the time at 65 %, x1.35 at 80 %, nothing below 50 %, held from 85 %.
    slow = law(humidity=HumidityLaw.SLOWS_OXIDATION)
    asked = np.array([10.0, 50.0, 65.0, 80.0, 85.0, 100.0])
    times = 1 / humidity_factor(slow, np.full(6, 21.0), asked)
    np.testing.assert_allclose(times, [1, 1, 1.16, 1.35, 1.419, 1.419], atol=5e-3)


@pytest.mark.parametrize("reference_pct", [30.0, 50.0, 65.0, 90.0])
@pytest.mark.parametrize("humidity", list(HumidityLaw))
def test_every_law_is_one_at_its_reference(humidity: HumidityLaw, reference_pct: float) -> None:
    here = law(50.0, 21.0, humidity=humidity, reference_pct=reference_pct)
    assert float(rate(here, np.array([21.0]), np.array([reference_pct]))[0]) == pytest.approx(1.0, rel=1e-12)


def test_moisture_cure_goes_with_absolute_humidity() -> None:
    # Rate as the vapour pressure (from memory): psychrolib's at 25 °C/60 % against 21 °C/50 %, times Arrhenius.
    here = law(50.0, 21.0, humidity=HumidityLaw.NEEDS_WATER)
    vapour = psychrolib.GetVapPresFromRelHum(25.0, 0.6) / psychrolib.GetVapPresFromRelHum(21.0, 0.5)
    assert float(rate(here, np.array([25.0]), np.array([60.0]))[0]) == pytest.approx(
        vapour * relative(50.0, 25.0, 21.0), rel=1e-3
    )


def test_fastest_rate_and_cap_hold() -> None:
    flash = RateLaw.of(waterborne(), ClockName.FLASH)
    assert float(rate(flash, np.array([34.0]), np.array([10.0]))[0]) == pytest.approx(1 / 0.7)
    hot = law(50.0, 21.0, cap=35.0)
    assert rate(hot, np.array([35.0]), np.array([50.0])) == rate(hot, np.array([55.0]), np.array([50.0]))


def test_stops_are_the_finishes_own() -> None:
    flash = RateLaw.of(waterborne(), ClockName.FLASH)
    t, rh = np.array([9.9, 10.0, 20.0, 20.0]), np.array([50.0, 50.0, 85.0, 85.1])
    assert standstill(flash, t, rh).tolist() == [TOO_COLD, 0, 0, TOO_DAMP]
    cure = RateLaw.of(moisture_cure(), ClockName.CURE)
    assert standstill(cure, np.array([4.0, 20.0, 20.0]), np.array([29.9, 29.9, 30.0])).tolist() == [5, TOO_DRY, 0]


@pytest.mark.parametrize("make", ALL_FINISHES)
def test_each_finish_runs_at_one_in_its_reference_air(make) -> None:  # type: ignore[no-untyped-def]
    finish = make()
    t, rh = np.array([finish.reference.temperature_c]), np.array([finish.reference.humidity_pct])
    for name in ClockName:
        assert float(rate(RateLaw.of(finish, name), t, rh)[0]) == pytest.approx(1.0)
