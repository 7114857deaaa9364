"""Whether all dates can be made at once: shown by a plan, or proved that none does."""

from __future__ import annotations

from enum import Enum

from finishing.plan.batches.first import first_plan
from finishing.plan.batches.least import frozen_jobs, least_packed
from finishing.plan.batches.problem import Job, Problem
from finishing.plan.batches.replay import violations
from finishing.plan.batches.score import Placed, Schedule, late_days, packed
from finishing.plan.limits import StopToken

TRIES = 3_000
"""Tasks placed to look for a plan at once."""


class Fit(Enum):
    """FITS: a plan makes every date. NEVER: none does, proved among starts on the grid. UNKNOWN: none was found."""

    FITS = "fits"
    NEVER = "never"
    UNKNOWN = "unknown"


def fits(problem: Problem, seconds: float, stop: StopToken | None = None) -> Fit:
    """Whether every job that has a date makes it. seconds: for the solver, where a first plan doesn't say."""
    first = first_plan(problem, placings=TRIES)
    if on_time(problem, first):
        return Fit.FITS
    for job in problem.jobs:
        if job.wanted is not None and job.dated:
            soonest = least_packed(job, problem.grid)
            pinned = any(task.pinned is not None for task in job.tasks)
            if not pinned and (soonest is None or late_days(job, soonest, problem.grid.per_day)):
                return Fit.NEVER
    if seconds <= 0.0 or frozen_jobs(problem, first) or (stop is not None and stop.is_set()):
        return Fit.UNKNOWN
    from finishing.plan.solver.fits import in_time

    plan, never = in_time(problem, first, seconds, stop)
    if plan is not None and on_time(problem, plan) and not violations(problem, plan):
        return Fit.FITS
    return Fit.NEVER if never else Fit.UNKNOWN


def on_time(problem: Problem, plan: Schedule) -> bool:
    """Whether every job with a date makes it."""
    return not any(
        job.wanted is not None and is_late(problem, job, placed)
        for job, placed in zip(problem.jobs, plan.placed, strict=True)
    )


def is_late(problem: Problem, job: Job, placed: tuple[Placed, ...]) -> bool:
    """Whether a job that can be given a date misses it, or finds no place."""
    if not job.dated:
        return False
    when = packed(job, placed)
    return when is None or late_days(job, when, problem.grid.per_day) > 0
