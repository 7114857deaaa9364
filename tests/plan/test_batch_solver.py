"""CP-SAT on batches: against trying every start of tiny problems, never worse than the first plan on random shops."""

from __future__ import annotations

import random
import threading
from dataclasses import dataclass, replace
from functools import cache, reduce
from itertools import product
from operator import or_

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from finishing.plan import Limits
from finishing.plan.batches import NEVER, News, Placed, Problem, Schedule, Score, first_plan, grid_over, plan_batches
from finishing.plan.batches.grid import Grid, Slots
from finishing.plan.batches.problem import Gate, Job, Task
from finishing.plan.batches.replay import replay, violations

from .shops import THOROUGH, Rig
from .test_batches import random_shops

DAY = 96


def rising(draw: random.Random, grid: Grid, least: int, most: int) -> Slots:
    """A curve that rises with the slot, always so much later."""
    slots = np.arange(grid.slots + 1)
    return np.maximum.accumulate(slots + np.array([draw.randint(least, most) for _ in slots]))


def tiny(seed: int) -> Problem:
    """Two or three jobs of two tasks in a grid of five short days, with curves, windows and dates at random."""
    draw = random.Random(seed)
    # Some slots a day for five days, a day being 24 slots of an hour.
    grid = Grid(0.0, 1, 120, tuple((24 * d + 8, 24 * d + 8 + draw.randint(2, 4)) for d in range(5)))
    jobs = []
    for j in range(draw.randint(2, 3)):
        opens, packed = rising(draw, grid, 1, 30), rising(draw, grid, 2, 40)
        shuts = rising(draw, grid, 10, 40)
        size = draw.randint(1, 2)
        first = Task((0,), 1, 60.0 * size, size, handled=rising(draw, grid, 1, 20), packed=packed)
        size = draw.randint(1, 2)
        second = Task(
            (1,), 1, 60.0 * size, size,
            reopened=(60.0 * (size + 1), size + 1),
            gates=(Gate(0, opens),),
            shuts=(Gate(0, shuts),) if draw.random() < 0.6 else (),
            handled=rising(draw, grid, 1, 20),
            packed=packed,
        )  # fmt: skip
        wanted = draw.choice([None, draw.randint(20, 70)])
        jobs.append(Job(f"J{j}", "bench", 1, (first, second), weight=draw.randint(1, 2), wanted=wanted))
    racks = draw.choice([{}, {"bench": 1}, {"bench": 2}])
    return Problem(grid, tuple(jobs), draw.choice([1, 1, 2]), racks)


def racked(problem: Problem, plan: Schedule) -> bool:
    """Whether the rack holds at every slot; a batch counts once however many of its coats are wet."""
    for place, room in problem.racks.items():
        for slot in range(problem.grid.slots + 1):
            lying = 0
            for job, placed in zip(problem.jobs, plan.placed, strict=True):
                held = [
                    p.start <= slot < int(task.handled[p.start + task.takes(p.reopened)])
                    for task, p in zip(job.tasks, placed, strict=True)
                    if task.handled is not None
                ]
                lying += job.pieces * (job.place == place and any(held))
            if lying > room:
                return False
    return True


@dataclass(frozen=True)
class Row:
    """A way to lay one job: late days, days until ready, the stretches it is in as bits."""

    placed: tuple[Placed, ...]
    late: int
    ready: int
    sessions: int


def rows_of(problem: Problem, j: int) -> list[Row]:
    """Every way to lay a job by itself, the best first."""
    alone = replace(problem, jobs=(problem.jobs[j],))
    slots = [s for a, b in problem.grid.stretches for s in range(a, b)]
    rows = []
    for starts in product(slots, repeat=len(alone.jobs[0].tasks)):
        begun = Schedule((tuple(Placed(s) for s in starts),), Score(0, 0, 0, 0))
        plan = replay(alone, begun, {(0, t): s for t, s in enumerate(starts)})
        if not violations(alone, plan):
            bits = 0
            for p in plan.placed[0]:
                bits |= 1 << int(problem.grid.stretch_of[p.start])
            rows.append(Row(plan.placed[0], plan.score.late, plan.score.ready, bits))
    return sorted(rows, key=lambda row: (row.late, row.ready))


