"""Planning while somebody watches: a plan at once, better ones as they are found, then why and what would help.

Made for a thread of its own: it opens the record anew and shares nothing with whoever watches but what it tells.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from threading import Event

from finishing.plan.batches import News, Outcome
from finishing.shop.plan import kept
from finishing.shop.plan.ask import Asked, ask
from finishing.shop.plan.kept import Changes, Kept, Pins
from finishing.shop.plan.make import SECONDS, Made, make
from finishing.shop.plan.move import CantMove
from finishing.shop.plan.relief import Relief, reliefs
from finishing.shop.plan.sheet import PlanSheet, sheet
from finishing.shop.plan.why import Clash, Reasons
from finishing.shop.plan.words import pinned_words
from finishing.shop.shop import Shop
from finishing.store.location import Location


@dataclass(frozen=True, slots=True)
class Wants:
    """What is asked for. fresh, base, seconds: see `make`. pins: to put or let go of first, all of them or none."""

    fresh: bool = False
    base: Kept | None = None
    seconds: float = SECONDS
    pins: Changes = field(default_factory=dict)


@dataclass(frozen=True, slots=True, eq=False)
class Told:
    """A plan as far as it has got. busy: it is still being improved, for `seconds` so far. said: what was put on disk.

    pins: those it was planned with. reliefs: None until they have been looked for.
    """

    made: Made
    sheet: PlanSheet
    pins: Pins
    busy: bool = False
    seconds: float = 0.0
    clashes: tuple[Clash, ...] = ()
    reliefs: tuple[Relief, ...] | None = None
    said: str = ""


Tell = Callable[[Told], None]


@dataclass(frozen=True, slots=True)
class Stops:
    """enough: the plan is good enough, why and what would help are still looked for. gone: nobody listens any more."""

    enough: Event = field(default_factory=Event)
    gone: Event = field(default_factory=Event)

    def is_set(self) -> bool:
        """Whether to improve no further."""
        return self.enough.is_set() or self.gone.is_set()


def plan_live(where: Location, now: float, wants: Wants, tell: Tell, stops: Stops) -> None:
    """Plan, telling all that comes of it. FinishingError: nothing was changed, and nothing more comes."""
    shop = Shop.open(now, where)
    try:
        _plan(shop, now, wants, tell, stops)
    finally:
        shop.close()


def _plan(shop: Shop, now: float, wants: Wants, tell: Tell, stops: Stops) -> None:
    pins = kept.changed(kept.pins(shop), wants.pins)
    asked = ask(shop, now, pins=pins)

    def heard(news: News) -> None:
        so_far = Made(asked, Outcome(news.schedule, news.bound, False), improved=news.seconds > 0)
        tell(Told(so_far, sheet(so_far), pins, busy=True, seconds=news.seconds))

    watched = None if wants.pins else heard  # what was moved is told once it holds and is on disk
    made = make(shop, now, seconds=wants.seconds, fresh=wants.fresh, base=wants.base, asked=asked, heard=watched,
                stop=stops)  # fmt: skip
    said = ""
    if wants.pins:
        _hold(made, wants.pins)
        kept.pin_all(shop, wants.pins, now, asked.parts)
        said = pinned_words(wants.pins, shop.settings.zone, now)
    told = Told(made, sheet(made), pins, said=said)
    tell(told)
    _explain(shop, replace(told, said=""), tell, stops.gone)


def _explain(shop: Shop, told: Told, tell: Tell, gone: Event) -> None:
    """Why batches are late, which clash, and what would help: each told as soon as it is known."""
    made = told.made
    reasons = Reasons(shop, made, stop=gone)
    late = reasons.late()
    why = {code: reasons.why(code) for code in late if not gone.is_set()}
    told = replace(told, sheet=sheet(made, why))
    if late and not gone.is_set():
        tell(told)
    found = [reasons.clash(code) for code in late if not gone.is_set()]
    clashes = tuple({(c.codes, c.limits): c for c in found if not c.own}.values())
    ways = tuple(reliefs(shop, made, late, stop=gone)) if late else ()
    if not gone.is_set():
        tell(replace(told, clashes=clashes, reliefs=ways))


def _hold(made: Made, pins: Changes) -> None:
    """CantMove where what was just pinned can't begin then."""
    jobs = made.asked.problem.jobs
    for j, t in made.outcome.schedule.unkept:
        code = jobs[j].code
        if any(pins.get((code, position)) is not None for position in jobs[j].tasks[t].steps):
            raise CantMove(f"{code}: it can't begin then, for its coats or for want of room on the rack")


@dataclass(frozen=True, slots=True, eq=False)
class Basis:
    """What a plan was made of, to see whether it still stands: how every batch stands, pins, and the plan kept."""

    standings: Mapping[str, object]
    settings: object
    pins: Pins
    kept_at: float | None

    def same(self, other: Basis) -> bool:
        """Whether nothing that a plan rests on has changed."""
        alike = self.standings.keys() == other.standings.keys() and all(
            self.standings[code] is other.standings[code] for code in self.standings
        )
        return alike and (self.settings, self.pins, self.kept_at) == (other.settings, other.pins, other.kept_at)


def basis(shop: Shop, now: float) -> Basis:
    """What a plan made now would be made of."""
    rack, known = shop.rack(now), kept.plan(shop)
    return Basis(rack.standings, rack.settings, kept.pins(shop), None if known is None else known.made_at)


def base_of(told: Told) -> Kept:
    """A plan as shown, to go on from."""
    return kept.as_kept(told.made.asked.problem, told.made.outcome.schedule, told.made.kept_at or told.made.asked.now)


__all__ = ["Asked", "Basis", "Stops", "Told", "Wants", "base_of", "basis", "plan_live"]
