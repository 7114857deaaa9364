"""Placing tasks one after the other at their earliest place: hands, racks and lags, and nothing else.

The hands' free slots are the bits of whole numbers, one for each maker, so that the first place for some slots in a
row is found in a handful of shifts.
"""

from __future__ import annotations

import heapq
from collections.abc import Collection, Iterable, Mapping, Sequence

import numpy as np

from finishing.plan.batches.grid import NEVER
from finishing.plan.batches.problem import Job, Problem, Task
from finishing.plan.batches.score import Placed, Schedule, score

Key = tuple[int, int]
"""(job, task)."""


def runs(free: int, slots: int) -> int:
    """Bits at which `slots` free ones in a row begin."""
    have = 1
    while have * 2 <= slots:
        free &= free >> have
        have *= 2
    return free & (free >> (slots - have)) if have < slots else free


def first_bit(bits: int, not_before: int) -> int:
    """The first bit set from `not_before` on; NEVER if there is none."""
    bits >>= not_before
    return NEVER if not bits else not_before + (bits & -bits).bit_length() - 1


class Placing:
    """One pass over a problem. `keep`: where tasks are to begin if they can; a pin of the problem counts before it.

    closed: numbers of stretches that are not to be used.
    """

    def __init__(self, problem: Problem, keep: Mapping[Key, int] | None = None, closed: Collection[int] = ()) -> None:
        self.problem, self.keep = problem, dict(keep or {})
        self.placed: list[list[Placed]] = [[] for _ in problem.jobs]
        self._ends: list[list[int]] = [[] for _ in problem.jobs]
        self.unkept: list[Key] = []
        self._free = [problem.grid.worked] * problem.makers
        self._held: dict[Key, tuple[int, int]] = {}
        self._room, self._on_rack = _racks(problem)
        self._reserve(closed)

    def _reserve(self, closed: Collection[int]) -> None:
        """Keep the hands free for what has its place already: pins first, then what is to be kept."""
        pinned = []
        for j, job in enumerate(self.problem.jobs):
            for t, task in enumerate(job.tasks):
                if task.pinned is not None:
                    self.keep[j, t] = task.pinned
                    pinned.append((j, t))
        self._hold_all(pinned)
        for number in closed:
            first, last = self.problem.grid.stretches[number]
            self._free = [free & ~(((1 << (last - first)) - 1) << first) for free in self._free]
        self._hold_all([key for key in self.keep if self._pin(key) is None])

    def _hold_all(self, keys: Iterable[Key]) -> None:
        for key in sorted(keys, key=self.keep.__getitem__):
            self._hold(key, self.keep[key], self.problem.jobs[key[0]].tasks[key[1]].slots)

    def _pin(self, key: Key) -> int | None:
        return self.problem.jobs[key[0]].tasks[key[1]].pinned

    def _hold(self, key: Key, start: int, slots: int) -> bool:
        """Take a maker for a while, also outside the hours where it is a pin; whether one was free."""
        want = ((1 << slots) - 1) << start
        meant = want & self.problem.grid.worked if self._pin(key) is not None else want
        for maker, free in enumerate(self._free):
            if free & meant == meant:
                self._free[maker] = free & ~meant
                self._held[key] = (maker, meant)
                return True
        return False

    def _release(self, key: Key) -> None:
        maker, bits = self._held.pop(key)
        self._free[maker] |= bits

    def next_task(self, j: int) -> Task | None:
        """The next task of a job; None when all are placed."""
        done, tasks = len(self.placed[j]), self.problem.jobs[j].tasks
        return tasks[done] if done < len(tasks) else None

    def ready(self, j: int) -> int:
        """The slot at which the next task of a job may begin, as far as its own batch goes."""
        t = len(self.placed[j])
        task, ended = self.problem.jobs[j].tasks[t], self._ends[j]
        earliest = task.earliest
        if t:
            earliest = max(earliest, ended[-1] + task.gap)
        for gate in task.gates:
            earliest = max(earliest, int(gate.curve[ended[gate.task]]))
        return earliest

    def shuts(self, j: int) -> int:
        """The slot at which the next task of a job must be over, or abrade first."""
        task = self.problem.jobs[j].tasks[len(self.placed[j])]
        return min([task.shut_at, *(int(g.curve[self.placed[j][g.task].start]) for g in task.shuts)])

    def place(self, j: int) -> bool:
        """Place the next task of a job; False if it finds no place before the grid ends."""
        key = (j, len(self.placed[j]))
        ready, shuts = self.ready(j), self.shuts(j)
        if key in self.keep and self._place_kept(key, ready, shuts):
            return True
        task = self.problem.jobs[j].tasks[key[1]]
        found = self._earliest(j, task, ready, False)
        if found is None or found[0] + task.slots > shuts:
            found = self._earliest(j, task, ready, True) if shuts < NEVER else found
            reopened = shuts < NEVER
        else:
            reopened = False
        if found is None:
            return False
        start, maker = found
        self._free[maker] &= ~(((1 << task.takes(reopened)) - 1) << start)
        self._settle(j, task, Placed(start, reopened))
        return True

    def _place_kept(self, key: Key, ready: int, shuts: int) -> bool:
        """Leave a task where it is to be kept, if the rest lets it be; else give its time back."""
        j, t = key
        task, start = self.problem.jobs[j].tasks[t], self.keep[key]
        pinned = self._pin(key) is not None
        held = key in self._held
        if held and start >= ready:
            reopened = start + task.slots > shuts
            if not reopened or self._widen(key, start, task):
                placed = Placed(start, reopened)
                if self._fits(j, task, start, start + task.takes(reopened)) is None:
                    self._settle(j, task, placed)
                    return True
        if key in self._held:
            self._release(key)
        if pinned:
            self.unkept.append(key)
        return False

    def _widen(self, key: Key, start: int, task: Task) -> bool:
        """Hold a task's maker for the abrading too; only a pin is worth it, what is merely kept would move."""
        if self._pin(key) is None:
            return False
        self._release(key)
        return self._hold(key, start, task.reopened[1])

    def _earliest(self, j: int, task: Task, not_before: int, reopened: bool) -> tuple[int, int] | None:
        """The first start from a slot on, and the maker who is free; None if there is none on the grid."""
        slots = task.takes(reopened)
        open_ = [runs(free, slots) for free in self._free]
        start = not_before
        while start <= self.problem.grid.slots:
            firsts = [first_bit(bits, start) for bits in open_]
            start = min(firsts)
            if start >= NEVER:
                return None
            full = self._fits(j, task, start, start + slots)
            if full is None:
                return start, firsts.index(start)
            start = full + 1
        return None

    def _fits(self, j: int, task: Task, start: int, end: int) -> int | None:
        """None if the rack has room from a start on until the coat may be handled, else the last slot it is full."""
        job = self.problem.jobs[j]
        if task.handled is None or job.place not in self._room:
            return None
        first, last = self._span(j, task, start, end)
        taken = self._on_rack[job.place][first:last]
        full = np.flatnonzero(taken + job.pieces > self._room[job.place])
        return None if not len(full) else first + int(full[-1])

    def _span(self, j: int, task: Task, start: int, end: int) -> tuple[int, int]:
        """Slots of room that a coat takes beyond those its batch's coat before still keeps."""
        assert task.handled is not None
        size = self.problem.grid.slots + 1
        return max(start, min(self._kept_until(j), size)), min(int(task.handled[min(end, size - 1)]), size)

    def _kept_until(self, j: int) -> int:
        job, until = self.problem.jobs[j], self.problem.jobs[j].on_rack_until
        for task, end in zip(job.tasks, self._ends[j], strict=False):
            if task.handled is not None:
                until = max(until, int(task.handled[end]))
        return until

    def _settle(self, j: int, task: Task, placed: Placed) -> None:
        """Write down where a task is, and the room its coat takes."""
        end = placed.start + task.takes(placed.reopened)
        job = self.problem.jobs[j]
        if task.handled is not None and job.place in self._room:
            first, last = self._span(j, task, placed.start, end)
            self._on_rack[job.place][first:last] += job.pieces
        self.placed[j].append(placed)
        self._ends[j].append(end)

    def schedule(self) -> Schedule:
        """What has been placed."""
        placed = tuple(tuple(row) for row in self.placed)
        return Schedule(placed, score(self.problem, placed), tuple(self.unkept))


