"""Improving a plan of batches with CP-SAT, in stages: fewest late days, then soonest ready, then fewest sessions.

Each stage keeps what the one before achieved. A plan is proved best when every stage was.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable
from contextlib import suppress
from queue import SimpleQueue

from ortools.sat.python import cp_model

from finishing.plan.batches.least import frozen_jobs, held_fixed
from finishing.plan.batches.outcome import Heard, News, Outcome
from finishing.plan.batches.problem import Problem
from finishing.plan.batches.replay import replay
from finishing.plan.batches.score import Schedule, Score
from finishing.plan.limits import Limits, StopToken
from finishing.plan.solver.batch_model import BatchModel, Builder, Key, Stopped, value_of
from finishing.plan.solver.beside import beside
from finishing.plan.solver.nearby import Nearby
from finishing.plan.solver.stretches import LATE, READY, SESSIONS, least_shared

SEED = 1
SHARED = 0.4
"""Share of the time left that may go into each bound beforehand."""

MOST_SHARED_S = 5.0

SHARES = {LATE: 0.6, READY: 0.8, SESSIONS: 1.0}
"""By what share of the time left each stage has to end."""

NEARBY, SMALL = 0.3, 60
"""Share of a stage that goes into plans near by, the whole model having the rest; all of it beyond so many tasks, of
which the whole model says nothing in the time there is (measured)."""

FOREVER_NEARBY_S = 30.0
"""The same where there is no time limit."""

Starts = dict[Key, int]


def improve(
    problem: Problem, first: Outcome, limits: Limits, *, begun: float, heard: Heard | None, stop: StopToken | None
) -> Outcome:
    """See `finishing.plan.batches.plan_batches`. Never worse than `first`."""
    return _Search(problem, first, limits, begun, heard, stop).run()


class _Search:
    """The best plan and the bound so far, and the time there is."""

    def __init__(
        self,
        problem: Problem,
        first: Outcome,
        limits: Limits,
        begun: float,
        heard: Heard | None,
        stop: StopToken | None,
    ) -> None:
        self.problem, self.limits, self.begun, self.heard, self.stop = problem, limits, begun, heard, stop
        self.best, self.bound = first.schedule, first.bound

    def run(self) -> Outcome:
        """The bounds first, which hold for better plans too; then what is not reached yet, stage after stage."""
        with suppress(Stopped):
            for stage in SHARES:
                if self.best.score[stage] > self.bound[stage] and not self._over():
                    self._shared(stage)
            for stage, share in SHARES.items():
                ends = time.monotonic() + self._left() * share
                for step in (self._nearby, self._whole):
                    if self.best.score[stage] > self.bound[stage] and not self._over():
                        step(stage, ends)
        return Outcome(self.best, self.bound, self.bound == self.best.score)

    def _left(self) -> float:
        return self.limits.time_limit - (time.monotonic() - self.begun)

    def _stopped(self) -> bool:
        return self.stop is not None and self.stop.is_set()

    def _over(self) -> bool:
        return self._left() <= 0 or self._stopped()

    def _tell(self, plan: Schedule, bound: Score) -> None:
        self.best, self.bound = plan, bound
        if self.heard is not None:
            self.heard(News(time.monotonic() - self.begun, plan, bound))

    def _shared(self, stage: int) -> None:
        """The bound, if what the hands can do by each stretch says more of a part of it."""
        seconds = min(self._left() * SHARED, MOST_SHARED_S)
        least = least_shared(self.problem, self.best, stage, seconds, self.stop)
        if least is None:
            return
        if stage != SESSIONS:
            least += held_fixed(self.problem, self.best, frozen_jobs(self.problem, self.best))[stage]
        if least > self.bound[stage]:
            self._tell(self.best, _with(self.bound, stage, min(least, self.best.score[stage])))

    def _nearby(self, stage: int, ends: float) -> None:
        """Plans near the best one, until this part of the score is as good as can be."""
        seconds = (ends - time.monotonic()) * (NEARBY if self.problem.size <= SMALL else 1.0)
        if math.isinf(seconds):
            seconds = FOREVER_NEARBY_S
        workers = 1 if self.limits.deterministic else self.limits.workers
        tries = Nearby(self.problem, self.best, workers=workers, tell=lambda plan: self._tell(plan, self.bound))
        least = self.bound[stage]
        tries.run(max(seconds, 0.0), lambda plan: plan.score[stage] <= least, self._stopped)
        if tries.proved:
            self._tell(self.best, self.best.score)

    def _whole(self, stage: int, ends: float) -> None:
        """The whole model, which also proves."""
        seconds = min(self._left(), ends - time.monotonic())
        if seconds <= 0:
            return

        def tell(found: Schedule, least: int) -> None:
            self._tell(found, _with(self.bound, stage, least))

        work = _Stage(self.problem, self.best, stage, self.bound[stage], self.limits, seconds, self._stopped, tell)
        best, least = work.run()
        self.best, self.bound = best, _with(self.bound, stage, least)


def _with(bound: Score, stage: int, least: int) -> Score:
    return Score(*(least if n == stage else value for n, value in enumerate(bound)))


class _Found(cp_model.CpSolverSolutionCallback):
    """Queues the starts of each better plan, and each bound."""

    def __init__(self, built: BatchModel) -> None:
        super().__init__()
        self._built = built
        self.queue: SimpleQueue[Starts | float] = SimpleQueue()

    def on_solution_callback(self) -> None:
        """A better plan."""
        self.queue.put({key: self.value(spot.start) for key, spot in self._built.spots.items()})


class _Stage:
    """One stage: minimise one part of the score, the parts before it held."""

    def __init__(
        self,
        problem: Problem,
        best: Schedule,
        stage: int,
        least: int,
        limits: Limits,
        seconds: float,
        stopped: Callable[[], bool],
        tell: Callable[[Schedule, int], None],
    ) -> None:
        self.problem, self.best, self.stage = problem, best, stage
        self.limits, self.seconds, self.stopped, self.tell = limits, seconds, stopped, tell
        self.builder = Builder(problem, best, sessions=stage == SESSIONS, enough=stopped)
        self.rest = held_fixed(problem, best, self.builder.frozen)
        self.least = least

    def run(self) -> tuple[Schedule, int]:
        """The best plan, and the least the stage's part can be."""
        built = self.builder.built
        late, ready = value_of(built.late), value_of(built.ready)
        model = built.model
        if self.stage == LATE:
            model.minimize(late)
        else:
            model.add(late <= self.best.score.late - self.rest.late)
            if self.stage == SESSIONS:
                model.add(ready <= self.best.score.ready - self.rest.ready)
            model.minimize(ready if self.stage == READY else value_of(list(built.sessions)))
        self.offset = 0 if self.stage == SESSIONS else self.rest[self.stage]
        if not built.spots:
            return self.best, self.best.score[self.stage]
        solver = self._solver()
        status = self._solve(solver)
        if status is None:
            return self.best, min(self.least, self.best.score[self.stage])
        if status == cp_model.MODEL_INVALID:
            raise AssertionError(f"the solver refused the model: {model.validate()}")
        if status == cp_model.INFEASIBLE:
            raise AssertionError("the solver found no plan where the first is one")
        self._bounded(solver.best_objective_bound)
        proved = self.best.score[self.stage] if status == cp_model.OPTIMAL else self.least
        return self.best, min(proved, self.best.score[self.stage])

    def _solver(self) -> cp_model.CpSolver:
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1 if self.limits.deterministic else self.limits.workers
        solver.parameters.random_seed = SEED
        solver.parameters.catch_sigint_signal = False
        if math.isfinite(self.seconds):
            solver.parameters.max_time_in_seconds = self.seconds
        return solver

    def _solve(self, solver: cp_model.CpSolver) -> int | None:
        """The status it ends with; None where it was stopped and did not end at once."""
        found = _Found(self.builder.built)
        solver.best_bound_callback = found.queue.put
        return beside(
            lambda: int(solver.solve(self.builder.model, found)),
            solver.stop_search,
            self.stopped,
            lambda: self._take_in(found),
        )

    def _take_in(self, found: _Found) -> None:
        """What was found since."""
        while not found.queue.empty():
            item = found.queue.get()
            if isinstance(item, dict):
                self._better(item)
            else:
                self._bounded(item)

    def _better(self, starts: Starts) -> None:
        slots = self.builder.slots
        plan = replay(self.problem, self.best, {key: int(slots[n]) for key, n in starts.items()})
        if plan.score < self.best.score:
            self.best = plan
            self.tell(plan, self.least)

    def _bounded(self, value: float) -> None:
        if not math.isfinite(value):
            return
        least = min(math.ceil(value - 1e-6) + self.offset, self.best.score[self.stage])
        if least > self.least:
            self.least = least
            self.tell(self.best, least)
