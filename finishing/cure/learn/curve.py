"""The log-likelihood of some touch tests over ln(factor), on even points laid where it is not negligible."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from finishing.cure.learn.density import even
from finishing.cure.learn.likelihood import STRAY, Intervals, log_likelihood

Array = npt.NDArray[np.float64]

REACH = 3.0
"""Factors are looked for from e^-3 to e^3: a twentieth to twenty times the stated time."""

COARSE = 0.5
"""Step of the first, wide points in units of the least noise."""

NEGLIGIBLE = 40.0
"""What lies so far below the highest point, e^-40 of it, is left out."""

POINTS, FEWER_POINTS = 257, 97
MANY = 64
"""More tests than this lie close together, and need fewer points."""


@dataclass(frozen=True, slots=True)
class Curve:
    """ln likelihood at even points; outside them it is negligible, unless they span the whole reach."""

    at: Array
    log: Array


def curve(seen: Intervals, reach: float = REACH, stray: float = STRAY) -> Curve:
    """Laid twice: wide, then where it matters, so that a thousand tests are as exact as one."""
    if not len(seen):
        flat = even(-reach, reach, POINTS)
        return Curve(flat, np.zeros(POINTS))
    low, high, count = -reach, reach, POINTS
    if len(seen) > MANY:
        low, high = _where(seen, reach, stray)
        count = FEWER_POINTS
    at = even(low, high, count)
    return Curve(at, log_likelihood(seen, at, stray))


def _where(seen: Intervals, reach: float, stray: float) -> tuple[float, float]:
    """The stretch in which the likelihood is not negligible against its highest point."""
    step = COARSE * float(seen.noise.min())
    at = even(-reach, reach, int(2.0 * reach / step) + 2)
    logs = log_likelihood(seen, at, stray)
    kept = np.flatnonzero(logs > logs.max() - NEGLIGIBLE)
    first, last = max(int(kept[0]) - 1, 0), min(int(kept[-1]) + 1, len(at) - 1)
    return float(at[first]), float(at[last])
