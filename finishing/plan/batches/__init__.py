"""Planning batches: every remaining step of every batch, in the hours there are hands.

`grid_over` lays out the time, `job_of` makes a batch's remaining steps into tasks, `first_plan` places them at once,
`plan_batches` also lets the solver improve and prove.
"""

from __future__ import annotations

from finishing.plan.batches.curves import Curves
from finishing.plan.batches.first import batch_at_a_time, first_plan
from finishing.plan.batches.grid import NEVER, Grid, grid_over
from finishing.plan.batches.outcome import News, Outcome
from finishing.plan.batches.problem import Job, Problem, Taken, Task
from finishing.plan.batches.run import plan_batches
from finishing.plan.batches.score import Placed, Schedule, Score, packed
from finishing.plan.batches.steps import job_of, on_rack_until

__all__ = [
    "NEVER",
    "Curves",
    "Grid",
    "Job",
    "News",
    "Outcome",
    "Placed",
    "Problem",
    "Schedule",
    "Score",
    "Taken",
    "Task",
    "batch_at_a_time",
    "first_plan",
    "grid_over",
    "job_of",
    "on_rack_until",
    "packed",
    "plan_batches",
]
