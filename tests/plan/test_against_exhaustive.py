"""The planner against every schedule there is, on tiny random projects."""

from __future__ import annotations

import time

import pytest

from finishing.plan import Limits, ProjectResult, Status, solve, violations
from finishing.plan.bounds import lower_bound
from finishing.plan.first import first_plan
from finishing.plan.solver import improve
from finishing.plan.temporal import Contradiction, Windows, analyse

from .exhaustive import all_schedules, tiny

LIMITS = Limits(30, deterministic=True)


def best_makespan(project, schedules):
    return min(project.makespan(row) for row in schedules.tolist()) if len(schedules) else None


@pytest.mark.parametrize("block", range(5))
def test_the_answer_is_that_of_trying_everything(block):
    for seed in range(20 * block, 20 * block + 20):
        project, horizon = tiny(seed)
        wanted = best_makespan(project, all_schedules(project, horizon))
        result = solve(project, horizon=horizon, limits=LIMITS)
        assert result.status is (Status.INFEASIBLE if wanted is None else Status.OPTIMAL), seed
        assert result.makespan == wanted, seed


def test_the_solver_alone_gives_the_same_answer():
    """Without a first plan or a bound to lean on."""
    asked = 0
    for seed in range(40):
        project, horizon = tiny(seed)
        windows = analyse(project, horizon)
        if isinstance(windows, Contradiction):
            continue
        nothing = ProjectResult(Status.UNKNOWN, None, None, 0)
        result = improve(project, windows, horizon, nothing, LIMITS, begun=time.monotonic())
        assert result.makespan == best_makespan(project, all_schedules(project, horizon)), seed
        asked += 1
    assert asked > 10


def test_windows_bounds_and_first_plans_never_exclude_a_schedule():
    feasible = come_through = 0
    for seed in range(100):
        project, horizon = tiny(seed)
        schedules = all_schedules(project, horizon)
        windows = analyse(project, horizon)
        if not len(schedules):
            if isinstance(windows, Windows):
                assert first_plan(project, windows, 0) is None, seed
            continue
        assert isinstance(windows, Windows), seed
        assert (windows.earliest <= schedules.min(axis=0)).all(), seed
        assert (windows.latest >= schedules.max(axis=0)).all(), seed
        between = schedules[:, None, :] - schedules[:, :, None]
        assert (windows.lag <= between.min(axis=0)).all(), seed
        bound = lower_bound(project, windows)
        assert bound <= best_makespan(project, schedules), seed
        starts = first_plan(project, windows, bound)
        feasible += 1
        come_through += starts is not None
        assert starts is None or violations(project, starts, horizon) == [], seed
    assert come_through > 0.9 * feasible > 30


def test_the_check_agrees_with_exhaustive_search():
    for seed in range(12):
        project, horizon = tiny(seed)
        if project.size > 3:
            continue
        good = set(map(tuple, all_schedules(project, horizon).tolist()))
        for code in range((horizon + 1) ** project.size):
            starts = tuple(code // (horizon + 1) ** i % (horizon + 1) for i in range(project.size))
            assert (violations(project, starts, horizon) == []) == (starts in good), (seed, starts)
