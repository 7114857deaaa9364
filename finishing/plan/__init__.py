"""Planning, pure: problem in, plan out. Knows no file, store, screen or clock, and loads no solver until asked.

`solve_project` is the general core: activities with renewable resources, minimum and maximum time lags, least
makespan. `solve` is the same with progress, a stop token and a choice of effort.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from finishing.plan.limits import Limits, Progress, StopToken
from finishing.plan.project import Lag, Project, ProjectResult, Status, project_of

if TYPE_CHECKING:
    from finishing.plan.limits import OnProgress

__all__ = [
    "Lag",
    "Limits",
    "Progress",
    "Project",
    "ProjectResult",
    "Status",
    "StopToken",
    "project_of",
    "solve",
    "solve_project",
    "violations",
]


def solve_project(
    durations: Sequence[int],
    demands: Sequence[Sequence[int]],
    capacities: Sequence[int],
    lags: Sequence[Lag],
    *,
    horizon: int,
    time_limit: float,
) -> ProjectResult:
    """The schedule of least makespan: every start ≥ 0 and every completion ≤ `horizon`.

    durations[i]: whole units of time, ≥ 0. demands[i][k]: units of renewable resource k that activity i holds
    from its start up to, not including, its end. capacities[k]: units there are at any time. lags: (i, j, d)
    for start_j ≥ start_i + d; a negative d is a maximum lag of -d from j to i. time_limit [s]. An activity of
    zero duration holds nothing. BadInput if a value is not what its field takes.
    """
    project = project_of(durations, demands, capacities, lags)
    return solve(project, horizon=horizon, limits=Limits(time_limit))


def solve(
    project: Project,
    *,
    horizon: int,
    limits: Limits,
    on_progress: OnProgress | None = None,
    stop: StopToken | None = None,
) -> ProjectResult:
    """`solve_project` for a project already built, telling `on_progress` of each better plan and bound.

    `on_progress` is called in the caller's thread. Once `stop` is set, the best so far comes back.
    """
    from finishing.plan.run import run

    return run(project, horizon=horizon, limits=limits, on_progress=on_progress, stop=stop)


def violations(project: Project, starts: Sequence[int], horizon: int) -> list[str]:
    """Every way in which a schedule breaks its project, in words; [] if it holds."""
    from finishing.plan.check import violations as found

    return found(project, starts, horizon)
