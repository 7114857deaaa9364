"""A project as a CP-SAT model."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from ortools.sat.python import cp_model

from finishing.plan.cliques import cliques
from finishing.plan.project import Project, ProjectResult
from finishing.plan.temporal import Windows

MOST_PAIRS = 4000
"""Beyond this many, order literals cost more to build than they gain."""


@dataclass(frozen=True, slots=True)
class ProjectModel:
    """The model, the start of every activity and the makespan it minimises."""

    model: cp_model.CpModel
    starts: list[cp_model.IntVar]
    makespan: cp_model.IntVar


def build(project: Project, windows: Windows, horizon: int, first: ProjectResult) -> ProjectModel:
    """Starts within their windows, makespan between the bound and the first plan, hinted by it if there is one."""
    model = cp_model.CpModel()
    starts = [
        model.new_int_var(int(low), int(high), f"start_{i}")
        for i, (low, high) in enumerate(zip(windows.earliest, windows.latest, strict=True))
    ]
    worst = horizon if first.makespan is None else first.makespan
    makespan = model.new_int_var(first.bound, worst, "makespan")
    _add_lags(model, project, windows, starts)
    _add_ends(model, project, windows, starts, makespan)
    _add_resources(model, project, windows, starts)
    _add_orders(model, project, windows, starts)
    model.minimize(makespan)
    if first.starts is not None and first.makespan is not None:
        for var, value in zip(starts, first.starts, strict=True):
            model.add_hint(var, value)
        model.add_hint(makespan, first.makespan)
    return ProjectModel(model, starts, makespan)


def _add_lags(model: cp_model.CpModel, project: Project, windows: Windows, starts: list[cp_model.IntVar]) -> None:
    """The lags given that no chain of others implies more tightly, and the orders found from conflicts."""
    direct = {(i, j) for i, j, least in project.lags if i != j and least >= windows.lag[i, j]}
    for i, j in sorted(direct | set(windows.orders)):
        model.add(starts[j] - starts[i] >= int(windows.lag[i, j]))


def _add_ends(
    model: cp_model.CpModel,
    project: Project,
    windows: Windows,
    starts: list[cp_model.IntVar],
    makespan: cp_model.IntVar,
) -> None:
    """The makespan comes after everything; from each start by the longest path of what must follow it."""
    for i, start in enumerate(starts):
        tail = max(int(windows.lag[i, j]) + duration for j, duration in enumerate(project.durations))
        model.add(makespan - start >= tail)


def _add_resources(model: cp_model.CpModel, project: Project, windows: Windows, starts: list[cp_model.IntVar]) -> None:
    intervals = [
        model.new_fixed_size_interval_var(start, duration, f"run_{i}")
        for i, (start, duration) in enumerate(zip(starts, project.durations, strict=True))
    ]
    for k, capacity in enumerate(project.capacities):
        users = [i for i in range(project.size) if project.held(i)[k]]
        demands = [project.held(i)[k] for i in users]
        if sum(demands) <= capacity:
            continue
        model.add_cumulative([intervals[i] for i in users], demands, capacity)
    for members in cliques(windows.conflict, np.array(project.durations, np.int64)):
        model.add_no_overlap([intervals[i] for i in members])


def _add_orders(model: cp_model.CpModel, project: Project, windows: Windows, starts: list[cp_model.IntVar]) -> None:
    """One literal for each pair that can't run together and may still go either way round.

    Redundant, but the search branches and learns on them: measured, it proves sooner.
    """
    before, after = np.array(project.durations)[:, None], np.array(project.durations)[None, :]
    loose = np.triu(windows.conflict & (windows.lag < before) & (after > windows.lag.T))
    pairs = [(int(i), int(j)) for i, j in np.argwhere(loose)]
    for i, j in pairs if len(pairs) <= MOST_PAIRS else []:
        first = model.new_bool_var(f"before_{i}_{j}")
        model.add(starts[j] - starts[i] >= project.durations[i]).only_enforce_if(first)
        model.add(starts[i] - starts[j] >= project.durations[j]).only_enforce_if(~first)
