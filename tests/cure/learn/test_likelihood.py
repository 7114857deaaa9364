"""The likelihood of interval-censored times against lifelines' and scipy's own fits, on public data sets."""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt
import pytest
from lifelines import LogNormalFitter, datasets
from scipy import optimize, stats

from finishing.cure.learn.likelihood import chances, intervals, log_likelihood
from finishing.cure.learn.normal import cumulative

Array = npt.NDArray[np.float64]
INF = math.inf


def test_the_normal_distribution_is_scipys() -> None:
    scores = np.concatenate([np.linspace(-9, 9, 20_001), [-INF, INF, 0.0]])
    assert cumulative(scores.copy()) == pytest.approx(stats.norm.cdf(scores), abs=1e-8)


# Six invented touch tests: last hour tacky and first hour dry over the stated time.
TOUCHES = (
    np.array([10, 9, 6, 12, 8, 15]) / np.array([8, 8, 8, 10, 9, 12]),
    np.array([14, 12, 9, 18, 11, 22]) / np.array([8, 8, 8, 10, 9, 12]),
)


def mice() -> tuple[Array, Array]:
    """Lung tumours in mice, lifelines.datasets.load_mice: every time known only to lie before or after a look."""
    table = datasets.load_mice()
    return table["l"].to_numpy(dtype=float), table["u"].to_numpy(dtype=float)


def diabetics() -> tuple[Array, Array]:
    """lifelines.datasets.load_diabetes without its exact times, which no finger ever takes."""
    table = datasets.load_diabetes()
    low, high = table["left"].to_numpy(dtype=float), table["right"].to_numpy(dtype=float)
    return low[low < high], high[low < high]


def ours(low: Array, high: Array) -> tuple[float, float, float]:
    """μ, σ and log-likelihood where ours is highest, under no prior."""
    with np.errstate(divide="ignore"):
        logs = np.log(low), np.log(high)

    def minus(p: Array) -> float:
        seen = intervals(*logs, noise=math.exp(p[1]))
        return -float(log_likelihood(seen, np.array([p[0]]), stray=0.0)[0])

    finite = high[np.isfinite(high)]
    start = [float(np.log(finite).mean()), -0.5]
    best = optimize.minimize(minus, start, method="Nelder-Mead", options={"xatol": 1e-7, "fatol": 1e-8})
    return float(best.x[0]), math.exp(best.x[1]), -float(best.fun)


@pytest.mark.parametrize("data", [lambda: TOUCHES, mice, diabetics], ids=["touch tests", "mice", "diabetics"])
def test_most_likely_as_lifelines_and_scipy_have_it(data) -> None:  # type: ignore[no-untyped-def]
    low, high = data()
    fitted = LogNormalFitter().fit_interval_censoring(low, high)
    mu, sigma, log = ours(low, high)
    assert (mu, sigma) == pytest.approx((fitted.mu_, fitted.sigma_), abs=1e-4)
    assert log == pytest.approx(fitted.log_likelihood_, abs=1e-5)
    left, right = low <= 0.0, np.isinf(high)
    closed = ~left & ~right
    censored = stats.CensoredData(
        interval=np.stack([low[closed], high[closed]], axis=1) if closed.any() else None,
        left=high[left],
        right=low[right],
    )
    shape, _, scale = stats.lognorm.fit(censored, floc=0)
    assert (mu, sigma) == pytest.approx((math.log(scale), shape), abs=2e-4)


def test_published_fit_of_the_mice() -> None:
    """As lifelines 0.30.3 printed it: μ 6.572138, σ 0.405127, log-likelihood -83.590234."""
    assert ours(*mice()) == pytest.approx((6.572138, 0.405127, -83.590234), abs=1e-4)


def test_neither_end_of_an_interval_is_dropped() -> None:
    theta = np.linspace(-1, 1, 9)
    closed, dry, tacky = (
        chances(intervals([a], [b], 0.25), theta, 0.0)[0] for a, b in ((0.1, 0.4), (-INF, 0.4), (0.1, INF))
    )
    # P(a < T <= b) = P(T <= b) + P(T > a) - 1
    assert closed == pytest.approx(dry + tacky - 1.0, abs=2e-8)
    assert chances(intervals([-INF], [INF], 0.25), theta, 0.0) == pytest.approx(np.ones((1, 9)))


def test_far_out_nothing_is_rounded_to_nothing() -> None:
    far = chances(intervals([2.0], [2.01], 0.25), np.array([0.5]), 0.0)[0, 0]
    assert far == pytest.approx(float(stats.norm.sf(6.0) - stats.norm.sf(6.04)), rel=0.2)
    assert np.isfinite(log_likelihood(intervals([3.0], [INF], 0.05), np.array([-3.0]), 0.0)).all()


def test_a_wood_that_may_never_harden_explains_a_late_tacky() -> None:
    theta = np.array([0.0])
    surely, perhaps = (chances(intervals([1.5], [INF], 0.25, never=p), theta, 0.0)[0, 0] for p in (0.0, 0.3))
    assert perhaps == pytest.approx(0.3 + 0.7 * surely, abs=1e-8)
    # One that was found dry did harden: that it might not have is a constant.
    a, b = (log_likelihood(intervals([0.0], [0.5], 0.25, never=p), np.array([0.0, 0.3]), 0.0) for p in (0.0, 0.3))
    assert np.diff(a) == pytest.approx(np.diff(b))


def test_weights_are_powers() -> None:
    theta = np.linspace(-1, 1, 5)
    twice = intervals([0.1, 0.1], [0.4, 0.4], 0.25)
    heavy = intervals([0.1], [0.4], 0.25, weight=2.0)
    assert log_likelihood(twice, theta) == pytest.approx(log_likelihood(heavy, theta))
