"""How likely touch tests are for a shop factor: interval-censored logarithms of times, no midpoint and none dropped.

Of a coat with stated time τ (woods, film and air reckoned in), last found short at a and first found there at b:
ln(T/τ) = θ + ε, ε ~ N(0, s²), so P(a < T <= b) = Φ((ln(b/τ) - θ)/s) - Φ((ln(a/τ) - θ)/s), with a = 0 for a lone
"dry" and b = inf for a lone "tacky" (Turnbull 1976 for interval-censored data in general).

- On bare oily wood a coat hardens never with a chance of its own, which a lone "tacky" may show as well.
- One look in STRAY is taken to be of something else (another coat, a run, a cold corner): whatever θ is, it then has
  the chance of a wide distribution. So a test far from all others moves θ little, however many sigmas it is away.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from finishing.cure.learn.normal import cumulative

Array = npt.NDArray[np.float64]

STRAY = 0.02
"""Share of looks that tell nothing of the finish. A judgement."""

STRAY_SIGMA = 1.0
"""Spread of ln(T/τ) about 0 of a look that tells nothing. A judgement."""

LEAST_NOISE = 0.05
"""No two coats agree better than this in ln(time)."""

LEAST_CHANCE = 1e-300

AT_ONCE = 512
"""Intervals evaluated at a time, so that they stay near the processor."""


@dataclass(frozen=True, slots=True)
class Intervals:
    """Intervals of ln(T/τ), an element each: bounds (-inf, inf: open), noise, weight, chance of never hardening."""

    low: Array
    high: Array
    noise: Array
    weight: Array
    never: Array

    def __len__(self) -> int:
        return len(self.low)

    def take(self, chosen: npt.NDArray[np.bool_] | Sequence[int]) -> Intervals:
        """Some of them."""
        return Intervals(*(column[chosen] for column in (self.low, self.high, self.noise, self.weight, self.never)))


def intervals(
    low: Sequence[float] | Array,
    high: Sequence[float] | Array,
    noise: float | Sequence[float] | Array,
    weight: float | Sequence[float] | Array = 1.0,
    never: float | Sequence[float] | Array = 0.0,
) -> Intervals:
    """Columns from bounds of ln(T/τ); one noise, weight and chance for all, or one each."""
    bounds = np.asarray(low, dtype=float), np.asarray(high, dtype=float)
    others = (np.broadcast_to(np.asarray(v, dtype=float), bounds[0].shape) for v in (noise, weight, never))
    noise, weight, never = others
    return Intervals(*bounds, np.maximum(noise, LEAST_NOISE), weight, never)


def log_likelihood(seen: Intervals, theta: Array, stray: float = STRAY) -> Array:
    """Sum over the intervals of weight · ln P(interval | θ), at each θ."""
    total = np.zeros(len(theta))
    for kind in _kinds(seen):
        for start in range(0, len(kind), AT_ONCE):
            part = kind.take(np.s_[start : start + AT_ONCE])  # type: ignore[arg-type]
            total += part.weight @ np.log(chances(part, theta, stray))
    return total


def chances(seen: Intervals, theta: Array, stray: float = STRAY) -> Array:
    """P(interval | θ): a row for each interval, all open at the same ends, and a column for each θ."""
    found = _tested(seen, theta)
    if seen.never.any():
        may_never = np.isposinf(seen.high) * seen.never
        found *= (1.0 - seen.never)[:, None]
        found += may_never[:, None]
    if stray > 0.0:
        found *= 1.0 - stray
        found += (stray * _whatever(seen))[:, None]
    return np.maximum(found, LEAST_CHANCE, out=found)


def _tested(seen: Intervals, theta: Array) -> Array:
    """As `chances`, of looks that were of the coat, on a coat that hardens."""
    open_below, open_above = np.isneginf(seen.low[0]), np.isposinf(seen.high[0])
    if open_below and open_above:
        return np.ones((len(seen), len(theta)))
    if open_below:
        return cumulative(_scores(seen.high, seen, theta))
    if open_above:
        return cumulative(-_scores(seen.low, seen, theta))
    # From the side where both are small: far out 1 - Φ would have no digits left.
    low, high = _scores(seen.low, seen, theta), _scores(seen.high, seen, theta)
    above = (low > 0.0).astype(float)
    above *= -2.0
    above += 1.0
    low *= above
    high *= above
    return np.abs(cumulative(high) - cumulative(low))


def _scores(bound: Array, seen: Intervals, theta: Array) -> Array:
    return np.asarray((bound / seen.noise)[:, None] - theta[None, :] / seen.noise[:, None])


def _whatever(seen: Intervals) -> Array:
    return cumulative(seen.high / STRAY_SIGMA) - cumulative(seen.low / STRAY_SIGMA)


def _kinds(seen: Intervals) -> list[Intervals]:
    """The intervals sorted by which ends are open."""
    below, above = np.isneginf(seen.low), np.isposinf(seen.high)
    masks = [(below == b) & (above == a) for b in (False, True) for a in (False, True)]
    return [seen.take(mask) for mask in masks if mask.any()]
