"""A problem of batches as a CP-SAT model, in time that is worked.

Starts are numbers of worked slots, so that nights and days off take no room and every start there is, is one the hours
allow. What a coat opens, shuts or promises only rises with its start; each such curve is written as steps over
literals [start ≥ a], one for each value it takes.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

import numpy as np
from ortools.sat.python import cp_model

from finishing.plan.batches.grid import NEVER, Slots
from finishing.plan.batches.least import frozen_jobs, least_starts
from finishing.plan.batches.problem import Problem, Task
from finishing.plan.batches.score import Schedule

Literal = cp_model.IntVar
Key = tuple[int, int]


@dataclass
class Spot:
    """A task in the model: its start, the last slot it takes, whether it abrades a shut window first."""

    task: Task
    start: cp_model.IntVar
    last: cp_model.LinearExprT
    reopened: Literal | None
    last_var: cp_model.IntVar
    offset: int
    """last = last_var + offset."""


@dataclass
class BatchModel:
    """The model, its spots by (job, task), and what may be minimised."""

    model: cp_model.CpModel
    spots: dict[Key, Spot] = field(default_factory=dict)
    late: list[cp_model.LinearExprT] = field(default_factory=list)
    ready: list[cp_model.LinearExprT] = field(default_factory=list)
    sessions: list[Literal] = field(default_factory=list)
    fixed: tuple[int, int, int] = (0, 0, 0)
    """Late days, days until ready and sessions of what is not to be moved."""


class Stopped(Exception):
    """It was enough before the model was built."""


class Builder:
    """Builds the model of one problem, hinted by a plan that holds.

    held: jobs that stay as they are in it. enough: asked now and then while building; Stopped once it is.
    """

    def __init__(
        self,
        problem: Problem,
        first: Schedule,
        *,
        sessions: bool,
        held: frozenset[int] = frozenset(),
        enough: Callable[[], bool] = lambda: False,
    ) -> None:
        self.problem, self.first, self.grid = problem, first, problem.grid
        self.model = cp_model.CpModel()
        self.built = BatchModel(self.model)
        self.slots = np.array([s for a, b in self.grid.stretches for s in range(a, b)], np.int64)
        """The worked slots; a start in the model is a position in it."""
        self.offsets = np.searchsorted(self.slots, [a for a, _ in self.grid.stretches])
        self._literals: dict[tuple[int, int], Literal] = {}
        self.frozen = frozen_jobs(problem, first) | held
        self._intervals: list[cp_model.IntervalVar] = []
        for j in range(len(problem.jobs)):
            if enough():
                raise Stopped
            if j in self.frozen:
                self._freeze(j)
            else:
                self._add_job(j)
        self._hands()
        self._racks()
        if sessions:
            self._sessions()

    # --- jobs ---

    def _freeze(self, j: int) -> None:
        for task, where in zip(self.problem.jobs[j].tasks, self.first.placed[j], strict=False):
            first, last = np.searchsorted(self.slots, [where.start, where.start + task.takes(where.reopened)])
            if last > first:
                self._intervals.append(self.model.new_fixed_size_interval_var(int(first), int(last - first), ""))

    def _add_job(self, j: int) -> None:
        job = self.problem.jobs[j]
        least = least_starts(job, self.grid)
        for t, task in enumerate(job.tasks):
            self.built.spots[j, t] = self._spot(j, t, task, least[t])
        for t in range(len(job.tasks)):
            self._lags(j, t)
            self._windows(j, t)
        self._releases(j)

    def _spot(self, j: int, t: int, task: Task, least: int) -> Spot:
        where = self.first.placed[j][t]
        shutting = bool(task.shuts) or task.shut_at < NEVER
        extra = task.reopened[1] - task.slots if shutting else 0
        name = f"{j}_{t}"
        start = self.model.new_int_var_from_domain(self._starts(task.slots, least, task.pinned), f"start_{name}")
        self.model.add_hint(start, self._position(where.start))
        size: cp_model.LinearExprT = task.slots
        last_var, offset, reopened = start, task.slots - 1, None
        if shutting:
            reopened = self.model.new_bool_var(f"reopened_{name}")
            self.model.add_hint(reopened, where.reopened)
            size = task.slots + extra * reopened
            last_var, offset = self.model.new_int_var(0, len(self.slots) - 1, f"last_{name}"), 0
            self.model.add(last_var == start + size - 1)
            longer = self._starts(task.reopened[1], least, task.pinned)
            self.model.add_linear_expression_in_domain(start, longer).only_enforce_if(reopened)
        last = last_var + offset
        self._intervals.append(self.model.new_interval_var(start, size, last + 1, f"work_{name}"))
        return Spot(task, start, last, reopened, last_var, offset)

    def _position(self, slot: int) -> int:
        return int(np.searchsorted(self.slots, slot))

    def _starts(self, size: int, least: int, pinned: int | None) -> cp_model.Domain:
        """Positions at which so many slots in a row are worked, from a slot on."""
        if pinned is not None:
            return cp_model.Domain(self._position(pinned), self._position(pinned))
        lowest = self._position(least)
        ranges = []
        for offset, (first, last) in zip(self.offsets, self.grid.stretches, strict=True):
            low, high = max(int(offset), lowest), int(offset) + (last - first) - size
            if low <= high:
                ranges.append([low, high])
        return cp_model.Domain.from_intervals(ranges)

    # --- curves ---

    def at_least(self, var: cp_model.IntVar, value: int) -> Literal:
        """The literal [var ≥ value], made once."""
        key = (var.index, value)
        if key not in self._literals:
            literal = self.model.new_bool_var("")
            self.model.add(var >= value).only_enforce_if(literal)
            self.model.add(var <= value - 1).only_enforce_if(~literal)
            self._literals[key] = literal
        return self._literals[key]

    def _steps(self, spot: Spot, curve: Callable[[Slots], Slots]) -> Iterator[tuple[Literal | None, int]]:
        """A rising curve over the end of a task: (from which end on, value); None: always.

        curve: the value for each slot at which the task may end.
        """
        low = int(self._bounds(spot.last_var)[0]) + spot.offset
        ends = self.slots[low:] + 1
        values = np.maximum.accumulate(curve(ends))
        begun: int | None = None
        for n in np.flatnonzero(np.diff(values, prepend=values[:1] - 1)):
            value = int(values[n])
            if begun is None:
                yield None, value
            else:
                yield self.at_least(spot.last_var, low + int(n) - spot.offset), value
            begun = value

    def _bounds(self, var: cp_model.IntVar) -> tuple[int, int]:
        domain = list(var.proto.domain)  # the message's own list takes no index from the end
        return int(domain[0]), int(domain[-1])

    def _lags(self, j: int, t: int) -> None:
        """A task begins once the one before is over, and once every coat it waits for is ready."""
        job, spot = self.problem.jobs[j], self.built.spots[j, t]
        if t:
            before = self.built.spots[j, t - 1]
            self.model.add(spot.start >= before.last + 1)
            if spot.task.gap:
                self._open(before, spot, lambda ends: ends + spot.task.gap)
        for gate in job.tasks[t].gates:
            self._open(self.built.spots[j, gate.task], spot, lambda ends, c=gate.curve: c[ends])  # type: ignore[misc]

    def _open(self, before: Spot, after: Spot, curve: Callable[[Slots], Slots]) -> None:
        def opens(ends: Slots) -> Slots:
            return np.searchsorted(self.slots, curve(ends))

        for literal, value in self._steps(before, opens):
            bound = self.model.add(after.start >= value)
            if literal is not None:
                bound.only_enforce_if(literal)

    def _windows(self, j: int, t: int) -> None:
        """A task is over before the windows shut, or abrades first."""
        spot = self.built.spots[j, t]
        if spot.reopened is None:
            return
        if spot.task.shut_at < NEVER:
            self.model.add(spot.last <= self._last_before(spot.task.shut_at)).only_enforce_if(~spot.reopened)
        for gate in spot.task.shuts:
            before = self.built.spots[j, gate.task]
            low = self._bounds(before.start)[0]
            shuts = np.array([self._last_before(int(s)) for s in gate.curve[self.slots[low:]]])
            shuts = np.maximum.accumulate(shuts)
            for n in np.flatnonzero(np.diff(shuts, append=shuts[-1:] + 1)):
                # begun no later than here, it is over by then
                bound = self.model.add(spot.last <= int(shuts[n]))
                later = low + int(n) + 1
                if later < len(self.slots):
                    bound.only_enforce_if([~spot.reopened, ~self.at_least(before.start, later)])
                else:
                    bound.only_enforce_if(~spot.reopened)

    def _last_before(self, slot: int) -> int:
        """The last position that is over by a slot."""
        return int(np.searchsorted(self.slots, slot)) - 1

    # --- what it comes to ---

    def _releases(self, j: int) -> None:
        """Late days and days until ready, as sums of the steps of the coat that is ready last."""
        job, per_day = self.problem.jobs[j], self.grid.per_day
        if not job.dated:
            return
        rows = self._promises(j)

        def ready(when: Slots) -> Slots:
            return when // per_day

        def late(when: Slots) -> Slots:
            wanted = NEVER * 2 if job.wanted is None else job.wanted
            return np.maximum(-((wanted - when) // per_day), 0) * job.weight

        self.built.ready += self._total(rows, ready, f"ready_{j}")
        if job.wanted is not None:
            self.built.late += self._total(rows, late, f"late_{j}")

    def _promises(self, j: int) -> list[tuple[Spot, Slots]]:
        """By task: when the job may be packed as far as it goes, by end [slot]; what is never last is left out."""
        job = self.problem.jobs[j]
        rows: list[tuple[Spot, Slots]] = []
        ends = np.arange(self.grid.slots + 1)
        for t in range(len(job.tasks) - 1, -1, -1):
            task = job.tasks[t]
            if task.packed is None and t < len(job.tasks) - 1:
                continue
            curve = np.maximum(ends, job.packed_at)
            if task.packed is not None:
                curve = np.maximum(curve, task.packed)
            if all((curve > later).any() for _, later in rows):
                rows.append((self.built.spots[j, t], np.minimum(curve, NEVER)))
        return rows

    def _total(
        self, rows: list[tuple[Spot, Slots]], worth: Callable[[Slots], Slots], name: str
    ) -> list[cp_model.LinearExprT]:
        """Terms that sum up to the worst of the rows."""
        steps = [list(self._steps(spot, lambda ends, c=curve: worth(c[ends]))) for spot, curve in rows]  # type: ignore[misc]
        if len(steps) == 1:
            terms: list[cp_model.LinearExprT] = []
            before = 0
            for literal, value in steps[0]:
                terms.append(value if literal is None else (value - before) * literal)
                before = value
            return terms
        most = max(value for row in steps for _, value in row)
        worst = self.model.new_int_var(0, most, name)
        for row in steps:
            for literal, value in row:
                bound = self.model.add(worst >= value)
                if literal is not None:
                    bound.only_enforce_if(literal)
        return [worst]

    # --- what is shared ---

    def _hands(self) -> None:
        if self.problem.makers == 1:
            self.model.add_no_overlap(self._intervals)
        else:
            self.model.add_cumulative(self._intervals, [1] * len(self._intervals), self.problem.makers)

    def _sessions(self) -> None:
        """A stretch is used if any task begins in it; together those used are long enough for all the work."""
        size = len(self.grid.stretches)
        used = [self.model.new_bool_var(f"session_{k}") for k in range(size)]
        for spot in self.built.spots.values():
            low, high = self._bounds(spot.start)
            for k, offset in enumerate(map(int, self.offsets)):
                after = int(self.offsets[k + 1]) if k + 1 < size else len(self.slots)
                if after <= low or offset > high:
                    continue
                clause: list[Literal] = [used[k]]
                if offset > low:
                    clause.append(~self.at_least(spot.start, offset))  # type: ignore[arg-type]
                if after <= high:
                    clause.append(self.at_least(spot.start, after))
                self.model.add_bool_or(clause)
        for j in self.frozen:
            for where in self.first.placed[j]:
                if (number := int(self.grid.stretch_of[where.start])) >= 0:
                    self.model.add(used[number] == 1)
        lengths = [(last - first) * self.problem.makers for first, last in self.grid.stretches]
        work = sum(spot.task.slots for spot in self.built.spots.values())
        self.model.add(cp_model.LinearExpr.weighted_sum(used, lengths) >= work)
        self.built.sessions = used

    def _racks(self) -> None:
        from finishing.plan.solver.batch_racks import add_racks

        add_racks(self)


def value_of(terms: list[cp_model.LinearExprT]) -> cp_model.LinearExprT:
    """The sum of terms."""
    return cp_model.LinearExpr.sum(terms)
