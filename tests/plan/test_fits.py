"""Whether all dates can be made, against every plan there is of tiny problems."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import islice

import pytest

from finishing.plan.batches import Problem, first_plan, packed
from finishing.plan.batches.fits import Fit, fits
from finishing.plan.batches.grid import NEVER
from finishing.plan.batches.least import frozen_jobs, least_packed
from finishing.plan.batches.serial import alone

from .shops import THOROUGH
from .test_batch_solver import by_trying_everything, tiny


@pytest.mark.parametrize("seed", range(12 * THOROUGH))
def test_as_trying_everything_says(seed: int) -> None:
    problem, best = tiny(seed), by_trying_everything(seed)
    if best is None or frozen_jobs(problem, first_plan(problem, placings=3_000)):
        pytest.skip("does not fit on this grid")
    assert fits(problem, 20.0) is (Fit.NEVER if best.late else Fit.FITS)


def pressed() -> Iterator[Problem]:
    """Batches of one maker, none late alone: each wanted as soon as it is packed by itself; no first plan does it."""
    for seed in range(60):
        problem = replace(tiny(seed), makers=1, racks={})
        whens = [packed(job, alone(problem, job).placed[0]) for job in problem.jobs]
        jobs = [replace(job, wanted=when) for job, when in zip(problem.jobs, whens, strict=True) if when is not None]
        problem = replace(problem, jobs=tuple(jobs))
        if len(jobs) == len(whens) and fits(problem, 0.0) is Fit.UNKNOWN:
            yield problem


def test_together_too_much_is_proved_by_the_solver() -> None:
    """No batch is too slow by itself, so that only together they can't; left one by one, what fits is a plan."""
    for problem in islice(pressed(), 3 * THOROUGH):
        assert all(fits(replace(problem, jobs=(job,)), 0.0) is Fit.FITS for job in problem.jobs)
        assert fits(problem, 20.0) is Fit.NEVER


def test_a_batch_too_slow_by_itself_needs_no_solver() -> None:
    problem = tiny(0)
    job = problem.jobs[0]
    soonest = least_packed(job, problem.grid)
    assert soonest is not None
    assert soonest < NEVER
    late = replace(job, wanted=soonest - 1)
    assert fits(replace(problem, jobs=(late,)), 0.0) is Fit.NEVER
    assert fits(replace(problem, jobs=(replace(job, wanted=soonest + 240),)), 0.0) is Fit.FITS