def _racks(problem: Problem) -> tuple[dict[str, int], dict[str, np.ndarray]]:
    """Room by place, and what is taken by slot. A rack that is over-full already is as large as what is on it."""
    size = problem.grid.slots + 1
    taken = {place: np.zeros(size, np.int64) for place in problem.racks}
    rows = [(t.place, t.pieces, t.until) for t in problem.taken]
    rows += [(job.place, job.pieces, job.on_rack_until) for job in problem.jobs]
    for place, pieces, until in rows:
        if place in taken:
            taken[place][: min(until, size)] += pieces
    return {place: max(room, int(taken[place].max(initial=0))) for place, room in problem.racks.items()}, taken


def by_batch(problem: Problem, order: Sequence[int], **more: object) -> Schedule:
    """Each job to its end before the next, filling what the ones before left free."""
    placing = Placing(problem, **more)  # type: ignore[arg-type]
    for j in order:
        while placing.next_task(j) is not None and placing.place(j):
            pass
    return placing.schedule()


def by_time(problem: Problem, order: Sequence[int], **more: object) -> Schedule:
    """Whatever can begin soonest next; of several the first in the order."""
    placing = Placing(problem, **more)  # type: ignore[arg-type]
    rank = {j: n for n, j in enumerate(order)}
    heap = [(placing.ready(j), rank[j], j) for j in order if problem.jobs[j].tasks]
    heapq.heapify(heap)
    while heap:
        _, _, j = heapq.heappop(heap)
        if placing.place(j) and placing.next_task(j) is not None:
            heapq.heappush(heap, (placing.ready(j), rank[j], j))
    return placing.schedule()


def alone(problem: Problem, job: Job) -> Schedule:
    """A job as if it were the only one in the shop."""
    only = Problem(problem.grid, (job,), problem.makers, problem.racks)
    return by_batch(only, [0])
