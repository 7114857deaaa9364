"""A plan of batches, and how good it is: the same measure for every way of finding one."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from finishing.plan.batches.grid import NEVER
from finishing.plan.batches.problem import Job, Problem


class Placed(NamedTuple):
    """When a task begins [slot], and whether a shut window is abraded first."""

    start: int
    reopened: bool = False


class Score(NamedTuple):
    """What is wanted, most important first; the smaller the better.

    unfinished: weights of jobs with a task that found no place. late: days late by weight, days begun counted whole.
    ready: days until each job may be packed, whole ones, summed. sessions: stretches of work begun.
    """

    unfinished: int
    late: int
    ready: int
    sessions: int


@dataclass(frozen=True, slots=True)
class Schedule:
    """Where each task is placed, by job; a job whose later tasks found no place has fewer.

    unkept: (job, task) whose pin could not be kept.
    """

    placed: tuple[tuple[Placed, ...], ...]
    score: Score
    unkept: tuple[tuple[int, int], ...] = ()

    @property
    def rank(self) -> tuple[int, Score]:
        """The smaller the better: what the maker pinned before all else."""
        return len(self.unkept), self.score


def ends(job: Job, placed: tuple[Placed, ...]) -> list[int]:
    """The slot at which each placed task of a job is over."""
    return [p.start + task.takes(p.reopened) for task, p in zip(job.tasks, placed, strict=False)]


def packed(job: Job, placed: tuple[Placed, ...]) -> int | None:
    """The slot from which a job may be packed; None if it is not all placed, or no date can be given."""
    if len(placed) < len(job.tasks) or not job.dated:
        return None
    latest = job.packed_at
    for task, end in zip(job.tasks, ends(job, placed), strict=True):
        latest = max(latest, end)
        if task.packed is not None:
            latest = max(latest, int(task.packed[end]))
    return None if latest >= NEVER else latest


def late_days(job: Job, when: int, per_day: int) -> int:
    """Days begun after the date wanted."""
    return 0 if job.wanted is None or when <= job.wanted else -(-(when - job.wanted) // per_day)


def score(problem: Problem, placed: tuple[tuple[Placed, ...], ...]) -> Score:
    """How good a plan is."""
    per_day, number = problem.grid.per_day, problem.grid.stretch_of
    unfinished = late = ready = 0
    sessions: set[int] = set()
    for job, where in zip(problem.jobs, placed, strict=True):
        unfinished += job.weight * (len(where) < len(job.tasks))
        sessions.update(int(number[p.start]) for p in where)
        when = packed(job, where)
        if when is not None:
            late += job.weight * late_days(job, when, per_day)
            ready += when // per_day
    return Score(unfinished, late, ready, len(sessions))
