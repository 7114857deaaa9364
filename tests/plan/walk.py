"""An independent check of a plan of batches: plays it through the cure model and looks at every minute of it.

It reads when each task begins and how many minutes it takes, and asks `cure.progress` the rest: no curve, gate or
score of the planner is used, so that a mistake in them can't hide itself.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from finishing.cure.climate import PlaceAir
from finishing.cure.coat import Coat, ShopFactor
from finishing.cure.fold import State
from finishing.cure.progress import Progress, progress
from finishing.cure.terms import Release, Stage, StepKind
from finishing.cure.work import AbradeEntry, Batch, CoatEntry, Entry, StepEntry

MINUTE = 1.0 / 60.0
SLACK = 1e-9

Air = Mapping[str, PlaceAir]


@dataclass(frozen=True)
class Work:
    """One task as a maker reads it: when it begins [hour], its minutes, its steps, which part of how many."""

    begins: float
    minutes: float
    steps: tuple[int, ...]
    part: tuple[int, int] | None = None
    reopened: bool = False

    @property
    def ends(self) -> float:
        return self.begins + self.minutes * MINUTE


@dataclass
class Walked:
    """What a batch's work comes to: what is wrong with it, its coats, and when it may be packed."""

    wrong: list[str] = field(default_factory=list)
    coats: tuple[Coat, ...] = ()
    packed: float | None = None
    finished: bool = False


def walk(
    batch: Batch,
    entries: Sequence[Entry],
    air: Air,
    now: float,
    level: float,
    works: Sequence[Work],
    shop: Mapping[str, ShopFactor] | None = None,
) -> Walked:
    """Do the work of one batch as planned and complain of whatever the cure model forbids. shop: what was learned."""
    found, done = Walked(), list(entries)
    number = max((e.number for e in done), default=0)

    def at(hour: float) -> Progress:
        return progress(batch, done, air, shop or {}, hour, level=level)

    before = now
    for work in works:
        where = f"{batch.code} {work.steps} at {work.begins:.3f}"
        if work.begins < before - SLACK:
            found.wrong.append(f"{where}: begun before the work before it was over")
        stands = at(work.begins + SLACK)
        if stands.next is None or stands.next.position != work.steps[0]:
            found.wrong.append(f"{where}: not the next step, {stands.next and stands.next.position}")
            return found
        if stands.next.opens is None or stands.next.opens > work.begins + SLACK:
            found.wrong.append(f"{where}: opens only at {stands.next.opens}")
        if work.part is None or work.part[0] == work.part[1]:
            for position in work.steps:
                step = batch.schedule.steps[position]
                number += 1
                stands = at(work.begins + SLACK)
                if stands.next is not None and stands.next.position == position and (
                    stands.next.opens is None or stands.next.opens > work.begins + SLACK
                ) and step.kind is not StepKind.WIPE:  # fmt: skip
                    found.wrong.append(f"{where}: step {position} opens only at {stands.next.opens}")
                if step.kind is StepKind.COAT:
                    if work.reopened:
                        done.append(AbradeEntry(number, work.begins, step.face, 240))
                        number += 1
                    late = at(work.ends).next
                    if late is not None and late.state is State.SHUT:
                        found.wrong.append(f"{where}: step {position} shut at {late.shuts}")
                    done.append(CoatEntry(number, work.ends, position))
                elif step.kind is StepKind.ABRADE:
                    done.append(AbradeEntry(number, work.begins, step.face, step.grit, position))
                elif step.kind is StepKind.WIPE and position - 1 in work.steps:
                    done.append(StepEntry(number, work.ends, position))
                else:
                    done.append(StepEntry(number, work.begins, position))
        before = work.ends
    end = at(before)
    found.coats, found.finished = end.coats, end.finished
    found.packed = end.releases[Release.PACK]
    return found


def by_the_minute(
    works: Mapping[str, Sequence[Work]],
    walked: Mapping[str, Walked],
    batches: Mapping[str, Batch],
    stretches: Sequence[tuple[float, float]],
    makers: int,
    racks: Mapping[str, int],
    start: float,
    end: float,
) -> list[str]:
    """What is wrong with the hands and the racks, minute by minute from `start` to `end` [hours]."""
    wrong = []
    every = [(w.begins, w.ends, code) for code, row in works.items() for w in row]
    wet = [
        (coat.at, handled, code)
        for code, row in walked.items()
        for coat in row.coats
        if (time := coat.stages[Stage.DRY_TO_HANDLE]) is not None and (handled := time.at_level or end) > start
    ]
    for minute in range(int((end - start) * 60)):
        middle = start + (minute + 0.5) * MINUTE
        busy = [code for a, b, code in every if a <= middle < b]
        if len(busy) > makers:
            wrong.append(f"{len(busy)} pairs of hands at {middle:.3f}: {busy}")
        if busy and not any(a <= middle < b for a, b in stretches):
            wrong.append(f"{busy} outside the hours at {middle:.3f}")
        for place, room in racks.items():
            lying = {code for a, b, code in wet if a <= middle < b and batches[code].place == place}
            if sum(batches[code].pieces for code in lying) > room:
                wrong.append(f"rack of {place} over-full at {middle:.3f}: {sorted(lying)}")
    return wrong
