"""A first plan at once: several rules of priority, the best kept, then a bounded search around it.

Bounded in tasks placed, not in seconds, so that the same problem gives the same plan.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import partial

from finishing.plan.batches.grid import NEVER
from finishing.plan.batches.problem import Job, Problem
from finishing.plan.batches.score import Schedule, packed
from finishing.plan.batches.serial import Key, alone, by_batch, by_time

PLACINGS = 30_000
"""Tasks placed in all, over the rules, the search and the closing of sessions: some tenths of a second."""

ORDERS = 40
"""Orders tried, times the square of how many batches there are: of a few batches there are no more that differ."""

Way = Callable[..., Schedule]


def first_plan(problem: Problem, keep: Mapping[Key, int] | None = None, *, placings: int = PLACINGS) -> Schedule:
    """The best plan of a bounded number of passes. keep: where tasks are to begin if they can.

    placings: how much work, in tasks placed; 0 for the rules alone.
    """
    least = {j: _alone_ready(problem, job) for j, job in enumerate(problem.jobs)}
    best: tuple[Schedule, Way, list[int]] | None = None
    done = 0
    for order in _orders(problem, least):
        for way in (by_batch, by_time):
            found = way(problem, order, keep=keep)
            done += problem.size
            if best is None or found.rank < best[0].rank:
                best = (found, way, list(order))
    assert best is not None
    best, done = _search(problem, best, keep, done, placings * 2 // 3)
    return _fewer_sessions(problem, best, keep, done, placings)


def around(problem: Problem, keep: Mapping[Key, int], placings: int) -> Schedule:
    """The best plan met with tasks kept where they are if they can be, and no session closed that has any of them."""
    size = range(len(problem.jobs))
    free = sorted(size, key=lambda j: ((j, 0) not in keep, _date(problem.jobs[j])))
    tries = [
        (way(problem, order, keep=keep), way, list(order)) for way in (by_batch, by_time) for order in (free, size)
    ]
    best = min(tries, key=lambda row: row[0].rank)
    return _search(problem, best, keep, len(tries) * problem.size, placings)[0][0]


def batch_at_a_time(problem: Problem) -> Schedule:
    """What a maker does by hand: the batch wanted first, all its steps as soon as they can be, then the next."""
    order = sorted(range(len(problem.jobs)), key=lambda j: _date(problem.jobs[j]))
    return by_batch(problem, order)


def _date(job: Job) -> int:
    return NEVER if job.wanted is None else job.wanted


def _alone_ready(problem: Problem, job: Job) -> int:
    when = packed(job, alone(problem, job).placed[0])
    return NEVER if when is None else when


def _orders(problem: Problem, least: Mapping[int, int]) -> Iterator[Sequence[int]]:
    """Orders of urgency: by date, by slack, by slack and weight, shortest, longest, least work first."""
    jobs = problem.jobs
    numbers = range(len(jobs))

    def slack(j: int) -> int:
        return _date(jobs[j]) - least[j]

    def work(j: int) -> float:
        return sum(task.minutes for task in jobs[j].tasks)

    yield sorted(numbers, key=lambda j: (_date(jobs[j]), least[j]))
    yield sorted(numbers, key=lambda j: (slack(j), least[j]))
    yield sorted(numbers, key=lambda j: (-jobs[j].weight, slack(j)))
    yield sorted(numbers, key=lambda j: least[j])
    yield sorted(numbers, key=lambda j: -least[j])
    yield sorted(numbers, key=work)


def _search(
    problem: Problem, best: tuple[Schedule, Way, list[int]], keep: Mapping[Key, int] | None, done: int, most: int
) -> tuple[tuple[Schedule, Way, list[int]], int]:
    """Take one batch out of the order and put it in elsewhere, as long as there is work left to spend."""
    draw = random.Random(1)
    schedule, way, order = best
    size = len(order)
    if size < 2:
        return best, done
    for _ in range(ORDERS * size * size):
        if done >= most:
            break
        trial = order.copy()
        j = trial.pop(draw.randrange(size))
        trial.insert(draw.randrange(size), j)
        trial_way = way if draw.random() < 0.8 else draw.choice((by_batch, by_time))
        found = trial_way(problem, trial, keep=keep)
        done += max(problem.size, 1)
        if found.rank <= schedule.rank:
            schedule, way, order = found, trial_way, trial
    return (schedule, way, order), done


def _fewer_sessions(
    problem: Problem, best: tuple[Schedule, Way, list[int]], keep: Mapping[Key, int] | None, done: int, most: int
) -> Schedule:
    """Close one session after the other, the least filled first, where nothing more important gets worse."""
    schedule, way, order = best
    closed: frozenset[int] = frozenset()
    tried: set[int] = set()
    while done < most:
        used = _filled(problem, schedule)
        ahead = sorted((n for n in used if n not in tried), key=lambda n: used[n])
        if not ahead:
            break
        tried.add(ahead[0])
        found = partial(way, problem, order, keep=keep)(closed=closed | {ahead[0]})
        done += max(problem.size, 1)
        if found.rank < schedule.rank:
            schedule, closed = found, closed | {ahead[0]}
    return schedule


def _filled(problem: Problem, schedule: Schedule) -> dict[int, int]:
    """Slots worked in each stretch that is used; what is pinned outside the hours not counted."""
    used: dict[int, int] = {}
    for job, placed in zip(problem.jobs, schedule.placed, strict=True):
        for task, where in zip(job.tasks, placed, strict=False):
            number = int(problem.grid.stretch_of[where.start])
            if number >= 0:
                used[number] = used.get(number, 0) + task.takes(where.reopened)
    return used
