"""A better plan near a good one: a few batches are taken up and laid anew among the others, which stay, over and over.

Small enough to be solved to the end in about a second where the whole is not; the few are those that share hours with
one that is late, more often than not, more of them as long as that goes well.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from concurrent.futures import FIRST_COMPLETED, Future, ThreadPoolExecutor, wait
from threading import Event, Timer

from ortools.sat.python import cp_model

from finishing.plan.batches.least import frozen_jobs, held_fixed
from finishing.plan.batches.problem import Problem
from finishing.plan.batches.replay import replay
from finishing.plan.batches.score import Schedule, late_days, packed
from finishing.plan.solver.batch_model import Builder, Stopped, value_of

AT_FIRST, FEWEST = 5, 2
"""Batches taken up."""

TRY_S = 1.0
"""A try that takes longer is given up, and fewer are taken up next."""

LATE_FIRST, TOGETHER = 0.6, 0.8
"""How often the first is one that is late, and the others those that share its hours."""

POLL_S = 0.02
SEED = 1

Found = tuple[Schedule | None, bool, bool]
"""A plan, if one was found in time; whether no laying of the few beats it; whether the few were all there are."""


class Nearby:
    """Tries from a plan on, as many at a time as there are workers."""

    def __init__(self, problem: Problem, best: Schedule, *, workers: int, tell: Callable[[Schedule], None]) -> None:
        self.problem, self.best, self.workers, self.tell = problem, best, workers, tell
        frozen = frozen_jobs(problem, best)
        self.movable = [j for j in range(len(problem.jobs)) if j not in frozen]
        self.draw = random.Random(SEED)
        self.most = min(AT_FIRST, len(self.movable))
        self.solvers: dict[Future[Found], cp_model.CpSolver] = {}
        self.enough = False
        self.proved = False
        """Whether all were laid anew at once and no plan beats this one."""

    def run(self, seconds: float, good: Callable[[Schedule], bool], stopped: Callable[[], bool]) -> Schedule:
        """The best plan in some seconds, sooner where it is good enough, proved or stopped."""
        over = Event()
        timer = Timer(seconds, over.set)  # a clock that no one else can hold
        timer.daemon = True
        timer.start()
        pool = ThreadPoolExecutor(self.workers, "nearby")
        try:
            while not (self.proved or good(self.best) or stopped() or over.is_set()):
                while len(self.solvers) < self.workers:
                    self._begin(pool)
                done = wait(self.solvers, POLL_S, FIRST_COMPLETED).done
                for task in done:
                    del self.solvers[task]
                    self._heard(task.result())
        finally:
            timer.cancel()
            self.enough = True
            for solver in self.solvers.values():
                solver.stop_search()
            pool.shutdown(wait=False, cancel_futures=True)
        return self.best

    def _begin(self, pool: ThreadPoolExecutor) -> None:
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.linearization_level = 0
        solver.parameters.catch_sigint_signal = False
        solver.parameters.random_seed = self.draw.randrange(2**31)
        solver.parameters.max_time_in_seconds = TRY_S
        task = pool.submit(self._try, self.best, self._few(), solver)
        self.solvers[task] = solver

    def _heard(self, found: Found) -> None:
        """Take in what a try came to."""
        plan, done, all_of_them = found
        if done:
            self.most = min(self.most + self.draw.randrange(2), len(self.movable))
        else:
            self.most = max(self.most - 1, min(FEWEST, len(self.movable)))
        if plan is not None and plan.rank < self.best.rank:
            self.best = plan
            self.tell(plan)
        self.proved = self.proved or (done and all_of_them)

    def _few(self) -> frozenset[int]:
        """Batches to take up."""
        late = [j for j in self.movable if self._late(j)]
        first = self.draw.choice(late if late and self.draw.random() < LATE_FIRST else self.movable)
        others = [j for j in self.movable if j != first]
        if self.draw.random() < TOGETHER:
            share = {j: self._shared(first, j) + self.draw.random() for j in others}
            others.sort(key=share.__getitem__, reverse=True)
        else:
            self.draw.shuffle(others)
        return frozenset([first, *others[: self.most - 1]])

    def _late(self, j: int) -> bool:
        job = self.problem.jobs[j]
        when = packed(job, self.best.placed[j])
        return when is not None and late_days(job, when, self.problem.grid.per_day) > 0

    def _shared(self, first: int, other: int) -> float:
        """Share of a batch's tasks in the hours from shortly before another's first task to its last."""
        number = self.problem.grid.stretch_of
        span = [int(number[p.start]) for p in self.best.placed[first]]
        rows = [int(number[p.start]) for p in self.best.placed[other]]
        return sum(min(span) - 2 <= n <= max(span) for n in rows) / len(rows)

    def _try(self, best: Schedule, few: frozenset[int], solver: cp_model.CpSolver) -> Found:
        """Lay the few anew as well as can be."""
        held = frozenset(range(len(self.problem.jobs))) - few
        try:
            builder = Builder(self.problem, best, sessions=True, held=held, enough=lambda: self.enough)
        except Stopped:
            return None, False, False
        built, rest = builder.built, held_fixed(self.problem, best, builder.frozen)
        late, ready = value_of(built.late), value_of(built.ready)
        day = len(self.problem.grid.stretches) + 1
        most = day * (best.score.ready + self.problem.grid.slots // self.problem.grid.per_day * len(few) + 1)
        worth = value_of([late * most, ready * day, *built.sessions])
        built.model.add(late <= best.score.late - rest.late)
        built.model.minimize(worth)
        status = solver.solve(built.model)
        if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            starts = {key: int(builder.slots[solver.value(spot.start)]) for key, spot in built.spots.items()}
            return replay(self.problem, best, starts), status == cp_model.OPTIMAL, len(few) == len(self.movable)
        return None, False, False
