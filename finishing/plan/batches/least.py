"""What no plan can beat: every batch as if it had the hands, the racks and open windows to itself."""

from __future__ import annotations

from dataclasses import replace

from finishing.plan.batches.grid import NEVER, Grid
from finishing.plan.batches.problem import Job, Problem
from finishing.plan.batches.score import Schedule, Score, late_days, packed, score
from finishing.plan.batches.serial import first_bit, runs


def least_starts(job: Job, grid: Grid) -> list[int]:
    """The earliest start of each task [slot], NEVER from the first that finds no place on."""
    starts: list[int] = []
    ended: list[int] = []
    for task in job.tasks:
        ready = max(task.earliest, ended[-1] + task.gap if ended else 0)
        ready = max([ready, *(int(gate.curve[ended[gate.task] :].min()) for gate in task.gates)])
        start = first_bit(runs(grid.worked, task.slots), ready)
        if start >= NEVER:
            return starts + [NEVER] * (len(job.tasks) - len(starts))
        starts.append(start)
        ended.append(start + task.slots)
    return starts


def least_packed(job: Job, grid: Grid) -> int | None:
    """The earliest slot from which a job may be packed; None if it finds no place or can be given no date."""
    starts = least_starts(job, grid)
    if not job.dated or NEVER in starts:
        return None
    when = job.packed_at
    for task, start in zip(job.tasks, starts, strict=True):
        end = start + task.slots
        when = max(when, end, int(task.packed[end:].min()) if task.packed is not None else 0)
    return None if when >= NEVER else when


def frozen_jobs(problem: Problem, first: Schedule) -> set[int]:
    """Jobs that no search moves from where a plan has them: not wholly placed, or pinned where there are no hands."""
    number = problem.grid.stretch_of
    found = {j for j, _ in first.unkept}
    for j, (job, placed) in enumerate(zip(problem.jobs, first.placed, strict=True)):
        if len(placed) < len(job.tasks):
            found.add(j)
        for task, where in zip(job.tasks, placed, strict=False):
            over = where.start + task.takes(where.reopened)
            if number[where.start] < 0 or number[over - 1] != number[where.start]:
                found.add(j)
    return found


def held_fixed(problem: Problem, best: Schedule, frozen: set[int]) -> Score:
    """What the frozen jobs come to, which no model counts."""
    placed = tuple(row if j in frozen else () for j, row in enumerate(best.placed))
    jobs = tuple(job if j in frozen else replace(job, tasks=(), dated=False) for j, job in enumerate(problem.jobs))
    return score(replace(problem, jobs=jobs), placed)


def least_score(problem: Problem, plan: Schedule) -> Score:
    """A score that no plan beats in which `frozen_jobs` stay as they are in this one."""
    fixed = frozen_jobs(problem, plan)
    late = ready = 0
    per_day = problem.grid.per_day
    for j, (job, placed) in enumerate(zip(problem.jobs, plan.placed, strict=True)):
        when = packed(job, placed)
        soonest = when if j in fixed else least_packed(job, problem.grid)
        if when is not None and soonest is not None:
            late += job.weight * late_days(job, soonest, per_day)
            ready += soonest // per_day
    work = sum(task.slots for job, row in zip(problem.jobs, plan.placed, strict=True)
               for task, p in zip(job.tasks, row, strict=False) if problem.grid.stretch_of[p.start] >= 0)  # fmt: skip
    return Score(plan.score.unfinished, late, ready, min(_sessions(problem, work), plan.score.sessions))


def _sessions(problem: Problem, work: int) -> int:
    """How many of the longest stretches so many slots of work need."""
    lengths = sorted(((b - a) * problem.makers for a, b in problem.grid.stretches), reverse=True)
    count = 0
    for length in lengths:
        if work <= 0:
            break
        work -= length
        count += 1
    return count
