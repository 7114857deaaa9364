"""Standing still, and what comes after the last reading: against scipy.integrate.quad over the live stretches."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import brentq

from finishing.cure.integral import EquivalentTime
from finishing.cure.rates import RateLaw
from finishing.cure.terms import HumidityLaw

from .factory import blocks, law, series
from .test_equivalent_age import relative


def test_below_its_minimum_a_step_adds_nothing() -> None:
    # Nurse and Saul's rule, kept in C1074: a step below the datum adds 0, never a negative.
    cold = blocks([(5.0, 20.0), (100.0, 4.9), (5.0, 20.0)])
    clock = EquivalentTime(law(50.0, 20.0, minimum=5.0), cold)
    assert float(clock.at(110.0)) == pytest.approx(10.0, rel=1e-12)
    assert float(clock.at(60.0)) == pytest.approx(5.0, rel=1e-12)


def test_at_its_very_minimum_it_still_hardens() -> None:
    # "not below 50 °F" (TM 43-0139, 5-31) and "10 °C or more" (Wood Handbook, ch. 16) both allow the bound itself.
    clock = EquivalentTime(law(50.0, 20.0, minimum=10.0), blocks([(10.0, 10.0)]))
    assert float(clock.at(10.0)) == pytest.approx(10 * relative(10.0, 50.0, 20.0), rel=1e-12)


@pytest.mark.parametrize("sliver", [5e-324, 1e-12])
def test_a_day_with_next_to_nothing_in_it_is_no_day(sliver: float) -> None:
    # Arithmetic: at the minimum for `sliver` of two hours of each day, an hour takes more than a billion of them.
    clock = EquivalentTime(law(25.0, 21.0, minimum=0.0), series([0.0, 2.0], [sliver, -1.0]), repeats=2.0)
    assert math.isinf(float(clock.when(1.0)))
    assert float(clock.at(1e6)) == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize(("first", "last", "hours"), [(0.0, 12.0, 3.0), (18.0, 3.0, 7.3), (4.99, 5.01, 0.1)])
def test_crossing_the_minimum_counts_only_the_live_part(first: float, last: float, hours: float) -> None:
    def live(u: float) -> float:
        t = first + (last - first) * u / hours
        return relative(t, 50.0, 20.0) if t >= 5.0 else 0.0

    crossing = hours * (5.0 - first) / (last - first)
    exact = quad(live, 0, crossing)[0] + quad(live, crossing, hours)[0]
    clock = EquivalentTime(law(50.0, 20.0, minimum=5.0), series([0, hours], [first, last]))
    assert float(clock.at(hours)) == pytest.approx(exact, abs=1e-8)


def damp_law() -> RateLaw:
    return law(
        44.0, 21.0, humidity=HumidityLaw.WATER_LEAVES, minimum=10.0, stop_above_pct=85.0, stop_below_pct=20.0
    )  # fmt: skip


def exact_damp(hours: list[float], t: list[float], rh: list[float]) -> float:
    """The same law written out, integrated between every crossing."""

    def live(u: float) -> float:
        warmth, damp = float(np.interp(u, hours, t)), float(np.interp(u, hours, rh))
        if warmth < 10.0 or damp > 85.0 or damp < 20.0:
            return 0.0
        return relative(warmth, 44.0, 21.0) * (100 - damp) / 50.0

    edges = set(hours)
    for a, b in pairwise(hours):
        for values, bound in ((t, 10.0), (rh, 85.0), (rh, 20.0)):
            if (np.interp(a, hours, values) - bound) * (np.interp(b, hours, values) - bound) < 0:
                edges.add(brentq(lambda u, v=values, s=bound: np.interp(u, hours, v) - s, a, b, xtol=1e-13))
    return sum(quad(live, a + 1e-12, b - 1e-12, epsabs=1e-12)[0] for a, b in pairwise(sorted(edges)))


@pytest.mark.parametrize("seed", range(4))
def test_random_air_with_three_stops(seed: int) -> None:
    random = np.random.default_rng(seed)
    hours = [float(h) for h in np.cumsum(np.concatenate([[0.0], random.uniform(0.5, 2.5, 30)]))]
    t, rh = [float(v) for v in random.uniform(2, 30, 31)], [float(v) for v in random.uniform(5, 100, 31)]
    clock = EquivalentTime(damp_law(), series(hours, t, rh))
    assert float(clock.at(hours[-1])) == pytest.approx(exact_damp(hours, t, rh), rel=3e-6)


def test_a_short_piece_that_leaves_one_stop_and_meets_another() -> None:
    # Warms past the minimum a sixth of the way in and grows too damp halfway: live from 1/6 to 1/2 of a quarter hour.
    hours, t, rh = [0.0, 0.25], [9.0, 15.0], [80.0, 90.0]
    clock = EquivalentTime(damp_law(), series(hours, t, rh))
    exact = exact_damp(hours, t, rh)
    assert exact > 0.0
    assert float(clock.at(0.25)) == pytest.approx(exact, rel=1e-6)


def test_no_credit_for_warmth_above_the_cap() -> None:
    clock = EquivalentTime(law(50.0, 21.0, cap=35.0), blocks([(10.0, 48.0)]))
    # Arrhenius at 35 °C against 21 °C, Ea 50: 2.5315.
    assert float(clock.at(10.0)) == pytest.approx(25.315, abs=5e-4)


def test_never_is_infinite() -> None:
    clock = EquivalentTime(law(50.0, 20.0, minimum=5.0), blocks([(2.0, 20.0), (30.0, 1.0)]), repeats=24.0)
    assert float(clock.reached(0.0, 1.5)) == pytest.approx(1.5)
    assert math.isinf(float(clock.reached(0.0, 2.5)))
    assert math.isinf(float(EquivalentTime(clock.law, blocks([(2.0, 1.0)])).reached(0.0, 1e-9)))


def test_nothing_to_wait_for_is_reached_at_once_even_while_it_stands_still() -> None:
    clock = EquivalentTime(law(50.0, 20.0, minimum=5.0), blocks([(2.0, 20.0), (30.0, 1.0)]))
    assert float(clock.reached(20.0, 0.0)) == 20.0


def day(hours: np.ndarray) -> np.ndarray:
    return 10 + 8 * np.sin(2 * np.pi * hours / 24)


@pytest.fixture
def endless() -> tuple[EquivalentTime, EquivalentTime]:
    """Two days whose last repeats for ever, and the same day written out for forty days."""
    short, long = np.arange(0, 48.1, 0.5), np.arange(0, 960.1, 0.5)
    bound = law(50.0, 20.0, minimum=5.0)
    return (
        EquivalentTime(bound, series(short, day(short)), repeats=24.0),
        EquivalentTime(bound, series(long, day(long))),
    )


def test_the_last_day_repeats(endless: tuple[EquivalentTime, EquivalentTime]) -> None:
    repeated, written = endless
    asked = np.linspace(0, 960, 1777)
    np.testing.assert_allclose(repeated.at(asked), written.at(asked), rtol=1e-9, atol=1e-9)
    wanted = np.linspace(0.01, float(written.total[-1]), 1333)
    np.testing.assert_allclose(repeated.when(wanted), written.when(wanted), rtol=1e-9, atol=1e-6)


def test_whole_turns_of_the_last_day_are_met_exactly(endless: tuple[EquivalentTime, EquivalentTime]) -> None:
    repeated, _ = endless
    two_days = float(repeated.at(48.0))
    # The hours at which a whole number of days has been gathered: each the first moment, a day after the last.
    first = float(repeated.when(two_days))
    for days in (1, 2, 5, 30):
        assert float(repeated.when(two_days * (1 + days / 2))) == pytest.approx(first + 24.0 * days, abs=1e-6)


def test_without_a_day_to_repeat_the_last_moment_stays() -> None:
    clock = EquivalentTime(law(50.0, 20.0), series([0.0, 2.0], [10.0, 20.0]))
    before = float(clock.at(2.0))
    assert float(clock.at(1002.0)) == pytest.approx(before + 1000.0)
    assert float(clock.when(before + 1000.0)) == pytest.approx(1002.0)


def test_before_the_air_begins_nothing_is_gathered() -> None:
    clock = EquivalentTime(law(50.0, 20.0), blocks([(10.0, 20.0)], start=100.0))
    assert float(clock.at(90.0)) == 0.0
    assert float(clock.reached(90.0, 2.0)) == pytest.approx(102.0)
