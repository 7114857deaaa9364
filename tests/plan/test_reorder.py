"""Plans by other orders: they hold, are never worse, are the same each time, and reach what trying everything does."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings

from finishing.plan.batches import Problem, batch_at_a_time, first_plan
from finishing.plan.batches.reorder import reordered
from finishing.plan.batches.replay import violations
from finishing.plan.batches.score import Schedule
from tests.bench.bench_plan import shop

from .shops import THOROUGH, Rig
from .test_batch_solver import by_trying_everything, tiny
from .test_batches import random_shops


def after(problem: Problem, plan: Schedule, passes: int, heard: list[Schedule] | None = None) -> Schedule:
    """The best of so many passes."""
    return reordered(problem, plan, lambda done: done / passes, (heard if heard is not None else []).append)


def test_many_batches_are_late_by_fewer_days_than_at_first() -> None:
    """The evenings of six weeks, thirty batches, ninety coats: walked through the cure model."""
    rig = shop(30, 90)
    problem = rig.problem()
    first = first_plan(problem)
    heard: list[Schedule] = []
    best = after(problem, first, 1500, heard)
    assert best.score.late < first.score.late
    ranks = [plan.rank for plan in heard]
    assert ranks == sorted(ranks, reverse=True)
    assert heard[-1] == best
    assert violations(problem, best) == []
    assert rig.wrong(problem, best) == []
    assert after(problem, first, 1500) == best


@pytest.mark.parametrize("seed", range(12 * THOROUGH))
def test_no_better_than_trying_everything(seed: int) -> None:
    """From a batch at a time, which is often worse; never better than the best there is, and mostly as good."""
    problem = tiny(seed)
    poor, best = batch_at_a_time(problem), by_trying_everything(seed)
    if best is None or poor.score.unfinished:
        pytest.skip("does not fit on this grid")
    found = after(problem, poor, 300)
    assert best <= found.score <= poor.score
    assert violations(problem, found) == []


@settings(max_examples=8 * THOROUGH, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(shop=random_shops())
def test_every_plan_met_holds(shop: Rig) -> None:
    problem = shop.problem()
    first = first_plan(problem, placings=0)
    heard: list[Schedule] = []
    best = after(problem, first, 100, heard)
    assert best.rank <= first.rank
    for plan in heard:
        assert shop.wrong(problem, plan) == []


def test_a_pin_is_kept_before_all_else() -> None:
    rig = shop(12, 28)
    problem = rig.problem()
    first = first_plan(problem)
    late = problem.grid.stretches[-3][0]
    job = problem.jobs[0]
    pinned = replace(job, tasks=(*job.tasks[:-1], replace(job.tasks[-1], pinned=late)))
    problem = replace(problem, jobs=(pinned, *problem.jobs[1:]))
    best = after(problem, first_plan(problem), 300)
    assert best.unkept == ()
    assert best.placed[0][-1].start == late != first.placed[0][-1].start


def test_one_batch_has_no_other_order() -> None:
    problem = replace(tiny(1), jobs=tiny(1).jobs[:1])
    first = first_plan(problem)
    assert after(problem, first, 10) is first
