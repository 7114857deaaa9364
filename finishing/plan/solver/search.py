"""Running CP-SAT: limits, news of better plans and bounds, stopping, and the answer in our own terms."""

from __future__ import annotations

import math
import time
from collections.abc import Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from queue import Empty, SimpleQueue

from ortools.sat.python import cp_model
from ortools.sat.python.cp_model_helper import CpSolverStatus

from finishing.plan.limits import Limits, OnProgress, Progress, StopToken
from finishing.plan.project import Project, ProjectResult, Status
from finishing.plan.solver.model import ProjectModel, build
from finishing.plan.temporal import Windows

SEED = 1
STOP_POLL_S = 0.05

SEARCHES = ("no_lp", "quick_restart_no_lp", "default_lp", "lb_tree_search")
"""Full searches by name, in the order in which workers are given to them."""

Starts = tuple[int, ...]


class _Found(cp_model.CpSolverSolutionCallback):
    """Queues what the solver's threads find: starts of a better plan, a bound, and None at the end."""

    def __init__(self, built: ProjectModel) -> None:
        super().__init__()
        self._built = built
        self.queue: SimpleQueue[Starts | float | None] = SimpleQueue()

    def on_solution_callback(self) -> None:
        """A better plan."""
        self.queue.put(tuple(self.value(var) for var in self._built.starts))

    def ended(self, _: Future[CpSolverStatus]) -> None:
        """The search is over."""
        self.queue.put(None)


def search(
    project: Project,
    windows: Windows,
    horizon: int,
    first: ProjectResult,
    limits: Limits,
    *,
    begun: float,
    on_progress: OnProgress | None,
    stop: StopToken | None,
) -> ProjectResult:
    """See `finishing.plan.solver.improve`."""
    built = build(project, windows, horizon, first)
    left = limits.time_limit - (time.monotonic() - begun)
    if left <= 0:
        return first
    solver = _solver(limits, left)
    found = _Found(built)
    solver.best_bound_callback = found.queue.put
    # The solver runs beside this thread, so that listeners are called here, their errors are raised here, and
    # an interrupt ends the search.
    with ThreadPoolExecutor(1, "plan") as pool:
        task = pool.submit(solver.solve, built.model, found)
        task.add_done_callback(found.ended)
        try:
            for news in _news(project, first, _until_stopped(found, solver, stop)):
                if on_progress is not None:
                    on_progress(Progress(time.monotonic() - begun, news.bound, news.makespan, news.starts))
        finally:
            while not task.done():  # asked again until it has ended: an early request can go unheard
                solver.stop_search()
                time.sleep(STOP_POLL_S / 10)
    return _result(task.result(), solver, built, horizon, first)


def _solver(limits: Limits, seconds: float) -> cp_model.CpSolver:
    solver = cp_model.CpSolver()
    workers = 1 if limits.deterministic else limits.workers
    solver.parameters.num_workers = workers
    # Relaxations in linear programs gain nothing on these models (measured on our random networks of 20):
    # one full search without them, the further workers improving plans and trying other ways.
    solver.parameters.linearization_level = 0
    if 1 < workers <= len(SEARCHES):
        solver.parameters.subsolvers.extend(SEARCHES[: workers - 1])
    solver.parameters.use_strong_propagation_in_disjunctive = True
    solver.parameters.use_dynamic_precedence_in_disjunctive = True
    solver.parameters.random_seed = SEED
    solver.parameters.catch_sigint_signal = False
    if math.isfinite(seconds):
        solver.parameters.max_time_in_seconds = seconds
    return solver


def _until_stopped(found: _Found, solver: cp_model.CpSolver, stop: StopToken | None) -> Iterator[Starts | float]:
    """What is found, until the search ends; once the token is set, the search is asked to end."""
    while True:
        try:
            item = found.queue.get(timeout=None if stop is None else STOP_POLL_S)
        except Empty:
            item = math.nan
        if item is None:
            return
        if stop is not None and stop.is_set():
            solver.stop_search()
        if item != item:  # nan: nothing new
            continue
        yield item


def _news(project: Project, first: ProjectResult, items: Iterator[Starts | float]) -> Iterator[ProjectResult]:
    """Each state of knowledge better than the last, from plans and bounds in any order."""
    best = first
    for item in items:
        if isinstance(item, tuple):
            makespan = project.makespan(item)
            if best.makespan is None or makespan < best.makespan:
                best = ProjectResult(Status.FEASIBLE, item, makespan, min(best.bound, makespan))
                yield best
        elif (bound := _bound(item, best.bound, best.makespan)) > best.bound:
            best = ProjectResult(best.status, best.starts, best.makespan, bound)
            yield best


def _result(
    status: CpSolverStatus,
    solver: cp_model.CpSolver,
    built: ProjectModel,
    horizon: int,
    first: ProjectResult,
) -> ProjectResult:
    if status == cp_model.MODEL_INVALID:
        raise AssertionError(f"the solver refused the model: {built.model.validate()}")
    if status == cp_model.INFEASIBLE:
        if first.starts is not None:
            raise AssertionError("the solver found no schedule where the first plan is one")
        reason = f"lags and resources together leave no schedule by {horizon}"
        return ProjectResult(Status.INFEASIBLE, None, None, horizon + 1, reason)
    bound = _bound(solver.best_objective_bound, first.bound, first.makespan)
    if status == cp_model.UNKNOWN:
        return ProjectResult(first.status, first.starts, first.makespan, bound)
    starts = tuple(solver.value(var) for var in built.starts)
    makespan = solver.value(built.makespan)
    bound = makespan if status == cp_model.OPTIMAL else min(bound, makespan)
    return ProjectResult(Status.OPTIMAL if bound == makespan else Status.FEASIBLE, starts, makespan, bound)


def _bound(value: float, known: int, makespan: int | None) -> int:
    """A proved bound in whole time, never below what is known nor above a plan that exists."""
    bound = max(known, math.ceil(value - 1e-6)) if math.isfinite(value) else known
    return bound if makespan is None else min(bound, makespan)
