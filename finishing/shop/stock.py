"""The shelf of cans against what the open batches still need: how old, how long good, at what price, what is short."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import StrEnum

from finishing.clock import at_zone
from finishing.cure.film import amount_ml
from finishing.cure.progress import Progress
from finishing.errors import BadInput, FinishingError
from finishing.shop import cans
from finishing.shop.shop import Shop
from finishing.store import cans as stored
from finishing.store.cans import CanRow, NewCan
from finishing.units import ML_PER_FL_OZ, show_volume

QUART_ML = 32.0 * ML_PER_FL_OZ
"""A US quart."""

SPARE = 1.2
"""Less than this many times the need is called low: brushes and cups keep some. Our own choice."""


@dataclass(frozen=True, slots=True)
class CanLine:
    """A can as of a day. opened_on: see `cans.opened_on`. age_days: since then. days_left: until it should be used up,
    below 0 once past."""

    row: CanRow
    title: str
    left_ml: float
    opened_on: dt.date | None
    age_days: int | None
    use_by: dt.date | None
    days_left: int | None

    @property
    def share(self) -> float:
        """How full it is, 0..1."""
        return self.left_ml / self.row.can.volume_ml

    @property
    def past(self) -> bool:
        """Whether the days it keeps once opened are over."""
        return self.days_left is not None and self.days_left < 0


class Level(StrEnum):
    """How the shelf stands against the need for one finish."""

    SHORT = "short"
    LOW = "low"
    ENOUGH = "enough"


@dataclass(frozen=True, slots=True)
class Need:
    """What the open batches still need of a finish [mL], and what is there. past_ml: of that, in cans past their time.

    batches: codes of those that need it. unsized: those of them whose need is not known, as no size was given.
    """

    finish: str
    title: str
    needed_ml: float
    left_ml: float
    past_ml: float
    batches: tuple[str, ...]
    unsized: tuple[str, ...]

    @property
    def good_ml(self) -> float:
        """What is left in cans that are not past their time."""
        return self.left_ml - self.past_ml

    @property
    def level(self) -> Level:
        """Short: it can't be done with what is there. Low: with little to spare."""
        if self.good_ml < self.needed_ml or (self.unsized and self.good_ml <= 0.0):
            return Level.SHORT
        return Level.LOW if self.good_ml < self.needed_ml * SPARE else Level.ENOUGH


@dataclass(frozen=True, slots=True)
class Stock:
    """Every can on the shelf, and the need for every finish that is there or needed: short ones first."""

    today: dt.date
    lines: tuple[CanLine, ...]
    needs: tuple[Need, ...]


def stock(shop: Shop, now: float) -> Stock:
    """The shelf as of an hour."""
    zone = shop.settings.zone
    today = at_zone(now, zone).date()
    lines = tuple(can_line(row, left, title_of(shop, row.can.finish), today, zone) for row, left in cans.shelf(shop))
    found = [standing.progress(now) for standing in shop.rack(now).standings.values()]
    return Stock(today, lines, tuple(needs([p for p in found if p.closed is None], lines)))


def title_of(shop: Shop, finish: str) -> str:
    """A finish's title, or its name when the library no longer has it or can't read it."""
    try:
        return shop.library.finish(finish).title
    except FinishingError:
        return finish


def can_line(row: CanRow, left_ml: float, title: str, today: dt.date, zone: str) -> CanLine:
    """A can with its age and how long it keeps."""
    opened, keeps = cans.opened_on(row, zone), row.can.use_within_days
    age = None if opened is None else (today - opened).days
    use_by = None if opened is None or keeps is None else opened + dt.timedelta(days=keeps)
    return CanLine(row, title, left_ml, opened, age, use_by, None if use_by is None else (use_by - today).days)


def needs(found: Iterable[Progress], lines: Iterable[CanLine]) -> list[Need]:
    """For every finish, the coats that are not on yet, at the finish's own spreading rate, against the shelf."""
    by_finish: dict[str, Need] = {}
    for line in lines:
        name = line.row.can.finish
        need = by_finish.setdefault(name, Need(name, line.title, 0.0, 0.0, 0.0, (), ()))
        past = line.left_ml if line.past else 0.0
        by_finish[name] = replace(need, left_ml=need.left_ml + line.left_ml, past_ml=need.past_ml + past)
    for p in found:
        for name, amount in coats_ahead(p).items():
            need = by_finish.setdefault(name, Need(name, p.batch.finishes[name].title, 0.0, 0.0, 0.0, (), ()))
            code = (p.batch.code,)
            by_finish[name] = replace(
                need,
                needed_ml=need.needed_ml + (amount or 0.0),
                batches=need.batches + code,
                unsized=need.unsized + (code if amount is None else ()),
            )
    order = list(Level)
    return sorted(by_finish.values(), key=lambda need: (order.index(need.level), not need.batches, need.title))


def coats_ahead(p: Progress) -> dict[str, float | None]:
    """Finish [mL] of each kind that a batch's remaining coats take; None when its area is not known."""
    ahead: dict[str, float | None] = {}
    for state in p.steps:
        name = state.step.finish
        if name is None or state.done:
            continue
        area, before = p.batch.area_m2(state.step.face), ahead.get(name, 0.0)
        if area is None or before is None:
            ahead[name] = None
        else:
            ahead[name] = before + amount_ml(p.batch.finishes[name].film, area, first=state.coat_number == 1)
    return ahead


# In words -----------------------------------------------------------------------------------------------------------


