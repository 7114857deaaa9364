"""What comes of planning: the plan, what no plan can beat, and the news on the way."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from finishing.plan.batches.score import Schedule, Score


@dataclass(frozen=True, slots=True)
class Outcome:
    """bound: no plan is late by fewer days; of those as little late none is ready sooner; of those none has fewer
    sessions. Among starts on the grid, and jobs that could not be placed left where they are. proved: the plan
    reaches all three.
    """

    schedule: Schedule
    bound: Score
    proved: bool


@dataclass(frozen=True, slots=True)
class News:
    """The best plan so far, and the bound so far."""

    seconds: float
    schedule: Schedule
    bound: Score


Heard = Callable[[News], None]
