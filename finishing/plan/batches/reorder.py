"""Better plans by other orders: tasks are placed one by one in some order, and the order is changed a little each time.

Simulated annealing: a change that makes the plan worse is kept too, the less likely the worse it is and the later.
Beside the solver it does what that can't in some seconds: with thirty batches it looks at a thousand whole plans each.
"""

from __future__ import annotations

import math
import random
import time
from collections.abc import Callable, Mapping, Sequence

from finishing.plan.batches.problem import Problem
from finishing.plan.batches.score import Schedule
from finishing.plan.batches.serial import Key, Placing

WARM, COOL = 8.0, 0.3
"""Worsening, in days until ready, that is kept one time in e: at first and in the end. By trial on shops of 12 and 30
batches, as are the weights and moves below."""

UNKEPT, UNFINISHED, LATE, SESSION = 1e6, 1e4, 40.0, 0.3
"""What each is worth in days until ready."""

ONE_TASK, SWAPPED = 0.2, 0.4
"""Moves up to these shares: one task elsewhere; two tasks of the neighbourhood swapped; the others: a whole batch
earlier or later."""

FAR, NEAR = (3, 8, 20), 8
BATCH_BY = 12
SEED = 1


def reordered(
    problem: Problem, plan: Schedule, gone: Callable[[int], float], found: Callable[[Schedule], None]
) -> Schedule:
    """The best plan met, no worse than the one begun with.

    gone: how much of the time is over, from 0 to 1, by the passes made; asked before each, and it ends at 1. found:
    called with every better plan.
    """
    if sum(1 for job in problem.jobs if job.tasks) < 2:
        return plan
    draw = random.Random(SEED)
    best, order = plan, in_order(problem, plan)
    worth = _worth(by_order(problem, order))
    passes = 0
    while (share := gone(passes)) < 1.0:
        passes += 1
        time.sleep(0)  # others of this process, such as a screen, have their turn after every pass
        trial = _changed(draw, order, len(problem.jobs))
        if trial == order:
            continue
        met = by_order(problem, trial)
        worse = _worth(met) - worth
        if worse <= 0.0 or draw.random() < math.exp(-worse / (WARM * (COOL / WARM) ** share)):
            order, worth = trial, worth + worse
            if met.rank < best.rank:
                best = met
                found(best)
    return best


def in_order(problem: Problem, plan: Schedule) -> list[int]:
    """Each job as often as it has tasks, as a plan has them; those that found no place at the end."""
    starts = sorted((where.start, j) for j, row in enumerate(plan.placed) for where in row)
    left = [j for j, row in enumerate(plan.placed) for _ in problem.jobs[j].tasks[len(row) :]]
    return [j for _, j in starts] + left


def by_order(problem: Problem, order: Sequence[int], keep: Mapping[Key, int] | None = None) -> Schedule:
    """Every task at its earliest or where it is kept, in an order of jobs; of a job whose task finds no place, none
    further."""
    placing = Placing(problem, keep)
    stuck: set[int] = set()
    for j in order:
        if j not in stuck and not placing.place(j):
            stuck.add(j)
    return placing.schedule()


def _worth(plan: Schedule) -> float:
    unfinished, late, ready, sessions = plan.score
    return UNKEPT * len(plan.unkept) + UNFINISHED * unfinished + LATE * late + ready + SESSION * sessions


def _changed(draw: random.Random, order: list[int], jobs: int) -> list[int]:
    """An order a little different."""
    size, kind = len(order), draw.random()
    if kind < ONE_TASK:
        trial = order.copy()
        at = draw.randrange(size)
        far = draw.choice((*FAR, size))
        job = trial.pop(at)
        trial.insert(_within(at + draw.randint(-far, far), size), job)
        return trial
    if kind < SWAPPED:
        trial = order.copy()
        at = draw.randrange(size)
        other = _within(at + draw.randint(-NEAR, NEAR), size - 1)
        trial[at], trial[other] = trial[other], trial[at]
        return trial
    moved, by = draw.randrange(jobs), draw.randint(-BATCH_BY, BATCH_BY) + 0.5
    keys = [n + by if j == moved else n for n, j in enumerate(order)]
    return [order[n] for n in sorted(range(size), key=keys.__getitem__)]


def _within(at: int, last: int) -> int:
    return min(max(at, 0), last)
