"""How quick the hands are: minutes a piece from recorded sessions, put in place of the stated ones."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, replace

from finishing.cure.learn.pace import pace
from finishing.cure.schedule import Schedule
from finishing.cure.terms import StepKind
from finishing.shop.frozen import thaw_all
from finishing.shop.shop import Shop
from finishing.store import paces as stored
from finishing.units import counted

Work = tuple[str, StepKind]
"""A finish by name, and what is done with it: put on, or wiped off."""


@dataclass(frozen=True, slots=True)
class Pace:
    """Minutes taken over minutes stated, from so many sessions."""

    ratio: float
    sessions: int

    def words(self, kind: StepKind) -> str:
        """In a few words: "putting it on takes ×0.80 of the stated minutes, from 5 sessions"."""
        what = "putting it on" if kind is StepKind.COAT else "wiping it off"
        return f"{what} takes ×{self.ratio:.2f} the stated minutes, from {counted(self.sessions, 'session')}"


Paces = Mapping[Work, Pace]


def paces(shop: Shop) -> dict[Work, Pace]:
    """Of every finish that a pass guide was run with. The stated minutes weigh as two sessions."""
    ratios: defaultdict[Work, list[float]] = defaultdict(list)
    with shop.store.read() as r:
        found = stored.took(r)
        thawed = thaw_all(r, {one.frozen_key for one in found}) if found else {}
    for one in found:
        schedule = thawed[one.frozen_key].schedule
        stated = schedule.steps[one.step].minutes_per_piece if one.step < len(schedule.steps) else 0.0
        work = work_of(schedule, one.step)
        if work is not None and stated > 0.0:
            ratios[work].append(one.minutes / stated)
    return {work: Pace(pace(taken), len(taken)) for work, taken in ratios.items()}


def paced(schedule: Schedule, found: Paces) -> Schedule:
    """A schedule with the minutes a piece that these hands take."""
    steps = list(schedule.steps)
    for i, step in enumerate(steps):
        work = work_of(schedule, i)
        if work is not None and work in found:
            steps[i] = replace(step, minutes_per_piece=step.minutes_per_piece * found[work].ratio)
    return schedule if tuple(steps) == schedule.steps else replace(schedule, steps=tuple(steps))


def work_of(schedule: Schedule, position: int) -> Work | None:
    """What a step does with which finish; None where it is neither put on nor wiped off."""
    if not 0 <= position < len(schedule.steps):
        return None
    step = schedule.steps[position]
    if step.kind is StepKind.COAT and step.finish is not None:
        return step.finish, step.kind
    if step.kind is StepKind.WIPE:
        below = next((s.finish for s in reversed(schedule.steps[:position]) if s.finish is not None), None)
        return None if below is None else (below, step.kind)
    return None
