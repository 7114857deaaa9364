"""How likely each batch makes its date: the whole plan played many times over, every coat hardening at its own pace.

Whoever works goes by the plan: whatever is planned first is done first, not before its time, once it is ready and fits
into what is left of the hours. Work that has to wait is done at the next hours there are, before what was planned
later, which so may have to wait itself; and so does a coat for which the rack is still full. What is left out: how far
the air strays from what is expected, and hands slower than they are wont to be.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from finishing.cure.terms import Stage
from finishing.plan.batches.draws import TIMES, Draws, Runs, Standing
from finishing.plan.batches.grid import NEVER, Hours, Slots
from finishing.plan.batches.problem import Job, Problem, Task
from finishing.plan.batches.score import Placed

LAST = np.iinfo(np.int64).max


def chances(problem: Problem, placed: Sequence[Sequence[Placed]], standings: Sequence[Standing]) -> list[float | None]:
    """The chance of each job that it is packed by the hour it is wanted by.

    None for a job that is not all placed, can be given no date, or has none to make.
    """
    draws: dict[str, Hours] = {}
    played = _Play(problem, placed, [Draws(j.code, s, draws) for j, s in zip(problem.jobs, standings, strict=True)])
    played.run()
    found: list[float | None] = []
    for j, (job, standing) in enumerate(zip(problem.jobs, standings, strict=True)):
        whole = len(placed[j]) == len(job.tasks) and job.dated and standing.wanted is not None
        found.append(_share(played.packed(j), standing) if whole else None)
    return found


def chance_at_rest(code: str, standing: Standing) -> float | None:
    """The same for a batch that only rests."""
    return None if standing.wanted is None else _share(_resting(Draws(code, standing, {})), standing)


def _share(packed: Hours, standing: Standing) -> float:
    assert standing.wanted is not None
    return float(np.mean(packed <= standing.wanted + 1e-9))


def _resting(draws: Draws) -> Hours:
    """When the coats on record may be packed, in every run."""
    packed = np.full(TIMES, -math.inf)
    for coat in draws.standing.coats:
        if Stage.STACKABLE in coat.finish.stages:
            packed = np.maximum(packed, draws.recorded(coat, Stage.STACKABLE))
    return packed


class _Play:
    """All runs at once, slot by slot of the hours; each number an array over jobs and runs."""

    def __init__(self, problem: Problem, placed: Sequence[Sequence[Placed]], draws: Sequence[Draws]) -> None:
        self.problem, self.grid, self.placed, self.draws = problem, problem.grid, placed, draws
        size = len(problem.jobs)
        self.number = np.zeros((size, TIMES), np.int64)
        """Of the task each job does next."""
        self.planned = np.full((size, TIMES), NEVER, np.int64)
        self.from_ = np.full((size, TIMES), NEVER, np.int64)
        """The slot from which it may begin."""
        self.begun: list[list[Slots]] = [[np.full(TIMES, NEVER, np.int64) for _ in row] for row in placed]
        self.over: list[list[Hours]] = [[np.full(TIMES, math.inf) for _ in row] for row in placed]
        self.busy = np.zeros((problem.makers, TIMES), np.int64)
        self.racks = _Racks(problem)
        everyone = np.arange(TIMES)
        for j in range(size):
            self._ahead(j, 0, everyone, np.zeros(TIMES, np.int64))

    def run(self) -> None:
        """Play to the end of the grid, or until all is done."""
        number = self.grid.stretch_of
        outside = {p.start for row in self.placed for p in row if number[p.start] < 0}
        worked = {s for first, last in self.grid.stretches for s in range(first, last)}
        soonest = int(self.from_.min(initial=NEVER))
        for slot in sorted(worked | outside):
            if slot < soonest:
                continue
            in_ = int(number[slot])
            end = self.grid.stretches[in_][1] if in_ >= 0 else slot
            while self._begin(slot, end):
                pass
            soonest = int(self.from_.min(initial=NEVER))

    def _begin(self, slot: int, end: int) -> bool:
        """Let the free hands begin what is next at a slot, in each run one task at most; whether any did or gave up."""
        free = self.busy.min(axis=0) <= slot
        may = (self.from_ <= slot) & free
        if not may.any():
            return False
        size = len(self.problem.jobs)
        first = np.where(may, self.planned * size + np.arange(size)[:, None], LAST)
        chosen = first.argmin(axis=0)
        some = may.any(axis=0)
        for j in np.unique(chosen[some]):
            runs = np.flatnonzero(some & (chosen == j))
            for t in np.unique(self.number[j, runs]):
                self._do(int(j), int(t), slot, end, runs[self.number[j, runs] == t])
        return True

    def _do(self, j: int, t: int, slot: int, end: int, runs: Runs) -> None:
        """Do a task of a job in these runs, or put it off where it doesn't fit into the hours or on the rack."""
        job, where = self.problem.jobs[j], self.placed[j][t]
        task = job.tasks[t]
        reopened = self._shut(j, t, slot, runs)
        slots = np.where(reopened, task.takes(True), task.takes(False))
        fits = (slot + slots <= end) | (slot == where.start)
        self.from_[j, runs[~fits]] = self._next_hours(slot)
        full = self.racks.full(job, task, j, slot, runs)
        self.from_[j, runs[fits & full]] = slot + 1
        go = fits & ~full
        runs, slots, reopened = runs[go], slots[go], reopened[go]
        if not len(runs):
            return
        hands = self.busy[:, runs].argmin(axis=0)
        self.busy[hands, runs] = slot + slots
        self.begun[j][t][runs] = slot
        minutes = np.where(reopened, task.works(True), task.works(False))
        self.over[j][t][runs] = self.grid.hour(slot) + minutes / 60.0
        if task.coat is not None and self.racks.of(job.place):
            handled = self.draws[j].reached(task.coat, Stage.DRY_TO_HANDLE, self.over[j][t][runs], runs)
            self.racks.lay(j, runs, self.grid.up_all(handled))
        self._ahead(j, t + 1, runs, slot + slots)

    def _next_hours(self, slot: int) -> int:
        return next((first for first, _ in self.grid.stretches if first > slot), NEVER)

    def _shut(self, j: int, t: int, slot: int, runs: Runs) -> npt.NDArray[np.bool_]:
        """Whether the window of the coat below will have shut before a task is over.

        As whoever works sees it: at the limit's median, later by as much as a coat was found slower than its own.
        """
        task = self.problem.jobs[j].tasks[t]
        found = np.full(len(runs), slot + task.slots > task.shut_at)
        for gate in task.shuts:
            coat = self.problem.jobs[j].tasks[gate.task].coat
            shuts = gate.curve[np.minimum(self.begun[j][gate.task][runs], self.grid.slots)]
            if coat is not None:
                ready = self.draws[j].reached(coat, Stage.DRY_TO_RECOAT, self.over[j][gate.task][runs], runs)
                shuts = np.maximum(shuts, self.grid.up_all(ready) + task.slots)
            found |= slot + task.slots > shuts
        return found

    def _ahead(self, j: int, t: int, runs: Runs, ended: Slots) -> None:
        """What a job does next in these runs, and from when on."""
        self.number[j, runs] = t
        if t >= len(self.placed[j]):
            self.from_[j, runs] = NEVER
            return
        job, start = self.problem.jobs[j], self.placed[j][t].start
        task, draws = job.tasks[t], self.draws[j]
        ready = np.full(len(runs), -math.inf)
        for coat, stage in task.since:
            ready = np.maximum(ready, draws.recorded(coat, stage)[runs])
        for gate in task.gates:
            coat_ = job.tasks[gate.task].coat
            if gate.stage is not None and coat_ is not None:
                ready = np.maximum(ready, draws.reached(coat_, gate.stage, self.over[j][gate.task][runs], runs))
        after = ended + task.gap if t else ended
        soonest = np.where(np.isinf(ready) & (ready < 0), 0, self.grid.up_all(ready))
        self.planned[j, runs] = start
        self.from_[j, runs] = np.maximum(np.maximum(soonest, after), start)

    def packed(self, j: int) -> Hours:
        """When a job may be packed, in every run."""
        job, draws = self.problem.jobs[j], self.draws[j]
        packed = np.maximum(self.over[j][-1], _resting(draws)) if self.over[j] else _resting(draws)
        for t, task in enumerate(job.tasks):
            if task.coat is not None and Stage.STACKABLE in task.coat.finish.stages:
                packed = np.maximum(packed, draws.reached(task.coat, Stage.STACKABLE, self.over[j][t]))
        return packed


