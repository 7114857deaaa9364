"""A batch that moves between places takes its equivalent time along: against sums by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from finishing.cure.climate import PlaceAir, steady
from finishing.cure.terms import ClockName
from finishing.cure.track import Track

from .factory import series, varnish
from .test_equivalent_age import relative

COLD, WARM = steady(8.0, 50.0, 0.0), steady(26.0, 50.0, 0.0)
CURE, FLASH = ClockName.CURE, ClockName.FLASH
SLOW, QUICK = relative(8.0, 50.0, 21.0), relative(26.0, 50.0, 21.0)


def moved() -> Track:
    """In the cold, from hour 10 in the warm cabinet, from hour 14 in the cold again."""
    return Track([(-math.inf, COLD)]).moved(10.0, WARM).moved(14.0, COLD)


def test_gathered_is_the_sum_over_the_places() -> None:
    track = moved()
    assert track.gathered(varnish(), CURE, 4.0, 20.0) == pytest.approx(6 * SLOW + 4 * QUICK + 6 * SLOW)
    assert track.gathered(varnish(), CURE, 11.0, 13.0) == pytest.approx(2 * QUICK)
    assert track.gathered(varnish(), FLASH, 9.0, 11.0) == pytest.approx(
        relative(8.0, 40.0, 21.0) + relative(26.0, 40.0, 21.0)
    )
    assert track.gathered(varnish(), CURE, 20.0, 20.0) == 0.0
    assert track.gathered(varnish(), CURE, 20.0, 12.0) == 0.0


def test_reached_is_the_hour_worked_by_hand() -> None:
    wanted = np.array([3 * SLOW, 6 * SLOW + 1 * QUICK, 6 * SLOW + 4 * QUICK + 5 * SLOW])
    np.testing.assert_allclose(moved().reached(varnish(), CURE, 4.0, wanted), [7.0, 11.0, 19.0], rtol=1e-12)


def test_never_in_air_too_cold_to_harden() -> None:
    track = Track([(-math.inf, WARM)]).moved(10.0, steady(2.0, 50.0, 0.0))
    reached = track.reached(varnish(), CURE, 8.0, np.array([1.0, 2 * QUICK, 3.0 * QUICK]))
    assert reached[0] == pytest.approx(8 + 1 / QUICK)
    assert reached[1] == pytest.approx(10.0)
    assert math.isinf(reached[2])


def test_air_is_that_of_the_place_at_the_time() -> None:
    track = moved()
    assert [track.air_at(h)[0] for h in (-5.0, 9.99, 10.0, 13.9, 14.0, 500.0)] == [8.0, 8.0, 26.0, 26.0, 8.0, 8.0]
    assert track.place_at(12.0) is WARM


def test_two_moves_at_one_hour_leave_the_later() -> None:
    track = Track([(-math.inf, COLD)]).moved(10.0, WARM).moved(10.0, COLD)
    assert track.gathered(varnish(), CURE, 9.0, 12.0) == pytest.approx(3 * SLOW)


def test_the_first_place_serves_all_time_before_it() -> None:
    track = Track([(10.0, WARM), (14.0, COLD)])
    assert track.gathered(varnish(), CURE, 4.0, 16.0) == pytest.approx(10 * QUICK + 2 * SLOW)
    assert track.air_at(4.0)[0] == 26.0


def test_a_track_needs_a_place() -> None:
    with pytest.raises(ValueError, match="at least one place"):
        Track([])


def wavy() -> PlaceAir:
    hours = np.arange(0, 240.1, 0.5)
    return PlaceAir(series(hours, 12 + 9 * np.sin(2 * np.pi * hours / 24), 55 + 20 * np.cos(2 * np.pi * hours / 24)))


AIR = wavy()
hours_ = st.floats(0.0, 400.0)


@given(hours_, st.floats(0.01, 120.0), st.lists(hours_, max_size=4))
def test_the_same_air_in_several_legs_is_the_same_air(start: float, wanted: float, cuts: list[float]) -> None:
    whole, legs = Track([(-math.inf, AIR)]), Track([(-math.inf, AIR)])
    for cut in sorted(cuts):
        legs = legs.moved(cut, AIR)
    for clock in ClockName:
        one = whole.reached(varnish(), clock, start, np.array([wanted, wanted / 3]))
        np.testing.assert_allclose(
            legs.reached(varnish(), clock, start, np.array([wanted, wanted / 3])), one, rtol=1e-9
        )
        assert legs.gathered(varnish(), clock, start, start + 50) == pytest.approx(
            whole.gathered(varnish(), clock, start, start + 50), abs=1e-9
        )


@given(hours_, st.floats(0.01, 120.0))
def test_what_was_gathered_when_it_is_reached_is_what_was_asked(start: float, wanted: float) -> None:
    track = Track([(-math.inf, AIR)]).moved(100.0, WARM)
    hour = float(track.reached(varnish(), CURE, start, np.array([wanted]))[0])
    assert track.gathered(varnish(), CURE, start, hour) == pytest.approx(wanted, rel=1e-6, abs=1e-6)
