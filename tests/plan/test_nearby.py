"""Plans near a good one: they hold, are never worse, and end in time whatever the program's own clock says."""

from __future__ import annotations

import ortools.sat.python.cp_model  # noqa: F401  (before any clock is frozen)
from freezegun import freeze_time

from finishing.plan.batches import batch_at_a_time, first_plan
from finishing.plan.batches.replay import violations
from finishing.plan.solver.nearby import Nearby
from tests.bench.bench_plan import shop

from .test_batch_solver import by_trying_everything, tiny


def test_a_poor_plan_gets_better_step_by_step() -> None:
    """From a batch at a time; nobody's clock moves meanwhile, and it ends all the same."""
    rig = shop(12, 28)
    problem = rig.problem()
    poor = batch_at_a_time(problem)
    heard = []
    with freeze_time("2026-03-10 09:00"):
        tries = Nearby(problem, poor, workers=2, tell=heard.append)
        best = tries.run(60.0, lambda plan: plan.score < poor.score, lambda: False)
        Nearby(problem, poor, workers=1, tell=heard.append).run(0.1, lambda _: False, lambda: False)
    assert best.score < poor.score
    assert all(plan.score < poor.score for plan in heard)
    assert violations(problem, best) == []
    assert rig.wrong(problem, best) == []


def test_all_at_once_is_a_proof() -> None:
    """Where all batches are laid anew together, the plan is the best of all there are."""
    best = by_trying_everything(1)
    tries = Nearby(tiny(1), first_plan(tiny(1)), workers=1, tell=lambda _: None)
    found = tries.run(20.0, lambda _: False, lambda: False)
    assert tries.proved
    assert found.score == best
