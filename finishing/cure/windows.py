"""The recoat windows of many coats of one finish in one place at once, as arrays."""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from finishing.cure.climate import PlaceAir
from finishing.cure.finish import Finish
from finishing.cure.spread import z
from finishing.cure.terms import Stage

Array = npt.NDArray[np.float64]


def recoat_windows(
    air: PlaceAir, finish: Finish, applied: Array, factor: Array | float, *, sigma: float, level: float
) -> tuple[Array, Array]:
    """When each coat's window opens at `level` and shuts, as `coat.lay` gives them one by one.

    applied: hours, shape (n,). factor: product of woods, film and shop on dry-to-recoat, shape (n,) or one for
    all. Returns opens and shuts, shape (n,); inf for never.
    """
    recoat = finish.stages.get(Stage.DRY_TO_RECOAT)
    if recoat is None:
        return np.full(applied.shape, math.inf), np.full(applied.shape, math.inf)
    stretch = math.exp(sigma * z(level))
    opening = air.of(finish, recoat.clock)
    begun = opening.at(applied)
    opens = np.maximum(opening.when(begun + recoat.typical * stretch * factor), applied)
    limit = finish.recoat_limit
    if limit is None:
        return opens, np.full(applied.shape, math.inf)
    shutting = air.of(finish, limit.clock)
    if shutting is not opening:
        begun = shutting.at(applied)
    return opens, np.maximum(shutting.when(begun + limit.typical * factor), opens)
