"""The posterior of a finish against worked figures, a brute-force grid, and what has a closed form."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import integrate, stats

from finishing.cure.learn import Lessons, Observation, Rules, learn
from finishing.cure.learn.learned import Learned

from .seen import INF, seen

EXACT = Rules(half_life_days=INF, stray=0.0)
"""The bare model: no test ages, none is taken to be of something else."""

T2 = [(10, 14, 8), (9, 12, 8), (6, 9, 8)]
T5 = [(10, 14, 8), (0, 9, 8), (24, INF, 12), (7, 8, 5)]

# Interval-censored log-normal, noise 0.25, prior N(0, sd²): computed beforehand on a fine grid of their own, apart from
# this program: mean, sd, 5th, 50th and 95th of a hundred, mode.
VECTORS = [
    ("one interval", [(10, 14, 8)], 0.5, (0.303792, 0.236461, -0.08483, 0.30358, 0.69314, 0.303107)),
    ("three intervals", T2, 0.5, (0.178373, 0.148300, -0.06571, 0.17845, 0.42219, 0.178609)),
    ("dry only", [(0, 6, 8)], 0.5, (-0.515097, 0.321283, -1.08277, -0.49123, -0.02984, -0.445011)),
    ("tacky only", [(24, INF, 8)], 0.5, (1.047589, 0.270690, 0.62314, 1.03643, 1.51028, 1.016911)),
    ("all kinds", T5, 0.5, (0.374227, 0.129934, 0.16044, 0.37428, 0.58784, 0.374378)),
    ("three intervals, narrow prior", T2, 0.25, (0.141136, 0.131973, -0.07599, 0.14116, 0.35818, 0.141211)),
    ("all kinds, narrow prior", T5, 0.25, (0.311196, 0.118556, 0.11603, 0.31130, 0.50602, 0.311497)),
]


def lessons(found: Learned, name: str = "varnish") -> Lessons:
    return found.lessons(name)


def observed(rows: list[tuple[float, float, float]], spread: float = 0.5) -> list[Observation]:
    return [seen(*row, spread=spread, entry=i + 1) for i, row in enumerate(rows)]


@pytest.mark.parametrize(("rows", "spread", "wanted"), [v[1:] for v in VECTORS], ids=[v[0] for v in VECTORS])
def test_worked_figures(rows: list[tuple[float, float, float]], spread: float, wanted: tuple[float, ...]) -> None:
    found = lessons(learn(observed(rows, spread), 0.0, EXACT)).theta()
    got = (found.mean, found.sd, *(found.quantile(p) for p in (0.05, 0.5, 0.95)))
    assert got == pytest.approx(wanted[:5], abs=2e-5)
    # Read off the points, not searched for.
    assert found.mode == pytest.approx(wanted[5], abs=5e-4)


def test_predictive_spread_of_one_interval() -> None:
    """After one interval the next coat's spread is hypot(0.236461, 0.25); 90 in 100 are there by 16.848 h at 8 h."""
    found = lessons(learn(observed([(10, 14, 8)]), 0.0, EXACT)).theta()
    sigma = math.hypot(found.sd, 0.25)
    assert sigma == pytest.approx(0.344113, abs=2e-5)
    assert 8.0 * math.exp(found.mean + 1.2815515655 * sigma) == pytest.approx(16.848, abs=2e-3)


def brute(rows: list[tuple[float, float, float]], sd: float, s: float, stray: float) -> tuple[float, float]:
    """Mean and sd by scipy's adaptive quadrature over scipy's own normal distribution."""

    def density(theta: float) -> float:
        value = float(stats.norm.pdf(theta, 0.0, sd))
        for a, b, tau in rows:
            low = -INF if a <= 0 else math.log(a / tau)
            high = math.log(b / tau)
            chance = stats.norm.cdf(high, theta, s) - stats.norm.cdf(low, theta, s)
            value *= (1 - stray) * float(chance) + stray * float(stats.norm.cdf(high) - stats.norm.cdf(low))
        return value

    def moment(n: int) -> float:
        value, _ = integrate.quad(lambda t: t**n * density(t), -3, 3, epsabs=0, epsrel=1e-9, limit=400)
        return float(value)

    whole = moment(0)
    mean = moment(1) / whole
    return mean, math.sqrt(moment(2) / whole - mean**2)


@pytest.mark.parametrize("stray", [0.0, 0.02, 0.2])
@pytest.mark.parametrize("rows", [T2, T5, [(30, 34, 8), (5, 6, 8), (7, 8, 8)], [(0, 8, 8), (9, INF, 8)]])
def test_against_scipys_quadrature(rows: list[tuple[float, float, float]], stray: float) -> None:
    found = lessons(learn(observed(rows), 0.0, Rules(INF, stray))).theta()
    assert (found.mean, found.sd) == pytest.approx(brute(rows, 0.5, 0.25, stray), abs=5e-6)


def test_hundreds_of_narrow_intervals_are_all_but_a_normal_mean() -> None:
    """Of intervals narrow against the noise the posterior is the textbook's: precision 1/sd² + n/s² (closed form)."""
    random = np.random.default_rng(7)
    logs = random.normal(0.4, 0.25, 400)
    rows = [(math.exp(x - 0.01), math.exp(x + 0.01), 1.0) for x in logs]
    found = lessons(learn(observed(rows), 0.0, EXACT)).theta()
    precision = 1 / 0.5**2 + 400 / 0.25**2
    assert found.sd == pytest.approx(precision**-0.5, rel=1e-3)
    assert found.mean == pytest.approx(logs.sum() / 0.25**2 / precision, abs=1e-5)


def test_nothing_seen_leaves_the_prior() -> None:
    assert learn([], 0.0).tested == ()


def test_flat_prior_against_scipys_censored_fit() -> None:
    """scipy.stats.norm.fit(CensoredData, fscale=s): its optimiser is right to about 1e-4."""
    for rows in (T2, T5):
        logs = [(-INF if a <= 0 else math.log(a / t), math.log(b / t)) for a, b, t in rows]
        data = stats.CensoredData(
            interval=[row for row in logs if np.isfinite(row).all()],
            left=[b for a, b in logs if math.isinf(a)],
            right=[a for a, b in logs if math.isinf(b)],
        )
        theirs, _ = stats.norm.fit(data, fscale=0.25)
        found = lessons(learn(observed(rows, 2.0), 0.0, EXACT))
        flat = found.curves[None]
        i = int(flat.log.argmax())
        fine = np.polynomial.Polynomial.fit(flat.at[i - 3 : i + 4], flat.log[i - 3 : i + 4], 4)
        ours = next(r.real for r in fine.deriv().roots() if abs(r.imag) < 1e-9 and abs(r.real - flat.at[i]) < 0.1)
        assert ours == pytest.approx(theirs, abs=2e-4)


def test_a_normal_prior_as_one_more_exact_observation() -> None:
    """With prior sd = noise the prior is one uncensored observation at 0 to scipy's fit: the mode is the same."""
    for rows in (T2, T5):
        logs = [(-INF if a <= 0 else math.log(a / t), math.log(b / t)) for a, b, t in rows]
        data = stats.CensoredData(
            uncensored=[0.0],
            interval=[row for row in logs if np.isfinite(row).all()],
            left=[b for a, b in logs if math.isinf(a)],
            right=[a for a, b in logs if math.isinf(b)],
        )
        theirs, _ = stats.norm.fit(data, fscale=0.25)
        ours = lessons(learn(observed(rows, 0.25), 0.0, EXACT)).theta().mode
        assert ours == pytest.approx(theirs, abs=2e-4)
