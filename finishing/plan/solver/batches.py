"""Improving a plan of batches: by other orders at first, then with CP-SAT in stages: fewest late days, then soonest
ready, then fewest sessions.

Each stage keeps what the one before achieved. A plan is proved best when every stage was.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor, wait
from contextlib import suppress
from queue import SimpleQueue

from ortools.sat.python import cp_model

from finishing.plan.batches.least import frozen_jobs, held_fixed, least_score
from finishing.plan.batches.outcome import Heard, News, Outcome
from finishing.plan.batches.problem import Problem
from finishing.plan.batches.reorder import reordered
from finishing.plan.batches.replay import replay
from finishing.plan.batches.score import Schedule, Score
from finishing.plan.limits import Limits, StopToken
from finishing.plan.solver.batch_model import BatchModel, Builder, Key, Stopped, value_of
from finishing.plan.solver.beside import beside
from finishing.plan.solver.nearby import Nearby
from finishing.plan.solver.stretches import LATE, READY, SESSIONS, least_shared

SEED = 1
SHARED, MOST_SHARED_S = 0.4, {LATE: 5.0, READY: 5.0, SESSIONS: 1.5}
"""Share of the time left that may go into each bound by what the hands can do, and its most. Of sessions it says what
it can at once, and nothing more in a minute (measured)."""

SHARES = {LATE: 0.6, READY: 0.8, SESSIONS: 1.0}
"""By what share of the time left each stage has to end."""

SMALL = 60
"""Of more tasks than these the whole model says nothing in the time there is (measured)."""

NEARBY = 0.3
"""Share of a stage that goes into plans near by, the whole model having the rest; all of it where that is too large."""

ORDERS, MOST_ORDERS_S = {True: 0.15, False: 0.5}, {True: 4.0, False: 20.0}
"""Share of the time that other orders get, and its most, for what is small and what is not."""

MOST_PASSES = {True: 8_000, False: 20_000}
"""What they do in that time; all they do where the clock has no say."""

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

        self.small = problem.size <= SMALL
        self.workers = 1 if limits.deterministic else limits.workers
        self.heard_of: SimpleQueue[tuple[int, int]] = SimpleQueue()
        """Bounds from the thread beside: stage, least."""

    def run(self) -> Outcome:
        """Other orders and bounds first; then what is not reached yet, stage after stage."""
        with suppress(Stopped):
            self._first_things()
            for stage, share in SHARES.items():
                ends = time.monotonic() + self._left() * share
                for step in self._steps(stage):
                    if self.best.score[stage] > self.bound[stage] and not self._over():
                        step(stage, ends)
        return Outcome(self.best, self.bound, self.bound == self.best.score)

    def _steps(self, stage: int) -> list[Callable[[int, float], None]]:
        if stage != SESSIONS:
            return [self._nearby, self._whole]
        # their bound holds for no plan that is ready later; of few batches they are mostly to be proved the fewest
        return [self._shared, self._whole] if self.small else [self._shared, self._nearby, self._whole]

    def _first_things(self) -> None:
        """Other orders, and what no plan beats: beside each other where there are hands for both.

        Not where a batch could not be placed, as other orders may place it and bounds leave it where it is.
        """
        frozen = bool(frozen_jobs(self.problem, self.best))
        if frozen or self.workers == 1:
            self._reorder()
            if frozen:
                self.bound = least_score(self.problem, self.best)
            self._early_bounds()
            self._take_in()
            return
        with ThreadPoolExecutor(1, "bound") as pool:
            bounds = pool.submit(self._early_bounds)
            self._reorder()
            self._near(READY, self._left(), self.workers - 1, lambda: bounds.done() or self._stopped())
            wait([bounds])
        self._take_in()
        bounds.result()

    def _reorder(self) -> None:
        """Other orders of work, for some seconds."""
        begun, seconds = time.monotonic(), min(self._left() * ORDERS[self.small], MOST_ORDERS_S[self.small])

        def gone(passes: int) -> float:
            self._take_in()
            if self._stopped() or self.best.score == self.bound:
                return 1.0
            over = 0.0 if self.limits.deterministic else (time.monotonic() - begun) / seconds
            return max(over, passes / MOST_PASSES[self.small])

        reordered(self.problem, self.best, gone, lambda plan: self._tell(plan, self.bound))

    def _early_bounds(self) -> None:
        """Bounds of late days and days until ready, which hold for better plans too."""
        for stage in (LATE, READY):
            if self.best.score[stage] > self.bound[stage] and not self._over():
                self._bound(stage)

    def _take_in(self) -> None:
        """Bounds that were found since."""
        while not self.heard_of.empty():
            stage, least = self.heard_of.get()
            if least > self.bound[stage]:
                self._tell(self.best, _with(self.bound, stage, min(least, self.best.score[stage])))

    def _left(self) -> float:
        return self.limits.time_limit - (time.monotonic() - self.begun)

    def _stopped(self) -> bool:
        return self.stop is not None and self.stop.is_set()

    def _over(self) -> bool:
        return self._left() <= 0 or self._stopped()

    def _tell(self, plan: Schedule, bound: Score) -> None:
        if plan.score.ready > self.best.score.ready:
            # late by less, and so ready later: what was found of sessions was of plans as soon ready
            bound = bound._replace(sessions=least_score(self.problem, plan).sessions)
        self.best, self.bound = plan, bound
        if self.heard is not None:
            self.heard(News(time.monotonic() - self.begun, plan, bound))

    def _bound(self, stage: int) -> None:
        """What the hands can do by each stretch, if it says more of a part of the score."""
        best = self.best
        seconds = min(self._left() * SHARED, MOST_SHARED_S[stage])
        least = least_shared(self.problem, best, stage, seconds, self.stop)
        if least is None:
            return
        if stage != SESSIONS:
            least += held_fixed(self.problem, best, frozen_jobs(self.problem, best))[stage]
        self.heard_of.put((stage, least))

    def _shared(self, stage: int, _: float) -> None:
        self._bound(stage)
        self._take_in()

    def _nearby(self, stage: int, ends: float) -> None:
        """Plans near the best one, until this part of the score is as good as can be."""
        seconds = (ends - time.monotonic()) * (NEARBY if self.small else 1.0)
        self._near(stage, FOREVER_NEARBY_S if math.isinf(seconds) else seconds, self.workers, self._stopped)

    def _near(self, stage: int, seconds: float, workers: int, enough: Callable[[], bool]) -> None:
        def over() -> bool:
            self._take_in()
            return enough()

        tries = Nearby(self.problem, self.best, workers=workers, tell=lambda plan: self._tell(plan, self.bound))
        tries.run(max(seconds, 0.0), lambda plan: plan.score[stage] <= self.bound[stage], over)
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
