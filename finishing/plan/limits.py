"""How long and how hard to look for a plan, what is told meanwhile, and how to end it."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

from finishing.errors import BadInput


@dataclass(frozen=True, slots=True)
class Limits:
    """time_limit [s], all work counted; 0: one quick pass only; inf: until proved.

    workers: threads of the solver. deterministic: one worker and a fixed seed, so that the same project gives
    the same plan wherever the search ends by proof rather than by the clock.
    """

    time_limit: float
    workers: int = 2
    deterministic: bool = False

    def __post_init__(self) -> None:
        known = isinstance(self.time_limit, int | float) and not isinstance(self.time_limit, bool)
        if not known or math.isnan(self.time_limit) or self.time_limit < 0:
            raise BadInput("time_limit", self.time_limit, "seconds, 0 or more")
        if not isinstance(self.workers, int) or not 1 <= self.workers <= 64:
            raise BadInput("workers", self.workers, "from 1 to 64 threads")


@dataclass(frozen=True, slots=True)
class Progress:
    """News of a search: the best plan so far, if any, and the makespan that no plan can beat."""

    seconds: float
    bound: int
    makespan: int | None = None
    starts: tuple[int, ...] | None = None


OnProgress = Callable[[Progress], None]


class StopToken(Protocol):
    """What ends a search early; a threading.Event is one."""

    def is_set(self) -> bool:
        """Whether to end now."""
