"""The normal distribution over whole arrays, from a table: numpy has none, and scipy is no dependency of the core."""

from __future__ import annotations

import math
from functools import cache

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]

REACH = 8.5
"""Beyond so many standard deviations the distribution function is taken as 0 or 1: it is to within 1e-17."""

PER_SIGMA = 2048
"""Points of the table in a standard deviation; between them it is linear, right to 8e-9."""


def cumulative(scores: Array) -> Array:
    """Standard normal distribution function, to 1e-8; `scores` are used up as working space."""
    table, rise = _table()
    scores *= PER_SIGMA
    scores += REACH * PER_SIGMA
    np.clip(scores, 0.0, len(rise) - 1e-6, out=scores)
    below = scores.astype(np.int32)
    scores -= below
    scores *= rise.take(below)
    scores += table.take(below)
    return scores


@cache
def _table() -> tuple[Array, Array]:
    """The function at even points, by Simpson's rule on the density, and what it gains from each to the next."""
    count = int(2 * REACH * PER_SIGMA)
    at = np.linspace(-REACH, REACH, 2 * count + 1)
    density = np.exp(-0.5 * at * at) / math.sqrt(2.0 * math.pi)
    rise = (density[:-2:2] + 4.0 * density[1:-1:2] + density[2::2]) / (6.0 * PER_SIGMA)
    table = np.concatenate([[0.0], np.cumsum(rise)])
    return table, rise