@cache
def by_trying_everything(seed: int, jobs: int = 3) -> Score | None:
    """The best score of all plans there are of a tiny problem; None if there is none. What can't be the best is not
    looked at further."""
    problem = some_jobs(tiny(seed), jobs)
    best: Score | None = None
    for rows in product(*(rows_of(problem, j) for j in range(len(problem.jobs)))):
        sessions = reduce(or_, (row.sessions for row in rows), 0).bit_count()
        hoped = Score(0, sum(row.late for row in rows), sum(row.ready for row in rows), sessions)
        if best is not None and hoped >= best:
            continue
        starts = {(j, t): p.start for j, row in enumerate(rows) for t, p in enumerate(row.placed)}
        plan = replay(problem, Schedule(tuple(row.placed for row in rows), Score(0, 0, 0, 0)), starts)
        if not violations(problem, plan) and racked(problem, plan):
            assert plan.score == hoped
            best = plan.score
    return best


def some_jobs(problem: Problem, jobs: int) -> Problem:
    """The first jobs of a problem."""
    return replace(problem, jobs=problem.jobs[:jobs])


@pytest.mark.parametrize("seed", range(12 * THOROUGH))
def test_as_good_as_trying_everything(seed: int) -> None:
    problem = tiny(seed)
    best = by_trying_everything(seed)
    first = first_plan(problem)
    if best is None or first.score.unfinished:
        pytest.skip("does not fit on this grid")
    found = plan_batches(problem, Limits(20.0))
    assert found.proved
    assert found.schedule.score == best == found.bound
    assert violations(problem, found.schedule) == []
    assert racked(problem, found.schedule)
    assert first.score >= best


@settings(max_examples=5 * THOROUGH, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(shop=random_shops())
def test_never_worse_and_always_holds(shop: Rig) -> None:
    problem = shop.problem()
    heard: list[News] = []
    found = plan_batches(problem, Limits(0.5), heard=heard.append)
    assert found.schedule.score <= first_plan(problem).score
    assert found.bound <= found.schedule.score
    assert [n.schedule.score for n in heard] == sorted((n.schedule.score for n in heard), reverse=True)
    assert shop.wrong(problem, found.schedule) == []


def test_no_time_gives_the_first_plan() -> None:
    problem = tiny(1)
    found = plan_batches(problem, Limits(0.0))
    assert found.schedule == first_plan(problem)
    assert not found.proved


def test_a_stop_ends_it() -> None:
    stop = threading.Event()
    stop.set()
    problem = tiny(2)
    assert plan_batches(problem, Limits(60.0), stop=stop).schedule == first_plan(problem)


def test_nothing_to_plan_is_best() -> None:
    grid = grid_over(0.0, 48.0, [(8.0, 10.0)])
    found = plan_batches(Problem(grid, ()), Limits(1.0))
    assert found.proved
    assert found.schedule.placed == ()


def test_a_pinned_start_stays() -> None:
    problem = tiny(3)
    job = problem.jobs[0]
    late = problem.grid.stretches[2][0]
    pinned = replace(job, tasks=(job.tasks[0], replace(job.tasks[1], pinned=late)))
    found = plan_batches(replace(problem, jobs=(pinned, *problem.jobs[1:])), Limits(5.0))
    if not found.schedule.unkept:
        assert found.schedule.placed[0][1].start == late
    assert late < NEVER


@given(st.integers(0, 200))
@settings(max_examples=20 * THOROUGH, deadline=None)
def test_first_plans_of_tiny_problems_hold(seed: int) -> None:
    problem = tiny(seed)
    plan = first_plan(problem, placings=200)
    assert violations(problem, plan) == []
