"""Improving a plan of batches with CP-SAT, in stages: fewest late days, then soonest ready, then fewest sessions.

Each stage keeps what the one before achieved. A plan is proved best when every stage was.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from queue import Empty, SimpleQueue

from ortools.sat.python import cp_model

from finishing.plan.batches.least import frozen_jobs
from finishing.plan.batches.outcome import Heard, News, Outcome
from finishing.plan.batches.problem import Problem
from finishing.plan.batches.replay import replay
from finishing.plan.batches.score import Schedule, Score, score
from finishing.plan.limits import Limits, StopToken
from finishing.plan.solver.batch_model import BatchModel, Builder, Key, value_of
from finishing.plan.solver.stretches import LATE, READY, least_shared

SEED = 1
POLL_S = 0.05
SHARED = 0.25
"""Share of the time left that may go into each bound beforehand."""

MOST_SHARED_S = 4.0
"""It cannot be stopped on the way."""

SHARES = (0.5, 0.75, 1.0)
"""By what share of the time left each stage has to end."""

Starts = dict[Key, int]


def improve(
    problem: Problem, first: Outcome, limits: Limits, *, begun: float, heard: Heard | None, stop: StopToken | None
) -> Outcome:
    """See `finishing.plan.batches.plan_batches`. Never worse than `first`."""
    best, bound, proved = first.schedule, first.bound, True
    for stage, share in enumerate(SHARES, 1):
        if bound[stage] >= best.score[stage]:
            continue  # what each batch needs alone already is as good as it is
        left = limits.time_limit - (time.monotonic() - begun)
        if left <= 0 or (stop is not None and stop.is_set()):
            return Outcome(best, bound, False)

        def tell(found: Schedule, least: int, bound: Score = bound, stage: int = stage) -> None:
            if heard is not None:
                heard(News(time.monotonic() - begun, found, _with(bound, stage, least)))

        if stage in (LATE, READY):
            bound, best_known = (
                _shared(problem, best, bound, stage, min(left * SHARED, MOST_SHARED_S)),
                best.score[stage],
            )
            if bound[stage] >= best_known:
                tell(best, best_known)
                continue
            left = limits.time_limit - (time.monotonic() - begun)
        best, least, done = _Stage(problem, best, stage, bound[stage], limits, left * share, stop, tell).run()
        bound, proved = _with(bound, stage, least), proved and done
    return Outcome(best, bound, proved)


def _shared(problem: Problem, best: Schedule, bound: Score, stage: int, seconds: float) -> Score:
    """The bound, if what the hands can do by each stretch says more of a part of it."""
    least = least_shared(problem, best, stage, seconds)
    if least is None:
        return bound
    least += held_fixed(problem, best, frozen_jobs(problem, best))[stage]
    return _with(bound, stage, min(max(bound[stage], least), best.score[stage]))


def held_fixed(problem: Problem, best: Schedule, frozen: set[int]) -> Score:
    """What the frozen jobs come to, which no model counts."""
    placed = tuple(row if j in frozen else () for j, row in enumerate(best.placed))
    jobs = tuple(job if j in frozen else replace(job, tasks=(), dated=False) for j, job in enumerate(problem.jobs))
    return score(replace(problem, jobs=jobs), placed)


def _with(bound: Score, stage: int, least: int) -> Score:
    return Score(*(least if n == stage else value for n, value in enumerate(bound)))


class _Found(cp_model.CpSolverSolutionCallback):
    """Queues the starts of each better plan, each bound, and None at the end."""

    def __init__(self, built: BatchModel) -> None:
        super().__init__()
        self._built = built
        self.queue: SimpleQueue[Starts | float | None] = SimpleQueue()

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
        stop: StopToken | None,
        tell: Callable[[Schedule, int], None],
    ) -> None:
        self.problem, self.best, self.stage = problem, best, stage
        self.limits, self.seconds, self.stop, self.tell = limits, seconds, stop, tell
        self.builder = Builder(problem, best, sessions=stage == 3)
        self.rest = held_fixed(problem, best, self.builder.frozen)
        self.least = least

    def run(self) -> tuple[Schedule, int, bool]:
        """The best plan, the least the stage's part can be, and whether that was reached."""
        built = self.builder.built
        late, ready = value_of(built.late), value_of(built.ready)
        model = built.model
        if self.stage == 1:
            model.minimize(late)
        else:
            model.add(late <= self.best.score.late - self.rest.late)
            if self.stage == 3:
                model.add(ready <= self.best.score.ready - self.rest.ready)
            model.minimize(ready if self.stage == 2 else value_of(list(built.sessions)))
        self.offset = 0 if self.stage == 3 else self.rest[self.stage]
        if not built.spots:
            return self.best, self.best.score[self.stage], True
        solver = self._solver()
        status = self._solve(solver)
        if status == cp_model.MODEL_INVALID:
            raise AssertionError(f"the solver refused the model: {model.validate()}")
        if status == cp_model.INFEASIBLE:
            raise AssertionError("the solver found no plan where the first is one")
        self._bounded(solver.best_objective_bound)
        done = status == cp_model.OPTIMAL or self.least >= self.best.score[self.stage]
        return self.best, min(self.least, self.best.score[self.stage]), done

    def _solver(self) -> cp_model.CpSolver:
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1 if self.limits.deterministic else self.limits.workers
        solver.parameters.random_seed = SEED
        solver.parameters.catch_sigint_signal = False
        if math.isfinite(self.seconds):
            solver.parameters.max_time_in_seconds = self.seconds
        return solver

    def _solve(self, solver: cp_model.CpSolver) -> int:
        found = _Found(self.builder.built)
        solver.best_bound_callback = found.queue.put
        with ThreadPoolExecutor(1, "plan") as pool:
            task = pool.submit(solver.solve, self.builder.model, found)
            task.add_done_callback(lambda _: found.queue.put(None))
            try:
                self._listen(found, solver)
            finally:
                while not task.done():  # asked again until it has ended: an early request can go unheard
                    solver.stop_search()
                    time.sleep(POLL_S / 10)
        return int(task.result())

    def _listen(self, found: _Found, solver: cp_model.CpSolver) -> None:
        """Take in what is found until the search ends; once the token is set, ask it to end."""
        while True:
            try:
                item = found.queue.get(timeout=POLL_S)
            except Empty:
                item = math.nan
            if item is None:
                return
            if self.stop is not None and self.stop.is_set():
                solver.stop_search()
            if isinstance(item, dict):
                self._better(item)
            elif item == item:
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
