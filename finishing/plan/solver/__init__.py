"""Improving and proving with CP-SAT: the only package that imports OR-Tools, and only once asked to solve."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from finishing.plan.limits import Limits, OnProgress, StopToken
    from finishing.plan.project import Project, ProjectResult
    from finishing.plan.temporal import Windows


def improve(
    project: Project,
    windows: Windows,
    horizon: int,
    first: ProjectResult,
    limits: Limits,
    *,
    begun: float,
    on_progress: OnProgress | None = None,
    stop: StopToken | None = None,
) -> ProjectResult:
    """A result never worse than `first`. begun: the time.monotonic() from which the time limit counts."""
    from finishing.plan.solver.search import search

    return search(project, windows, horizon, first, limits, begun=begun, on_progress=on_progress, stop=stop)