class _Racks:
    """The pieces that lie in each place with limited room, in every run."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.until = np.repeat(np.array([j.on_rack_until for j in problem.jobs], np.int64)[:, None], TIMES, axis=1)
        self._room = {place: max(room, self._now(place)) for place, room in problem.racks.items()}

    def of(self, place: str) -> bool:
        """Whether room is short there."""
        return place in self._room

    def _now(self, place: str) -> int:
        rows = [(t.place, t.pieces, t.until) for t in self.problem.taken]
        rows += [(job.place, job.pieces, job.on_rack_until) for job in self.problem.jobs]
        return sum(pieces for where, pieces, until in rows if where == place and until > 0)

    def full(self, job: Job, task: Task, j: int, slot: int, runs: Runs) -> npt.NDArray[np.bool_]:
        """Whether a coat finds no room, in these runs."""
        if task.handled is None or not self.of(job.place):
            return np.zeros(len(runs), np.bool_)
        lying = np.full(len(runs), sum(t.pieces for t in self.problem.taken if t.place == job.place and t.until > slot))
        for other, each in enumerate(self.problem.jobs):
            if each.place == job.place and other != j:
                lying += each.pieces * (self.until[other, runs] > slot)
        return np.asarray(lying + job.pieces > self._room[job.place])

    def lay(self, j: int, runs: Runs, until: Slots) -> None:
        """A coat lies until it may be handled."""
        self.until[j, runs] = np.maximum(self.until[j, runs], until)