def age_words(line: CanLine) -> str:
    """How long a can has been open: "sealed", "opened today", "21 d"."""
    if line.age_days is None:
        return "sealed"
    return "today" if line.age_days <= 0 else f"{line.age_days} d"


def use_by_words(line: CanLine) -> str:
    """How long an opened can keeps: "12 d left", "last day", "past: test on scrap"."""
    if line.days_left is None:
        keeps = line.row.can.use_within_days
        return f"{keeps} d once open" if keeps is not None and line.age_days is None else ""
    if line.past:
        return "past: test on scrap"
    return "last day" if line.days_left == 0 else f"{line.days_left} d left"


def price_words(can: NewCan, currency: str) -> str:
    """What the whole can cost, or ""."""
    return "" if can.price is None else f"{currency}{can.price:.2f}"


def per_litre_words(can: NewCan, currency: str, units: str) -> str:
    """What a litre of it cost, or a US quart in imperial units; "" without a price."""
    if can.price is None:
        return ""
    per_ml = can.price / can.volume_ml
    if units == "imperial":
        return f"{currency}{per_ml * QUART_ML:.2f}/qt"
    return f"{currency}{per_ml * 1000.0:.2f}/L"


def need_words(need: Need, units: str) -> str:
    """How a finish stands, in one line: "short by 340 mL: open batches need 640 mL, 300 mL left"."""
    left = f"{show_volume(need.good_ml, units)} left"
    if need.past_ml > 0.0:
        left += f" and {show_volume(need.past_ml, units)} past its time"
    if not need.batches:
        return f"{left}, no open batch needs any"
    asked = f"open batches need {show_volume(need.needed_ml, units)}"
    if need.unsized:
        unknown = f"{', '.join(need.unsized)} (no size given)"
        asked = f"not known for {unknown}" if need.needed_ml == 0.0 else f"{asked}, not counting {unknown}"
    if need.level is Level.SHORT:
        missing = need.needed_ml - need.good_ml
        by = f" by {show_volume(missing, units)}" if missing > 0.0 else ""
        return f"short{by}: {asked}, {left if need.left_ml > 0.0 else 'none left'}"
    return f"{need.level.value}: {asked}, {left}"


# Changes ------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class CanFacts:
    """What may be put right about a can."""

    lot: str
    price: float | None
    opened_on: dt.date | None
    use_within_days: int | None


def facts_of(can: NewCan) -> CanFacts:
    """What is known of a can now."""
    return CanFacts(can.lot, can.price, can.opened_on, can.use_within_days)


def open_can(shop: Shop, number: int, now: float) -> str:
    """A can was opened today. BadInput for one that was opened before, or is empty."""
    today = at_zone(now, shop.settings.zone).date()
    with shop.store.write() as w:
        row = _on_shelf(stored.by_id(w, number))
        opened = cans.opened_on(stored.with_uses(row, stored.uses_of(w, number)), shop.settings.zone)
        if opened is not None:
            said = f"it was opened {opened.isoformat()}; change that if it is wrong"
            raise BadInput("can", number, "a sealed can", said)
        stored.amend(w, number, opened_on=today)
        w.commit()
    shop.forget()
    return f"can {number}: opened {today.isoformat()}"


def put_right(shop: Shop, number: int, facts: CanFacts, now: float) -> str:
    """Change what is known of a can. BadInput for a day ahead, a price below 0, or days below 1."""
    today = at_zone(now, shop.settings.zone).date()
    if facts.opened_on is not None and facts.opened_on > today:
        raise BadInput("opened on", facts.opened_on.isoformat(), "a day that has come")
    with shop.store.write() as w:
        row = stored.by_id(w, number)
        _check_opened(stored.with_uses(row, stored.uses_of(w, number)), facts, shop.settings.zone)
        replace(
            row.can,
            lot=facts.lot,
            price=facts.price,
            opened_on=facts.opened_on,
            use_within_days=facts.use_within_days,
        )  # its own checks
        stored.amend(
            w,
            number,
            lot=facts.lot,
            price=facts.price,
            opened_on=facts.opened_on,
            use_within_days=facts.use_within_days,
        )
        w.commit()
    shop.forget()
    return f"can {number}: put right"


def _check_opened(row: CanRow, facts: CanFacts, zone: str) -> None:
    """No coat came from a can before it was opened."""
    if facts.opened_on is None or facts.opened_on == row.can.opened_on or row.first_use is None:
        return
    first = at_zone(row.first_use, zone).date()
    if facts.opened_on > first:
        raise BadInput(
            "opened on", facts.opened_on.isoformat(), f"{first.isoformat()} or before: then the first coat came from it"
        )


def as_it_was(shop: Shop, before: CanRow, after: CanRow) -> str:
    """Take a change of a can back. BadInput when it has been changed again since."""
    with shop.store.write() as w:
        if stored.by_id(w, before.id) != after:
            raise BadInput("can", before.id, "a can that nobody has changed since", "put it right with an edit")
        was = facts_of(before.can)
        stored.amend(
            w,
            before.id,
            lot=was.lot,
            price=was.price,
            opened_on=was.opened_on,
            use_within_days=was.use_within_days,
            emptied_at=before.emptied_at,
        )
        w.commit()
    shop.forget()
    return f"can {before.id}: as it was before"


def _on_shelf(row: CanRow) -> CanRow:
    if row.emptied_at is not None:
        raise BadInput("can", row.id, "a can that is not empty")
    return row
