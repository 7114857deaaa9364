"""What no plan can beat, hands shared: which stretch of the hours each task falls into, and no more than fit into it.

Looser than the whole model, as within a stretch nothing has an order, and much easier to prove something of. With
z[task, e], whether a task is done by the end of a stretch e, every lag reads z[task, e] ≤ z[before, f], f the last
stretch that leaves it open by e; so a mixed integer solver is near the answer from its first relaxation on.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from ortools.linear_solver.python import model_builder as mb

from finishing.plan.batches.grid import NEVER
from finishing.plan.batches.least import frozen_jobs, held_fixed, least_starts
from finishing.plan.batches.problem import Job, Problem
from finishing.plan.batches.score import Placed, Schedule, late_days
from finishing.plan.limits import StopToken
from finishing.plan.solver.beside import beside

Term = tuple[float, mb.Variable]

MOST_TASKS = 60
"""Of more than these the relaxation alone is solved: whole numbers added nothing in the time there is (measured)."""

LATE, READY, SESSIONS = 1, 2, 3
"""Parts of a score, by their place in it."""


def least_shared(
    problem: Problem, best: Schedule, part: int, seconds: float, stop: StopToken | None = None
) -> int | None:
    """The least that the jobs which are not frozen can come to in a part of the score; None if nothing is known.

    LATE; or READY among plans late by no more days than the best; or SESSIONS, those of frozen jobs among them, of
    plans as little late and as soon ready.
    """
    frozen = frozen_jobs(problem, best)
    model = _Model(problem, stop)
    for j, job in enumerate(problem.jobs):
        if model.stopped():
            return None
        if j not in frozen and not model.add(job, best.placed[j]):
            return None
    rest = held_fixed(problem, best, frozen)
    used = {int(problem.grid.stretch_of[p.start]) for j in frozen for p in best.placed[j]}
    return model.least(part, best.score.late - rest.late, best.score.ready - rest.ready, used, seconds)


@dataclass
class _Row:
    """A task: the stretches it may fall into, the soonest end in each, and whether it is done by the end of each."""

    where: list[int]
    ends: list[int]
    done: list[mb.Variable]

    def step(self, n: int, slots: int) -> list[Term]:
        """Slots, if it is done in the n-th of its stretches."""
        return [(slots, self.done[n]), *([(-slots, self.done[n - 1])] if n else [])]

    def expected(self, worth: Callable[[int], int]) -> list[Term]:
        """A worth of its end, by the stretch that it is done in."""
        values = [worth(end) for end in self.ends]
        steps = [here - after for here, after in pairwise(values)]
        return list(zip([*steps, values[-1]], self.done, strict=True))


@dataclass
class _Model:
    """All jobs in one model."""

    problem: Problem
    stop: StopToken | None = None
    model: mb.Model = field(default_factory=mb.Model)
    late: list[Term] = field(default_factory=list)
    ready: list[Term] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.work: list[list[Term]] = [[] for _ in self.problem.grid.stretches]
        self.rows: list[_Row] = []

    def stopped(self) -> bool:
        """Whether it was asked to end."""
        return self.stop is not None and self.stop.is_set()

    def add(self, job: Job, placed: Sequence[Placed]) -> bool:
        """A job's tasks and lags, hinted by where they are; False if one of them finds no stretch."""
        rows: list[_Row] = []
        for t, (task, least) in enumerate(zip(job.tasks, least_starts(job, self.problem.grid), strict=True)):
            row = self._row(job, t, least, int(self.problem.grid.stretch_of[placed[t].start]))
            if row is None:
                return False
            if t:
                self._after(rows[-1], row, task.slots, [end + task.gap for end in rows[-1].ends])
            for gate in task.gates:
                before = rows[gate.task]
                self._after(before, row, task.slots, [int(gate.curve[end:].min()) for end in before.ends])
            rows.append(row)
            self.rows.append(row)
        if job.dated and job.tasks:
            self._dates(job, rows)
        return True

    def _row(self, job: Job, t: int, least: int, hint: int) -> _Row | None:
        task = job.tasks[t]
        where, ends = [], []
        for e, (first, last) in enumerate(self.problem.grid.stretches):
            start = max(first, least) if task.pinned is None else task.pinned
            if first <= start and start + task.slots <= last and _worth(job, t, start + task.slots) < NEVER:
                where.append(e)
                ends.append(start + task.slots)
        if not where:
            return None
        done = [self.model.new_bool_var("") for _ in where[:-1]]
        for e, var in zip(where, done, strict=False):
            self.model.add_hint(var, int(hint <= e))
        for before, after in pairwise(done):
            self._at_most([(1, before), (-1, after)], 0)
        row = _Row(where, ends, [*done, self.model.new_num_var(1.0, 1.0, "")])
        for n, e in enumerate(where):
            self.work[e] += row.step(n, task.slots)
        return row

    def _after(self, before: _Row, row: _Row, slots: int, opened: list[int]) -> None:
        """A lag: by the end of each stretch a task is done only if the one before was early enough."""
        count = 0
        for n, e in enumerate(row.where):
            last = self.problem.grid.stretches[e][1]
            while count < len(opened) and before.where[count] <= e and opened[count] + slots <= last:
                count += 1
            if count == 0:
                self._at_most([(1, row.done[n])], 0)
            elif count < len(opened):
                self._at_most([(1, row.done[n]), (-1, before.done[count - 1])], 0)

    def _dates(self, job: Job, rows: list[_Row]) -> None:
        """Days late and days until ready: no less than each task's own."""
        per_day = self.problem.grid.per_day
        ready = self.model.new_num_var(0.0, math.inf, "")
        late = self.model.new_num_var(0.0, math.inf, "")
        self.ready.append((1, ready))
        self.late.append((job.weight, late))
        for t, row in enumerate(rows):
            if job.tasks[t].packed is None and t < len(rows) - 1:
                continue

            def soonest(end: int, t: int = t) -> int:
                return _worth(job, t, end) // per_day

            def days(end: int, t: int = t) -> int:
                return late_days(job, _worth(job, t, end), per_day)

            self._at_most([*row.expected(soonest), (-1, ready)], 0)
            self._at_most([*row.expected(days), (-1, late)], 0)

    def _at_most(self, terms: Sequence[Term], most: float) -> None:
        self.model.add_linear_constraint(_sum(terms), -math.inf, most)

    def _sessions(self, used: set[int]) -> list[Term]:
        """Whether each stretch is used: by what is in it, whole or a part, and of frozen jobs anyhow."""
        found: list[Term] = []
        for e, ((first, last), work) in enumerate(zip(self.problem.grid.stretches, self.work, strict=True)):
            session = self.model.new_num_var(1.0, 1.0, "") if e in used else self.model.new_bool_var("")
            found.append((1, session))
            if work:
                self._at_most([*work, (-(last - first) * self.problem.makers, session)], 0)
        for row in self.rows:
            for n, e in enumerate(row.where):
                self._at_most([*row.step(n, 1), (-1, found[e][1])], 0)
        return found

    def least(self, part: int, late: int, ready: int, used: set[int], seconds: float) -> int | None:
        """Solve it, and read what is proved."""
        for (first, last), work in zip(self.problem.grid.stretches, self.work, strict=True):
            if work:
                self._at_most(work, (last - first) * self.problem.makers)
        aim = {LATE: self.late, READY: self.ready}.get(part) or (self._sessions(used) if part == SESSIONS else [])
        if not aim:
            return 0
        if part != LATE:
            self._at_most(self.late, late)
        if part == SESSIONS:
            self._at_most(self.ready, ready)
        self.model.minimize(_sum(aim))
        begun = time.monotonic()
        whole = [var for var in self.model.get_variables() if var.is_integral]
        for var in whole:
            var.is_integral = False
        relaxed = self._solved("glop", seconds)
        if relaxed is None or self.problem.size > MOST_TASKS:
            return relaxed
        for var in whole:
            var.is_integral = True
        proved = self._solved("scip", seconds - (time.monotonic() - begun))
        return relaxed if proved is None else max(relaxed, proved)

    def _solved(self, name: str, seconds: float) -> int | None:
        """What a solver proves in its time; None for nothing."""
        solver = mb.Solver(name)
        if seconds <= 0.0 or self.stopped() or not solver.solver_is_supported():
            return None
        solver.set_time_limit_in_seconds(seconds)
        status = beside(lambda: solver.solve(self.model), solver.stop_search, self.stopped)
        if status is None:
            return None
        if status == mb.SolveStatus.OPTIMAL:
            bound = solver.objective_value if name == "glop" else solver.best_objective_bound
        elif status == mb.SolveStatus.FEASIBLE and name == "scip":
            bound = solver.best_objective_bound
        else:
            return None
        return math.ceil(bound - 1e-4) if bound >= 0.0 else None


def _sum(terms: Sequence[Term]) -> mb.LinearExprT:
    return mb.LinearExpr.weighted_sum([var for _, var in terms], [factor for factor, _ in terms])


def _worth(job: Job, t: int, end: int) -> int:
    """When a job may be packed for all that one of its tasks says."""
    curve = job.tasks[t].packed
    return max(job.packed_at, end, int(curve[end:].min()) if curve is not None else 0)
