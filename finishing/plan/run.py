"""A project from question to answer: what the lags say, a first plan, then the solver, and a check of the end."""

from __future__ import annotations

import time
from collections.abc import Callable

from finishing.plan.bounds import lower_bound
from finishing.plan.check import violations
from finishing.plan.first import first_plan
from finishing.plan.limits import Limits, OnProgress, Progress, StopToken
from finishing.plan.project import Project, ProjectResult, Status, plain, whole
from finishing.plan.temporal import Contradiction, Windows, analyse


def run(
    project: Project,
    *,
    horizon: int,
    limits: Limits,
    on_progress: OnProgress | None = None,
    stop: StopToken | None = None,
) -> ProjectResult:
    """The best schedule within the limits; see `finishing.plan.solve`."""
    begun = time.monotonic()
    horizon = plain("horizon", horizon)
    whole("horizon", horizon, 0)
    if not project.size:
        return ProjectResult(Status.OPTIMAL, (), 0, 0)
    windows = analyse(project, horizon)
    if isinstance(windows, Contradiction):
        return _infeasible(horizon, windows.reason)
    bound = lower_bound(project, windows)
    if bound > horizon:
        return _infeasible(horizon, f"the lags and resources need {bound} at least, the horizon is {horizon}")

    def enough() -> bool:
        return time.monotonic() - begun >= limits.time_limit or (stop is not None and stop.is_set())

    best = _first(project, windows, bound, enough)
    if on_progress is not None:
        on_progress(Progress(time.monotonic() - begun, best.bound, best.makespan, best.starts))
    if best.status is not Status.OPTIMAL and not enough():
        from finishing.plan.solver import improve

        best = improve(project, windows, horizon, best, limits, begun=begun, on_progress=on_progress, stop=stop)
    return _checked(project, horizon, best)


def _first(project: Project, windows: Windows, bound: int, enough: Callable[[], bool]) -> ProjectResult:
    starts = first_plan(project, windows, bound, enough=enough)
    if starts is None:
        return ProjectResult(Status.UNKNOWN, None, None, bound)
    makespan = project.makespan(starts)
    return ProjectResult(Status.OPTIMAL if makespan == bound else Status.FEASIBLE, starts, makespan, bound)


def _checked(project: Project, horizon: int, result: ProjectResult) -> ProjectResult:
    """The result as it is, once its schedule has passed a check that knows nothing of how it was found."""
    if result.starts is None:
        return result
    broken = violations(project, result.starts, horizon)
    if broken or result.makespan != project.makespan(result.starts):
        raise AssertionError(f"a schedule was found that does not hold: {broken or result.makespan}")
    return result


def _infeasible(horizon: int, reason: str) -> ProjectResult:
    return ProjectResult(Status.INFEASIBLE, None, None, horizon + 1, reason)
