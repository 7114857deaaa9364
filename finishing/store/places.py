"""Places, their usual day and what is expected of the days ahead."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import func, select, update

from finishing.cure.outlook import DayAhead, UsualDay
from finishing.errors import BadInput, NotFound
from finishing.store.tables import OUTLOOK_DAY, PLACE, PLACE_USUAL, OutlookDayTable, PlaceTable, PlaceUsualTable
from finishing.store.types import instant
from finishing.store.work import Reader, Writer


@dataclass(frozen=True, slots=True)
class PlaceRow:
    """A place. rack_pieces: how many pieces may dry there at once; None: no limit."""

    id: int
    name: str
    rack_pieces: int | None


def create(w: Writer, name: str, now: float, *, rack_pieces: int | None = None) -> int:
    """A new place; its id. BadInput if another has the name, in whatever case."""
    shown = _checked(name, rack_pieces)
    _free(w, shown)
    row = PlaceTable(name=shown, name_key=_key(shown), rack_pieces=rack_pieces, created_at=instant(now))
    w.session.add(row)
    w.session.flush()
    assert row.id is not None
    return row.id


def change(w: Writer, place_id: int, name: str, *, rack_pieces: int | None) -> None:
    """Another name or room. BadInput if another place has the name, or the place is unknown.

    Entries that moved a batch here hold the old name; keep it unless nothing ever moved.
    """
    shown = _checked(name, rack_pieces)
    _free(w, shown, but=place_id)
    values = {"name": shown, "name_key": _key(shown), "rack_pieces": rack_pieces}
    if w.connection.execute(update(PLACE).where(PLACE.c.id == place_id).values(**values)).rowcount != 1:
        raise BadInput("place", place_id, "a place that is there")


def all_places(r: Reader) -> tuple[PlaceRow, ...]:
    """Every place, in the order they were made."""
    return tuple(_row(row) for row in r.connection.execute(_COLUMNS.order_by(PLACE.c.id)))


def by_name(r: Reader, name: str) -> PlaceRow:
    """The place of a name, in whatever case. NotFound offers the nearest."""
    row = r.connection.execute(_COLUMNS.where(PLACE.c.name_key == _key(name))).one_or_none()
    if row is None:
        raise NotFound("place", name, [place.name for place in all_places(r)])
    return _row(row)


def set_usual(w: Writer, place_id: int, usual: UsualDay, now: float) -> None:
    """From now on the place's usual day."""
    row = PlaceUsualTable(
        place_id=place_id,
        low_c=usual.low_c,
        high_c=usual.high_c,
        humidity_at_low=usual.humidity_at_low,
        humidity_at_high=usual.humidity_at_high,
        entered_at=instant(now),
    )
    w.session.add(row)
    w.session.flush()


def usual_days(r: Reader) -> dict[int, UsualDay]:
    """The usual day last entered, by place id; a place without one is left out."""
    t = PLACE_USUAL.c
    newest = select(func.max(t.id)).group_by(t.place_id)
    query = select(t.place_id, t.low_c, t.high_c, t.humidity_at_low, t.humidity_at_high).where(t.id.in_(newest))
    return {row[0]: UsualDay(*row[1:]) for row in r.connection.execute(query)}


def expect(w: Writer, place_id: int, day: DayAhead, now: float) -> None:
    """What is expected of a day, in place of what was."""
    row = OutlookDayTable(
        place_id=place_id,
        date=day.date,
        low_c=day.low_c,
        high_c=day.high_c,
        humidity_pct=day.humidity_pct,
        entered_at=instant(now),
    )
    w.session.add(row)
    w.session.flush()


def days_ahead(r: Reader, since: dt.date) -> Mapping[int, tuple[DayAhead, ...]]:
    """What is expected of each day from a date on, in order, by place id."""
    t = OUTLOOK_DAY.c
    newest = select(func.max(t.id)).where(t.date >= since).group_by(t.place_id, t.date)
    query = select(t.place_id, t.date, t.low_c, t.high_c, t.humidity_pct).where(t.id.in_(newest))
    found: dict[int, tuple[DayAhead, ...]] = {}
    for place_id, *day in r.connection.execute(query.order_by(t.place_id, t.date)):
        found[place_id] = (*found.get(place_id, ()), DayAhead(*day))
    return found


_COLUMNS = select(PLACE.c.id, PLACE.c.name, PLACE.c.rack_pieces)


def _row(row: Any) -> PlaceRow:
    return PlaceRow(row.id, row.name, row.rack_pieces)


def _key(name: str) -> str:
    return " ".join(name.split()).casefold()


def _checked(name: str, rack_pieces: int | None) -> str:
    if not name.strip():
        raise BadInput("place", name, "a name")
    if rack_pieces is not None and rack_pieces < 1:
        raise BadInput("rack", rack_pieces, "room for at least 1 piece, or no limit")
    return " ".join(name.split())


def _free(w: Writer, name: str, *, but: int | None = None) -> None:
    found = w.connection.scalar(select(PLACE.c.id).where(PLACE.c.name_key == _key(name)))
    if found is not None and found != but:
        raise BadInput("place", name, "a name that no other place has")
