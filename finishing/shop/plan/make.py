"""From the question to the plan: fresh, or moving as little as needed of the one the maker goes by."""

from __future__ import annotations

from dataclasses import dataclass

from finishing.plan import Limits, StopToken
from finishing.plan.batches import Outcome, Schedule, Score, plan_batches
from finishing.plan.batches.least import least_score
from finishing.plan.batches.outcome import Heard
from finishing.plan.batches.run import checked
from finishing.shop.plan import kept
from finishing.shop.plan.ask import Asked, Variant, ask
from finishing.shop.plan.closest import Closest, Moved, moved
from finishing.shop.plan.kept import Pins
from finishing.shop.shop import Shop

SECONDS = 20.0
"""How long a plan is improved, unless it is proved best before."""


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
    closest = None if known is None else Closest.of(asked.problem, known)
    if closest is not None and (closest.holds or seconds <= 0.0):
        return _made(asked, closest, closest.plan())
    outcome = plan_batches(asked.problem, Limits(seconds), heard=heard, stop=stop)
    if closest is not None and seconds > 0.0:
        return _improved(asked, closest, outcome)
    since = () if known is None else moved(asked.problem, outcome.schedule, known)
    return Made(asked, outcome, None if known is None else known.made_at, since, improved=seconds > 0)


def made_at_once(asked: Asked, known: kept.Kept | None) -> Schedule:
    """What `make` comes to without time to improve. known: the plan that is kept."""
    went_on = None if known is None else go_on(asked, known)
    return plan_batches(asked.problem, Limits(0.0)).schedule if went_on is None else went_on.outcome.schedule


def go_on(asked: Asked, known: kept.Kept) -> Made | None:
    """The kept plan with as little moved as what happened since asks for; None where nothing of it is ahead.

    "Asks for" is the first plan made afresh: going on never costs a day late.
    """
    closest = Closest.of(asked.problem, known)
    return None if closest is None else _made(asked, closest, closest.plan())


def _made(asked: Asked, closest: Closest, plan: Schedule) -> Made:
    problem, known = asked.problem, closest.known
    checked(problem, plan)
    better = closest.fresh.score if closest.fresh.score < plan.score else None
    return Made(
        asked, Outcome(plan, least_score(problem, plan), False), known.made_at, moved(problem, plan, known), better
    )


def _improved(asked: Asked, closest: Closest, outcome: Outcome) -> Made:
    """An improved plan with all put back where it was kept that can be, at no day late."""
    problem, known, found = asked.problem, closest.known, outcome.schedule
    plan = checked(problem, closest.put_back(found))
    bound = outcome.bound
    if plan.score.ready > found.score.ready:  # what is proved of sessions is of plans as soon ready
        bound = bound._replace(sessions=least_score(problem, plan).sessions)
    proved = outcome.proved and plan.score == found.score
    return Made(asked, Outcome(plan, bound, proved), known.made_at, moved(problem, plan, known), improved=True)


__all__ = ["SECONDS", "Made", "Moved", "go_on", "made_at_once", "make"]
