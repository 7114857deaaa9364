"""From when until when a finish stands still: one answer for cautions, the climate and the nights of a plan."""

from __future__ import annotations

import math

import numpy as np

from finishing.cure.integral import Series
from finishing.cure.rates import TOO_COLD, TOO_DAMP, TOO_DRY, RateLaw, standstill

Stretches = tuple[tuple[float, float], ...]
"""From one hour to another, in order."""

ANY = TOO_COLD | TOO_DAMP | TOO_DRY


def stretches(law: RateLaw, air: Series, why: int = ANY) -> tuple[Stretches, int]:
    """When a finish does not harden in some air, and why: TOO_COLD, TOO_DAMP, TOO_DRY added up, those of `why` alone.

    Exact for air that is linear between its points: cut where it crosses a bound.
    """
    hours, t, h = air.hours, air.temperature_c, air.humidity_pct
    cuts = [hours]
    for values, bound in ((t, law.minimum_c), (h, law.stop_above_pct), (h, law.stop_below_pct)):
        if not math.isfinite(bound):
            continue
        over = values - bound
        i = np.flatnonzero(over[:-1] * over[1:] < 0.0)
        cuts.append(hours[i] + (hours[i + 1] - hours[i]) * over[i] / (over[i] - over[i + 1]))
    points = np.unique(np.concatenate(cuts))
    middles = (points[1:] + points[:-1]) / 2
    found = standstill(law, np.interp(middles, hours, t), np.interp(middles, hours, h)) & why
    edges = np.diff((found > 0).astype(np.int8), prepend=0, append=0)
    spans = zip(points[np.flatnonzero(edges > 0)], points[np.flatnonzero(edges < 0)], strict=True)
    return tuple((float(a), float(b)) for a, b in spans), int(np.bitwise_or.reduce(found, initial=0))
