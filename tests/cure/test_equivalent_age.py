"""Equivalent time over histories of temperature, against the published form summed and integrated independently.

ASTM C1074: te = sum of exp(-Q (1/Ta - 1/Ts)) dt, Q = Ea/R, kelvin. No hour-by-hour example with its answer could be
opened, so the answers here are that formula worked by hand (`age` below is one line of plain Python), and, for air that
changes smoothly, scipy.integrate.quad over the exact curve.
"""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from scipy.integrate import quad

from finishing.cure.integral import EquivalentTime, Series

from .factory import blocks, hourly_steps, law, series

R = 8.314462618e-3  # kJ/(mol K), CODATA 2018
Q5000 = 5000.0 * R  # C1074 suggests Q = 5000 K for Type I cement without admixture (from memory, high confidence)


def relative(t: float, ea: float, ts: float) -> float:
    return math.exp(-ea / R * (1 / (t + 273.15) - 1 / (ts + 273.15)))


def age(steps: list[tuple[float, float]], ea: float, ts: float) -> float:
    return sum(hours * relative(t, ea, ts) for hours, t in steps)


def through(air: Series, ea: float, ts: float) -> float:
    return float(EquivalentTime(law(ea, ts), air).at(air.hours[-1]))


A = [(10.0, 10.0), (14.0, 20.0), (8.0, 30.0)]
LOG_B = [18, 17, 16, 15, 14, 13, 12, 12, 13, 15, 17, 19, 21, 22, 23, 23, 22, 21, 20, 19, 18, 18, 17, 17]
B = [(1.0, float(t)) for t in LOG_B]
F = [(2.0, 16.0), (2.0, 18.0), (4.0, 22.0), (4.0, 26.0), (6.0, 24.0), (6.0, 20.0)]
PROFILE = [(2.0, 23.0), (4.0, 20.0), (6.0, 16.0), (8.0, 12.0), (4.0, 18.0)]
HALVES = [(12.0, 10.0), (12.0, 30.0)]

WORKED = [
    (A, 50.0, 20.0, 34.58455),
    (A, 50.0, 21.0, 32.25483),
    (A, 50.0, 23.0, 28.09530),
    (B, 50.0, 20.0, 20.75127),
    (B, 50.0, 21.0, 19.35341),
    (B, 50.0, 23.0, 16.85762),
    (B, 40.0, 20.0, 21.27009),
    (B, 40.0, 21.0, 20.11590),
    (B, 40.0, 23.0, 18.01236),
    (B, 66.0, 20.0, 20.03634),
    (B, 66.0, 21.0, 18.27423),
    (B, 66.0, 23.0, 15.22967),
    (F, Q5000, 20.0, 27.02871),
    (PROFILE, Q5000, 23.0, 16.5165),
    (PROFILE, Q5000, 20.0, 19.6315),
    (PROFILE, 50.0, 23.0, 15.3968),  # 15.3965 with R rounded to 8.314
    (HALVES, Q5000, 20.0, 27.6335),
]


@pytest.mark.parametrize(("steps", "ea", "reference", "hours"), WORKED)
def test_stepped_history_gathers_what_the_formula_sums(
    steps: list[tuple[float, float]], ea: float, reference: float, hours: float
) -> None:
    digits = 5e-5 if steps in (PROFILE, HALVES) else 5e-6
    assert age(steps, ea, reference) == pytest.approx(hours, abs=digits)
    assert through(blocks(steps), ea, reference) == pytest.approx(age(steps, ea, reference), rel=1e-12)


def test_the_mean_temperature_understates_what_was_gathered() -> None:
    # Jensen's inequality: the rate is convex in temperature here, so averaging first always gives less.
    mean = 24 * relative(sum(LOG_B) / 24, 50.0, 20.0)
    assert mean == pytest.approx(20.23749, abs=5e-6)
    assert through(blocks(B), 50.0, 20.0) > mean


def test_ramp_equals_the_integral() -> None:
    exact, _ = quad(lambda u: relative(10 + 20 * u / 24, 50.0, 20.0), 0, 24, epsabs=1e-12)
    assert exact == pytest.approx(25.791693, abs=5e-7)
    assert through(series([0, 24], [10, 30]), 50.0, 20.0) == pytest.approx(exact, abs=1e-7)


def test_sine_of_three_days_equals_the_integral() -> None:
    def warmth(u: float) -> float:
        return 18 + 6 * math.sin(2 * math.pi * u / 24)

    exact, _ = quad(lambda u: relative(warmth(u), 50.0, 20.0), 0, 72, limit=200, epsabs=1e-10)
    assert exact == pytest.approx(65.110878, abs=5e-7)
    hours = np.linspace(0, 72, 72 * 60 + 1)
    read = series(hours, [warmth(u) for u in hours])
    # Chords between readings a minute apart lie inside the curve by at most (1/60)^2/8 * 6 * (2 pi/24)^2 = 1.4e-5 K.
    assert through(read, 50.0, 20.0) == pytest.approx(exact, abs=1e-5)


@pytest.mark.parametrize("seed", range(5))
def test_random_broken_line_equals_the_integral(seed: int) -> None:
    random = np.random.default_rng(seed)
    hours = np.cumsum(np.concatenate([[0.0], random.uniform(0.3, 3.0, 25)]))
    warmth = 18 + np.cumsum(random.uniform(-5, 5, 26))
    exact = sum(
        quad(lambda u: relative(float(np.interp(u, hours, warmth)), 66.0, 21.0), a, b, epsabs=1e-12)[0]
        for a, b in pairwise(hours)
    )
    assert through(series(hours, warmth), 66.0, 21.0) == pytest.approx(exact, rel=1e-7)


def test_hour_of_a_wanted_age_in_a_repeated_log() -> None:
    clock = EquivalentTime(law(50.0, 20.0), hourly_steps([float(t) for t in LOG_B * 2]))
    # By hand: whole hours until one more would pass 24, then the part of that hour.
    left, hour = 24.0, 0
    while left > relative(LOG_B[hour % 24], 50.0, 20.0):
        left -= relative(LOG_B[hour % 24], 50.0, 20.0)
        hour += 1
    expected = hour + left / relative(LOG_B[hour % 24], 50.0, 20.0)
    assert expected == pytest.approx(28.18091, abs=5e-6)
    assert float(clock.when(24.0)) == pytest.approx(expected, abs=1e-9)


def test_reference_temperature_scales_every_age_alike() -> None:
    # 34.58455 / 32.25483 = 1.07223 = 1 / relative(20; Ts 21), whatever the history.
    ratio = through(blocks(A), 50.0, 20.0) / through(blocks(A), 50.0, 21.0)
    assert ratio == pytest.approx(1.07223, abs=5e-6)
    assert ratio == pytest.approx(1 / relative(20.0, 50.0, 21.0), rel=1e-12)


def test_at_the_reference_an_hour_is_an_hour() -> None:
    assert through(blocks([(31.5, 21.0)]), 80.0, 21.0) == pytest.approx(31.5, rel=1e-12)
