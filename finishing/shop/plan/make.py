"""From the question to the plan: fresh, or moving as little as needed of the one the maker goes by."""

from __future__ import annotations

from dataclasses import dataclass

from finishing.plan import Limits, StopToken
from finishing.plan.batches import Outcome, Problem, Schedule, Score, first_plan, plan_batches
from finishing.plan.batches.least import least_score
from finishing.plan.batches.outcome import Heard
from finishing.plan.batches.run import checked
from finishing.plan.batches.serial import by_batch, by_time
from finishing.shop.plan import kept
from finishing.shop.plan.ask import Asked, Variant, ask
from finishing.shop.plan.kept import Pins
from finishing.shop.shop import Shop

SECONDS = 20.0
"""How long a plan is improved, unless it is proved best before."""


@dataclass(frozen=True, slots=True)
class Moved:
    """A task that begins at another time than in the plan before [hours]; before None: it is new.

    number: of the task among its batch's. part: see `Task`.
    """

    code: str
    steps: tuple[int, ...]
    before: float | None
    after: float
    number: int = 0
    part: tuple[int, int] | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Made:
    """A plan of the shop. kept_at: when the plan it goes on from was made, None for a fresh one. moved: against it.

    better: what a fresh plan comes to where that is better than going on, else None. improved: the solver had time.
    """

    asked: Asked
    outcome: Outcome
    kept_at: float | None = None
    moved: tuple[Moved, ...] = ()
    better: Score | None = None
    improved: bool = False


def make(
    shop: Shop,
    now: float,
    *,
    seconds: float = SECONDS,
    fresh: bool = False,
    variant: Variant | None = None,
    pins: Pins | None = None,
    base: kept.Kept | None = None,
    asked: Asked | None = None,
    heard: Heard | None = None,
    stop: StopToken | None = None,
) -> Made:
    """The shop's plan. seconds: to improve it, 0 for the first plan alone.

    fresh: whatever was planned before. base: what to go on from where no plan is kept. asked: the problem, if it is
    laid out already.
    """
    asked = ask(shop, now, variant, pins) if asked is None else asked
    known = None if fresh else kept.plan(shop) or base
    if known is not None:
        went_on = go_on(asked, known)
        if went_on is not None:
            return went_on
    outcome = plan_batches(asked.problem, Limits(seconds), heard=heard, stop=stop)
    moved = () if known is None else _moved(asked.problem, outcome.schedule, known)
    return Made(asked, outcome, None if known is None else known.made_at, moved, improved=seconds > 0)


def made_at_once(asked: Asked, known: kept.Kept | None) -> Schedule:
    """What `make` comes to without time to improve. known: the plan that is kept."""
    went_on = None if known is None else go_on(asked, known)
    return plan_batches(asked.problem, Limits(0.0)).schedule if went_on is None else went_on.outcome.schedule


def go_on(asked: Asked, known: kept.Kept) -> Made | None:
    """The kept plan with as little moved as what happened since asks for; None if that is later than need be.

    "Need be" is the first plan made afresh: going on never costs a day late.
    """
    problem = asked.problem
    starts = kept.starts(problem, known)
    if not starts:
        return None
    size = range(len(problem.jobs))
    rest = sorted(size, key=lambda j: ((j, 0) not in starts, _date(problem, j)))
    tries = [way(problem, order, keep=starts) for way in (by_batch, by_time) for order in (rest, size)]
    best = min(
        tries, key=lambda plan: (len(plan.unkept), plan.score[:2], len(_moved(problem, plan, known)), plan.score)
    )
    fresh = first_plan(problem)
    if fresh.rank[0] < best.rank[0] or fresh.score[:2] < best.score[:2]:
        return None
    checked(problem, best)
    outcome = Outcome(best, least_score(problem, best), False)
    better = fresh.score if fresh.score < best.score else None
    return Made(asked, outcome, known.made_at, _moved(problem, best, known), better)


def _date(problem: Problem, j: int) -> float:
    wanted = problem.jobs[j].wanted
    return float("inf") if wanted is None else wanted


def _moved(problem: Problem, plan: Schedule, known: kept.Kept) -> tuple[Moved, ...]:
    found = []
    for job, placed in zip(problem.jobs, plan.placed, strict=True):
        row = known.begins.get(job.code)
        for t, (task, where) in enumerate(zip(job.tasks, placed, strict=False)):
            before = None if row is None else row.get(kept.name(task))
            after = problem.grid.hour(where.start)
            if before is None or abs(before - after) > 1e-6:
                found.append(Moved(job.code, task.steps, before, after, t, task.part))
    return tuple(found)
