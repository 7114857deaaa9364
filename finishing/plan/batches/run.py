"""A problem of batches from question to answer: a first plan at once, the solver if there is time, a check."""

from __future__ import annotations

import time
from collections.abc import Mapping

from finishing.plan.batches.first import first_plan
from finishing.plan.batches.least import least_score
from finishing.plan.batches.outcome import Heard, News, Outcome
from finishing.plan.batches.problem import Problem
from finishing.plan.batches.replay import violations
from finishing.plan.batches.score import Schedule
from finishing.plan.batches.serial import Key
from finishing.plan.limits import Limits, StopToken


def plan_batches(
    problem: Problem,
    limits: Limits,
    *,
    keep: Mapping[Key, int] | None = None,
    heard: Heard | None = None,
    stop: StopToken | None = None,
) -> Outcome:
    """The best plan within the limits; a time limit of 0 is the first plan. keep: see `first_plan`.

    `heard` is called, in the caller's thread, with the first plan and with each better one and bound. Once `stop`
    is set the best so far comes back. AssertionError if a plan was found that does not hold.
    """
    begun = time.monotonic()
    first = checked(problem, first_plan(problem, keep))
    bound = least_score(problem, first)
    outcome = Outcome(first, bound, bound == first.score)
    if heard is not None:
        heard(News(time.monotonic() - begun, first, outcome.bound))
    if limits.time_limit > 0 and not outcome.proved and not (stop is not None and stop.is_set()):
        from finishing.plan.solver.batches import improve

        outcome = improve(problem, outcome, limits, begun=begun, heard=heard, stop=stop)
        checked(problem, outcome.schedule)
    return outcome


def checked(problem: Problem, plan: Schedule) -> Schedule:
    """The plan, once its own bounds have been looked over again."""
    if broken := violations(problem, plan):
        raise AssertionError(f"a plan was found that does not hold: {broken[:3]}")
    return plan
