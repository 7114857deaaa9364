"""Moving work of a plan by hand: where it may begin, earlier or later, and the pins that put it there."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from enum import StrEnum

from finishing.errors import FinishingError
from finishing.plan.batches.problem import Task
from finishing.plan.batches.replay import opens_at
from finishing.plan.batches.score import ends
from finishing.plan.batches.serial import Key, first_bit, runs
from finishing.shop.plan.make import Made
from finishing.shop.plan.sheet import Work
from finishing.shop.words import short_time

Pinned = dict[tuple[str, int], float | None]
Mover = Callable[[], Pinned]


class Way(StrEnum):
    """By how much work is moved: a quarter of an hour, or to the stretch of hours before or after."""

    SOONER = "a quarter of an hour sooner"
    LATER = "a quarter of an hour later"
    BEFORE = "the hours before"
    AFTER = "the hours after"


class CantMove(FinishingError):
    """Work can't begin then, or nowhere that way."""


def moved(made: Made, works: Sequence[Work], way: Way) -> Pinned:
    """Pins that move one work, or all of a session as they follow one another, one step along. CantMove: why not."""
    mover = _Mover(made, works)
    first = mover.keys[0]
    start, slots = mover.start(first), mover.task(first).slots
    grid = made.asked.problem.grid
    match way:
        case Way.LATER:
            return mover.put(first_bit(mover.free(slots), start + 1))
        case Way.SOONER:
            return mover.put(_last_bit(mover.free(slots), start - 1), before=True)
        case Way.AFTER:
            after = next((a for a, _ in grid.stretches if a > start), None)
            if after is None:
                raise CantMove(f"{works[0].code}: no working hours after that were planned")
            return mover.put(after)
        case Way.BEFORE:
            before = next((a for a, b in reversed(grid.stretches) if b <= start), None)
            if before is None:
                raise CantMove(f"{works[0].code}: no working hours before that")
            return mover.put(before, before=True)


def put_at(made: Made, works: Sequence[Work], hour: float) -> Pinned:
    """Pins that put work at an hour, or at the next time there are hands after it. CantMove says why not."""
    mover = _Mover(made, works)
    if hour < made.asked.now:
        raise CantMove("that time has passed")
    ready = mover.ready(mover.keys[0])
    slot = made.asked.problem.grid.up(hour)
    if slot < ready:
        raise CantMove(mover.too_soon(mover.keys[0], ready))
    return mover.put(slot)


def here(made: Made, works: Sequence[Work]) -> Pinned:
    """Pins that hold work where it is."""
    return {(w.code, w.steps[0]): w.begins for w in works if _first(w)}


def free(works: Sequence[Work]) -> Pinned:
    """Pins let go of."""
    return {(w.code, w.steps[0]): None for w in works}


def _first(work: Work) -> bool:
    return work.part is None or work.part[0] == 1


def _last_bit(bits: int, not_after: int) -> int:
    """The last bit set up to `not_after`; -1 if there is none."""
    return (bits & ((1 << (not_after + 1)) - 1)).bit_length() - 1 if not_after >= 0 else -1


class _Mover:
    """Some works of a plan, one after the other, and where they may go."""

    def __init__(self, made: Made, works: Sequence[Work]) -> None:
        self.made, self.works = made, [w for w in sorted(works, key=lambda w: w.begins) if _first(w)]
        if not self.works:
            raise CantMove(f"{works[0].code}: the rest of a long work follows its first part; move that")
        problem, plan = made.asked.problem, made.outcome.schedule
        numbers = {job.code: j for j, job in enumerate(problem.jobs)}
        self.keys: list[Key] = [(numbers[w.code], w.number) for w in self.works]
        self.ends = [ends(job, placed) for job, placed in zip(problem.jobs, plan.placed, strict=True)]

    def task(self, key: Key) -> Task:
        """A task."""
        return self.made.asked.problem.jobs[key[0]].tasks[key[1]]

    def start(self, key: Key) -> int:
        """Where it begins now."""
        return self.made.outcome.schedule.placed[key[0]][key[1]].start

    def ready(self, key: Key) -> int:
        """From when on it may begin, the works before it where they are."""
        return opens_at(self.task(key), self.ends[key[0]][: key[1]])

    def free(self, slots: int) -> int:
        """Slots at which so many worked ones in a row begin."""
        return runs(self.made.asked.problem.grid.worked, slots)

    def put(self, slot: int, *, before: bool = False) -> Pinned:
        """Pins of all, the first no sooner than a slot, each after the one before it. before: they are to go sooner."""
        grid = self.made.asked.problem.grid
        now, pins, stretch = slot, {}, -1
        for n, (work, key) in enumerate(zip(self.works, self.keys, strict=True)):
            task, ready = self.task(key), self.ready(key)
            begins = first_bit(self.free(task.slots), max(now, ready, 0))
            late = begins + task.slots > grid.slots
            if n == 0 and before and (slot < 0 or begins >= self.start(key)):
                raise CantMove(self.too_soon(key, ready))
            if late or (n and int(grid.stretch_of[begins]) != stretch):
                raise CantMove(f"{work.code}: there is no room for it with the others in those hours")
            stretch = int(grid.stretch_of[begins])
            now = begins + task.slots
            self.ends[key[0]][key[1]] = now
            pins[work.code, work.steps[0]] = grid.hour(begins)
        return dict(pins)

    def too_soon(self, key: Key, ready: int) -> str:
        """Why it can't begin sooner."""
        problem, settings = self.made.asked.problem, self.made.asked.settings
        job = problem.jobs[key[0]]
        when = short_time(problem.grid.hour(max(ready, 0)), settings.zone, self.made.asked.now)
        if ready <= problem.grid.up(self.made.asked.now):
            return f"{job.code}: no working hours before that"
        return f"{job.code}: not before {when}, what comes before it must be done and dry enough"
