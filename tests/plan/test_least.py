"""What no plan can beat, against every plan there is of tiny problems, and against first plans of random shops."""

from __future__ import annotations

import pytest
from hypothesis import given, settings

from finishing.plan.batches import NEVER, first_plan, packed
from finishing.plan.batches.least import frozen_jobs, held_fixed, least_packed, least_score
from finishing.plan.solver.stretches import LATE, READY, SESSIONS, least_shared
from tests.bench.bench_plan import shop as bench_shop

from .shops import THOROUGH, Rig
from .test_batch_solver import by_trying_everything, tiny
from .test_batches import random_shops


@pytest.mark.parametrize("seed", range(12 * THOROUGH))
def test_no_plan_of_a_tiny_problem_beats_it(seed: int) -> None:
    """Every plan there is was tried: the best is no better than the bound, each batch alone or the hands shared out."""
    problem = tiny(seed)
    best = by_trying_everything(seed)
    plan = first_plan(problem)
    if best is None or plan.score.unfinished or frozen_jobs(problem, plan):
        pytest.skip("does not fit on this grid")
    bound = least_score(problem, plan)
    assert bound.late <= best.late
    assert bound[:3] <= best[:3]
    assert bound.sessions <= best.sessions
    late = least_shared(problem, plan, LATE, 20.0)
    assert late is not None
    assert late <= best.late
    if plan.score.late == best.late:
        ready = least_shared(problem, plan, READY, 20.0)
        assert ready is not None
        assert ready <= best.ready
        if plan.score.ready == best.ready:
            sessions = least_shared(problem, plan, SESSIONS, 20.0)
            assert sessions is not None
            assert sessions <= best.sessions


@settings(max_examples=20 * THOROUGH, deadline=None)
@given(shop=random_shops())
def test_no_first_plan_is_ready_sooner(shop: Rig) -> None:
    problem = shop.problem()
    plan = first_plan(problem, placings=300)
    for job, placed in zip(problem.jobs, plan.placed, strict=True):
        when = packed(job, placed)
        if when is not None and when < NEVER:
            soonest = least_packed(job, problem.grid)
            assert soonest is not None
            assert soonest <= when
    assert least_score(problem, plan) <= plan.score


@settings(max_examples=6 * THOROUGH, deadline=None)
@given(shop=random_shops())
def test_no_first_plan_beats_it_with_hands_shared(shop: Rig) -> None:
    problem = shop.problem()
    plan = first_plan(problem, placings=300)
    fixed = held_fixed(problem, plan, frozen_jobs(problem, plan))
    for part in (LATE, READY):
        least = least_shared(problem, plan, part, 5.0)
        assert least is None or least + fixed[part] <= plan.score[part]


def test_hands_shared_say_more_than_each_batch_alone() -> None:
    """Twelve batches in the evenings of six weeks, with time to prove it: within 4 % of the first plan."""
    problem = bench_shop(12, 28).problem()
    plan = first_plan(problem)
    ready = least_shared(problem, plan, READY, 30.0)
    assert ready is not None
    assert least_score(problem, plan).ready < 0.96 * plan.score.ready <= ready <= plan.score.ready
