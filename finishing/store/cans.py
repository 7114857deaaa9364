"""Cans: what is on the shelf, what is left in each, and which batches got which."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any, TypedDict, Unpack

from sqlalchemy import Select, select, update

from finishing.cure.work import CoatEntry, standing
from finishing.errors import BadInput
from finishing.store import entries
from finishing.store.tables import BATCH, CAN, ENTRY, CanTable
from finishing.store.types import instant, maybe_instant, read_hour
from finishing.store.work import Reader, Writer

COLUMNS = (
    CAN.c.id, CAN.c.finish, CAN.c.volume_ml, CAN.c.lot, CAN.c.price, CAN.c.bought_on, CAN.c.opened_on,
    CAN.c.use_within_days, CAN.c.note, CAN.c.created_at, CAN.c.emptied_at,
)  # fmt: skip
"""Of a can, as `read` takes them."""


@dataclass(frozen=True, slots=True)
class NewCan:
    """A can as bought. price: of the whole can, in the shop's currency. use_within_days: once opened."""

    finish: str
    volume_ml: float
    lot: str = ""
    price: float | None = None
    bought_on: dt.date | None = None
    opened_on: dt.date | None = None
    use_within_days: int | None = None
    note: str = ""

    def __post_init__(self) -> None:
        if not self.volume_ml > 0.0:
            raise BadInput("volume", self.volume_ml, "an amount above 0 mL")
        if self.price is not None and not self.price >= 0.0:
            raise BadInput("price", self.price, "0 or more")
        if self.use_within_days is not None and self.use_within_days < 1:
            raise BadInput("use within", self.use_within_days, "at least 1 day")


@dataclass(frozen=True, slots=True)
class CanRow:
    """A can on the shelf, or emptied [hour]. first_use: the hour of the first standing coat from it, where that was
    looked up; it follows from the record and is no part of what is kept of a can."""

    id: int
    can: NewCan
    created_at: float
    emptied_at: float | None
    first_use: float | None = field(default=None, compare=False)


class Changes(TypedDict, total=False):
    """What may change of a can. emptied_at is an hour."""

    lot: str
    price: float | None
    bought_on: dt.date | None
    opened_on: dt.date | None
    use_within_days: int | None
    note: str
    emptied_at: float | None


@dataclass(frozen=True, slots=True)
class Use:
    """A coat that came from a can: batch, entry and, where it was said, how much [mL]."""

    can_id: int
    batch_id: int
    code: str
    number: int
    at: float
    amount_ml: float | None


def create(w: Writer, can: NewCan, now: float) -> int:
    """Put a can on the shelf; its id."""
    row = CanTable(
        finish=can.finish,
        volume_ml=can.volume_ml,
        lot=can.lot,
        price=can.price,
        bought_on=can.bought_on,
        opened_on=can.opened_on,
        use_within_days=can.use_within_days,
        note=can.note,
        created_at=instant(now),
    )
    w.session.add(row)
    w.session.flush()
    assert row.id is not None
    return row.id


def amend(w: Writer, can_id: int, **changes: Unpack[Changes]) -> None:
    """Change what is known of a can. BadInput for an unknown can."""
    values: dict[str, Any] = dict(changes)
    if "emptied_at" in changes:
        values["emptied_at"] = maybe_instant(changes["emptied_at"])
    if values and w.connection.execute(update(CAN).where(CAN.c.id == can_id).values(**values)).rowcount != 1:
        raise BadInput("can", can_id, "a can that is there")


def on_shelf(r: Reader) -> tuple[CanRow, ...]:
    """Every can that is not emptied, by finish and id."""
    query = select(*COLUMNS).where(CAN.c.emptied_at.is_(None)).order_by(CAN.c.finish, CAN.c.id)
    return tuple(read(row) for row in r.connection.execute(query))


