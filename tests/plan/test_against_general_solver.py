"""The planner against PyJobShop, a general scheduling library with a model of its own, on random projects."""

from __future__ import annotations

import pytest

from finishing.plan import Limits, Status, solve

from .networks import Shape, ample_horizon, network

pyjobshop = pytest.importorskip("pyjobshop", reason="PyJobShop, the general solver compared with, is not installed")


def by_general_solver(project, horizon):
    """(status, makespan) of the same project; each lag as a start-before-start constraint with a delay."""
    model = pyjobshop.Model()
    resources = [model.add_renewable(capacity) for capacity in project.capacities]
    tasks = [model.add_task(latest_end=horizon) for _ in project.durations]
    for task, duration, demands in zip(tasks, project.durations, project.demands, strict=True):
        model.add_mode(task, resources, duration, list(demands))
    for before, after, least in project.lags:
        model.add_start_before_start(tasks[before], tasks[after], least)
    result = model.solve(time_limit=30, display=False, num_workers=1)
    if result.status is pyjobshop.SolveStatus.INFEASIBLE:
        return Status.INFEASIBLE, None
    assert result.status is pyjobshop.SolveStatus.OPTIMAL
    return Status.OPTIMAL, int(result.objective)


@pytest.mark.parametrize("activities", [6, 9, 12])
@pytest.mark.parametrize("tight", [0.1, 0.5])
def test_the_same_answer(activities, tight):
    for seed in range(3):
        shape = Shape(activities, 3, tight, cycles=activities // 3, slack=(0.2, 0.6)[seed % 2])
        project = network(shape, 100 * activities + seed)
        horizon = ample_horizon(project)
        result = solve(project, horizon=horizon, limits=Limits(30, deterministic=True))
        assert (result.status, result.makespan) == by_general_solver(project, horizon), seed
