"""What abrading makes of a coat's recoat window, in words."""

from __future__ import annotations

import math

from finishing.cure.coat import Coat
from finishing.cure.fold import Fold
from finishing.cure.schedule import Schedule
from finishing.cure.terms import Face, StepKind

STAYS = "abraded since, so it stays open"
OPENS = "abrading before the next coat opens it again"


def abraded_words(fold: Fold, coat: Coat) -> str:
    """Why it does not matter when a coat's window shuts: it was abraded, or the schedule abrades it; "" if it does."""
    if coat.window.shuts is None:
        return ""
    if all(fold.abraded.get(side, -math.inf) >= coat.at for side in coat.face.sides):
        return STAYS
    return OPENS if all(_abrades(fold.batch.schedule, coat.step, side) for side in coat.face.sides) else ""


def matters(fold: Fold, coat: Coat, side: Face) -> bool:
    """Whether a side has to get its next coat before the window shuts: it was not abraded, and no step abrades it."""
    return fold.abraded.get(side, -math.inf) < coat.at and not _abrades(fold.batch.schedule, coat.step, side)


def _abrades(schedule: Schedule, position: int, side: Face) -> bool:
    """Whether a side is abraded between a coat and the next one on it."""
    for step in schedule.steps[position + 1 :]:
        if side in step.face.sides and step.kind in (StepKind.COAT, StepKind.ABRADE):
            return step.kind is StepKind.ABRADE
    return False
