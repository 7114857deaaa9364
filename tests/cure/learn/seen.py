"""Observations in short."""

from __future__ import annotations

import math

from finishing.cure.learn import Observation
from finishing.cure.terms import Extractives, Mechanism

INF = math.inf


def seen(
    low: float,
    high: float,
    stated: float = 1.0,
    *,
    finish: str = "varnish",
    mechanism: Mechanism = Mechanism.OXIDATION,
    spread: float = 0.5,
    noise: float = 0.25,
    woods: Extractives = Extractives.NONE,
    woods_spread: float = 0.0,
    never: float = 0.0,
    at: float = 0.0,
    entry: int = 1,
    pieces: float = 1.0,
) -> Observation:
    """A coat found short at `low` and there at `high` equivalent hours, where `stated` were stated."""
    return Observation(
        finish, mechanism, spread, noise, woods, woods_spread, never, low / stated, high / stated, at,
        "B-1", 1, entry, (entry,), pieces=pieces,
    )  # fmt: skip
