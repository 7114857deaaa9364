"""A planned batch taken to its end in the cure model: its coats at their planned hours, and its releases."""

from __future__ import annotations

from collections.abc import Sequence

from finishing.cure.coat import Coat
from finishing.cure.fold import Fold
from finishing.cure.progress import folded
from finishing.cure.terms import StepKind
from finishing.cure.work import AbradeEntry, CoatEntry, Entry, StepEntry
from finishing.plan.batches import Grid, Placed
from finishing.shop.plan.ask import Item


def played(item: Item, placed: Sequence[Placed], grid: Grid) -> Fold:
    """The fold as it will be once everything placed is done."""
    supposed: list[tuple[Entry, bool]] = []
    steps = item.batch.schedule.steps
    for task, where in zip(item.job.tasks, placed, strict=False):
        begins = grid.hour(where.start)
        ends = begins + task.works(where.reopened) / 60.0
        if task.part and task.part[0] < task.part[1]:
            continue
        for i in task.steps:
            number = -len(supposed) - 1
            match steps[i].kind:
                case StepKind.COAT:
                    if where.reopened:
                        supposed.append((AbradeEntry(number, begins, steps[i].face, task.reopen_grit), True))
                        number -= 1
                    supposed.append((CoatEntry(number, ends, i), True))
                case StepKind.ABRADE:
                    supposed.append((AbradeEntry(number, begins, steps[i].face, steps[i].grit, i), True))
                case _:
                    supposed.append((StepEntry(number, ends, i), True))
    fold = item.fold
    fresh = folded(item.batch, item.entries, fold.climate, fold.shop, fold.level)
    for entry, expected in supposed:
        fresh.apply(entry, expected=expected)
    return fresh


def coat_of(fold: Fold, position: int) -> Coat | None:
    """The coat a step lays."""
    return next((coat for coat in fold.coats if coat.step == position), None)
