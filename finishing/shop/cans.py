"""Cans on the shelf: what is left in each, and which to pour from."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from finishing.clock import at_zone
from finishing.errors import BadInput
from finishing.shop.drafts import CanDraft
from finishing.shop.shop import Shop
from finishing.store import cans as stored
from finishing.store.cans import CanRow, NewCan, Use
from finishing.units import show_volume


def add_can(shop: Shop, draft: CanDraft, now: float) -> str:
    """As `shelve`; says what was put on the shelf."""
    number = shelve(shop, draft, now)
    finish = shop.library.finish(draft.finish)
    return f"can {number}: {finish.title}, {show_volume(draft.volume_ml, shop.settings.units)}"


def shelve(shop: Shop, draft: CanDraft, now: float) -> int:
    """Put a can on the shelf and return its number. NotFound for a finish the library doesn't have."""
    finish = shop.library.finish(draft.finish)
    today = at_zone(now, shop.settings.zone).date()
    if draft.opened_on is not None and draft.opened_on > today:
        raise BadInput("opened on", draft.opened_on.isoformat(), "a day that has come")
    new = NewCan(
        finish.name,
        draft.volume_ml,
        draft.lot,
        draft.price,
        bought_on=today,
        opened_on=draft.opened_on or (today if draft.opened else None),
        use_within_days=draft.use_within_days,
    )
    with shop.store.write() as w:
        number = stored.create(w, new, now)
        w.commit()
    shop.forget()
    return number


def shelf(shop: Shop) -> list[tuple[CanRow, float]]:
    """Every can not emptied, and what is left in it [mL]."""
    with shop.store.read() as r:
        return stored.shelf(r)


def opened_on(row: CanRow, zone: str) -> dt.date | None:
    """The day a can was opened: as was said, or by the first coat from it if that was before; None for a sealed one."""
    first = None if row.first_use is None else at_zone(row.first_use, zone).date()
    return min((day for day in (row.can.opened_on, first) if day is not None), default=None)


@dataclass(frozen=True, slots=True)
class CanSheet:
    """A can, what is left in it [mL] as far as amounts were recorded, and the coats that came from it."""

    row: CanRow
    left_ml: float
    uses: tuple[Use, ...]


def sheet(shop: Shop, number: int) -> CanSheet:
    """One can, emptied or not. BadInput for an unknown one."""
    with shop.store.read() as r:
        row = stored.by_id(r, number)
        uses = stored.uses_of(r, number)
    left = 0.0 if row.emptied_at is not None else stored.left_of(row, uses)
    return CanSheet(stored.with_uses(row, uses), left, uses)


def empty_can(shop: Shop, number: int, now: float) -> str:
    """A can leaves the shelf. BadInput for an unknown one, or one that left it before."""
    with shop.store.write() as w:
        row = stored.by_id(w, number)
        if row.emptied_at is not None:
            raise BadInput("can", number, "a can that is not empty")
        stored.amend(w, number, emptied_at=now)
        w.commit()
    shop.forget()
    return f"can {number}: empty, off the shelf"


def checked(shop: Shop, number: int, finish: str | None, at: float) -> int:
    """A can's number, if it was on the shelf at an hour and holds this finish; else BadInput."""
    with shop.store.read() as r:
        row = stored.by_id(r, number)
    if row.can.finish != finish:
        raise BadInput("can", number, f"a can of {finish}; this one holds {row.can.finish}")
    if row.emptied_at is not None and row.emptied_at <= at:
        raise BadInput("can", number, "a can that was not empty then")
    return number


def choices(shop: Shop, finish: str, *, emptied: bool = False) -> tuple[tuple[int, str], ...]:
    """Number and label of the cans of a finish, those opened first; emptied: those too, the last emptied first."""
    units = shop.settings.units
    rows = [(row, left) for row, left in shelf(shop) if row.can.finish == finish]
    rows.sort(key=lambda pair: (opened_on(pair[0], shop.settings.zone) is None, pair[0].id))
    told = [(row, f"{show_volume(left, units)} left") for row, left in rows]
    if emptied:
        with shop.store.read() as r:
            told += [(row, "empty") for row in stored.emptied_of(r, finish)]
    return tuple((row.id, f"can {row.id}{f', lot {row.can.lot}' if row.can.lot else ''}, {how}") for row, how in told)


def short_words(shop: Shop, finish: str, amount_ml: float | None) -> str:
    """That the cans of a finish hold less than a coat takes; "" where they hold enough or none is on the shelf."""
    left = [ml for row, ml in shelf(shop) if row.can.finish == finish]
    if amount_ml is None or not left or amount_ml <= sum(left) + 0.5:
        return ""
    units = shop.settings.units
    whose = "its can holds" if len(left) == 1 else "its cans hold"
    return f"it takes about {show_volume(amount_ml, units)}, {whose} {show_volume(sum(left), units)}"


def price_per_ml(shop: Shop, finish: str) -> float | None:
    """What a millilitre of a finish costs, by the newest can with a price."""
    priced = [row for row, _ in shelf(shop) if row.can.finish == finish and row.can.price is not None]
    if not priced:
        return None
    newest = priced[-1].can
    return (newest.price or 0.0) / newest.volume_ml
