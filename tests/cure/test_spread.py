"""Levels of certainty against scipy.stats.lognorm, whole and cut off after a look that found the film short."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy import stats

from finishing.cure.spread import COULD_BE, COUNT_ON, LIKELY, USUAL_LEVEL, Spread, together, z

LEVELS = (0.01, COULD_BE, LIKELY, USUAL_LEVEL, COUNT_ON, 0.99)


@pytest.mark.parametrize("level", LEVELS)
def test_normal_quantile(level: float) -> None:
    assert z(level) == pytest.approx(float(stats.norm.ppf(level)), abs=1e-12)


@pytest.mark.parametrize("sigma", [0.05, 0.25, 0.56, 1.2])
@pytest.mark.parametrize("level", LEVELS)
def test_levels_are_lognormal_quantiles(sigma: float, level: float) -> None:
    assert Spread(12.0, sigma).at(level) == pytest.approx(float(stats.lognorm.ppf(level, sigma, scale=12.0)), rel=1e-9)


@pytest.mark.parametrize("sigma", [0.1, 0.56])
@pytest.mark.parametrize("scores", [-3.0, -0.5, 0.0, 1.0, 3.0, 6.0, 9.0, 20.0, 30.0])
@pytest.mark.parametrize("level", LEVELS)
def test_after_a_look_the_rest_of_the_distribution_is_scaled_up(sigma: float, scores: float, level: float) -> None:
    """scores: how many sigmas beyond the median the film was still tacky. Solved in logarithms, so also far out."""
    after = 12.0 * math.exp(sigma * scores)
    # P(T > t | T > a) = sf(t) / sf(a) = 1 - level; scipy's logsf keeps its digits however small sf is.
    wanted = stats.norm.logsf(scores) + math.log1p(-level)
    ours = math.log(Spread(12.0, sigma, after).at(level) / 12.0) / sigma
    assert float(stats.norm.logsf(ours)) == pytest.approx(float(wanted), rel=1e-9, abs=1e-9)


@pytest.mark.parametrize("level", LEVELS)
def test_after_a_look_against_a_truncated_normal(level: float) -> None:
    theirs = float(stats.truncnorm.ppf(level, 0.4, np.inf))
    assert Spread(8.0, 0.5, 8.0 * math.exp(0.2)).at(level) == pytest.approx(8.0 * math.exp(0.5 * theirs), rel=1e-9)


medians = st.floats(0.05, 2000.0)
sigmas = st.floats(0.02, 2.0)
levels = st.floats(0.01, 0.99)


@given(medians, sigmas, levels, st.floats(-4.0, 8.0))
def test_chance_undoes_at(median: float, sigma: float, level: float, looked: float) -> None:
    for after in (0.0, median * math.exp(sigma * looked)):
        spread = Spread(median, sigma, after)
        # Where the distribution is cut so far out that a float of hours can't tell levels apart, nothing can be undone.
        assume(spread.at(level) > after * (1 + 1e-9))
        assert spread.chance(spread.at(level)) == pytest.approx(level, abs=1e-6)


@given(medians, sigmas, st.floats(0.0, 1e5))
def test_levels_keep_their_order_and_none_comes_before_the_look(median: float, sigma: float, after: float) -> None:
    spread = Spread(median, sigma, after)
    hours = [spread.at(level) for level in LEVELS]
    assert hours == sorted(hours)
    assert hours[0] >= after


@given(medians, sigmas, levels, st.floats(0.0, 1e4), st.floats(0.0, 1e4))
def test_a_later_look_never_brings_a_time_forward(
    median: float, sigma: float, level: float, one: float, two: float
) -> None:
    early, late = sorted((one, two))
    assert Spread(median, sigma, late).at(level) >= Spread(median, sigma, early).at(level) * (1 - 1e-9)


def test_without_spread_the_median_is_the_time() -> None:
    assert Spread(12.0, 0.0).at(0.9) == 12.0
    assert Spread(12.0, 0.0, 15.0).at(0.2) == 15.0
    assert Spread(12.0, 0.0).chance(12.0) == 1.0
    assert Spread(12.0, 0.0).chance(11.9) == 0.0


def test_a_stage_stated_as_at_once() -> None:
    # Hours of 0 are allowed on a label; a look that found it short even so can only be waited from.
    for sigma in (0.0, 0.5):
        assert Spread(0.0, sigma).at(0.9) == 0.0
        assert Spread(0.0, sigma, 2.0).at(0.9) == 2.0
        assert Spread(0.0, sigma).chance(0.1) == 1.0
        assert Spread(0.0, sigma, 2.0).chance(3.0) == 1.0


def test_before_the_look_there_is_no_chance() -> None:
    assert Spread(12.0, 0.5, 20.0).chance(20.0) == 0.0
    assert Spread(12.0, 0.5).chance(0.0) == 0.0


def test_independent_spreads_add_in_squares() -> None:
    # Variances of independent logarithms add; checked on a sample of products.
    random = np.random.default_rng(1)
    product = np.exp(random.normal(0, 0.5, 200_000) + random.normal(0, 0.25, 200_000) + random.normal(0, 0.1, 200_000))
    assert together(0.5, 0.25, 0.1) == pytest.approx(float(np.log(product).std()), rel=0.01)


@pytest.mark.parametrize(("after", "found"), [(0.0, 6.0), (5.0, 9.0), (20.0, math.inf), (30.0, 31.0), (0.0, 1e-9)])
def test_median_between_two_looks(after: float, found: float) -> None:
    low = stats.lognorm.cdf(after, 0.5, scale=12.0)
    high = stats.lognorm.cdf(found, 0.5, scale=12.0)
    theirs = float(stats.lognorm.ppf((low + high) / 2, 0.5, scale=12.0))
    ours = Spread(12.0, 0.5, after).median_by(found)
    assert ours == pytest.approx(theirs, rel=1e-6) or (found < 1e-6 and ours == found)


def test_median_between_looks_that_say_nothing_stays_between_them() -> None:
    assert Spread(12.0, 0.0, 15.0).median_by(math.inf) == 15.0
    assert Spread(12.0, 0.0).median_by(9.0) == 9.0
    assert Spread(12.0, 0.5, 15.0).median_by(15.0) == 15.0