def emptied_of(r: Reader, finish: str) -> tuple[CanRow, ...]:
    """The cans of a finish that are emptied, the last first."""
    fits = (CAN.c.finish == finish, CAN.c.emptied_at.is_not(None))
    query = select(*COLUMNS).where(*fits).order_by(CAN.c.emptied_at.desc(), CAN.c.id.desc())
    return tuple(read(row) for row in r.connection.execute(query))


def by_id(r: Reader, can_id: int) -> CanRow:
    """One can, emptied or not. BadInput for an unknown one."""
    row = r.connection.execute(select(*COLUMNS).where(CAN.c.id == can_id)).one_or_none()
    if row is None:
        raise BadInput("can", can_id, "a can that is there")
    return read(row)


def left_ml(r: Reader) -> dict[int, float]:
    """What is left in each can on the shelf [mL], as far as amounts were recorded; never below 0."""
    return {row.id: left for row, left in shelf(r)}


def shelf(r: Reader) -> list[tuple[CanRow, float]]:
    """Every can that is not emptied with its first use, by finish and id, and what is left in it [mL]."""
    uses: defaultdict[int, list[Use]] = defaultdict(list)
    for use in _uses(r, select(CAN.c.id).where(CAN.c.emptied_at.is_(None))):
        uses[use.can_id].append(use)
    return [(with_uses(row, uses[row.id]), left_of(row, uses[row.id])) for row in on_shelf(r)]


def left_of(row: CanRow, uses: Sequence[Use]) -> float:
    """What is left in a can on the shelf [mL] after all coats that came from it."""
    return max(row.can.volume_ml - sum(use.amount_ml or 0.0 for use in uses), 0.0)


def with_uses(row: CanRow, uses: Sequence[Use]) -> CanRow:
    """A can with its first use, from all coats that came from it."""
    return replace(row, first_use=min((use.at for use in uses), default=None))


def uses_of(r: Reader, can_id: int) -> tuple[Use, ...]:
    """Which coats of which batches came from a can; the voided are left out."""
    return _uses(r, select(CAN.c.id).where(CAN.c.id == can_id))


def uses_in(r: Reader, batch_id: int) -> tuple[Use, ...]:
    """Which cans went on a batch, coat by coat; the voided are left out."""
    return _standing_uses(r, select(BATCH.c.id).where(BATCH.c.id == batch_id), None)


def _uses(r: Reader, can_ids: Select[tuple[int]]) -> tuple[Use, ...]:
    batch_ids = select(ENTRY.c.batch_id).where(ENTRY.c.can_id.in_(can_ids))
    return _standing_uses(r, batch_ids, set(r.connection.scalars(can_ids)))


def _standing_uses(r: Reader, batch_ids: Select[tuple[int]], only: set[int] | None) -> tuple[Use, ...]:
    """The standing coats of some batches that came from a can, or from certain ones, the oldest first."""
    names = dict(r.connection.execute(select(BATCH.c.id, BATCH.c.code).where(BATCH.c.id.in_(batch_ids))).all())
    found = []
    for batch_id, record in entries.of_batches(r, batch_ids).items():
        cans = {recorded.entry.number: recorded.can_id for recorded in record}
        for entry in standing([recorded.entry for recorded in record]):
            can_id = cans[entry.number]
            if isinstance(entry, CoatEntry) and can_id is not None and (only is None or can_id in only):
                found.append(Use(can_id, batch_id, names[batch_id], entry.number, entry.at, entry.amount_ml))
    return tuple(sorted(found, key=lambda use: (use.at, use.number)))


def read(row: Sequence[Any]) -> CanRow:
    """A can from COLUMNS, as read by SQLAlchemy or handed over by the driver."""
    number, finish, volume, lot, price, bought, opened, within, note, created, emptied = row
    can = NewCan(finish, volume, lot, price, _day(bought), _day(opened), within, note)
    return CanRow(number, can, read_hour(created), None if emptied is None else read_hour(emptied))


def _day(value: str | dt.date | None) -> dt.date | None:
    return dt.date.fromisoformat(value) if isinstance(value, str) else value
