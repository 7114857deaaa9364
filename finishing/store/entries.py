"""The record of a batch: read, and added to. Nothing in it is ever changed."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Select, func, select, update

from finishing.clock import hour_of
from finishing.cure.work import CloseEntry, Entry, HoldEntry, VoidEntry, standing
from finishing.errors import BadInput
from finishing.store.kinds import COAT, Columns, columns_of, entry_of
from finishing.store.tables import BATCH, ENTRY, EntryTable
from finishing.store.trouble import Conflict
from finishing.store.types import instant, maybe_instant
from finishing.store.work import Reader, Writer


@dataclass(frozen=True, slots=True)
class Recorded:
    """An entry with what the core need not know: when it was written down [hour], by whom, from which can."""

    batch_id: int
    entry: Entry
    recorded_at: float
    maker: str
    can_id: int | None


def add(
    w: Writer,
    batch_id: int,
    entry: Entry,
    *,
    recorded_at: float,
    maker: str = "",
    can_id: int | None = None,
    expect_last: int | None = None,
) -> int:
    """Add an entry (its own `number` is not used) and return the number it got. It is kept on commit.

    expect_last: the batch's last number as the maker saw it, 0 for none; Conflict if another came since.
    BadInput for a void of what is not in this batch's record, or a can on anything but a coat.
    """
    columns = columns_of(entry)
    if expect_last is not None:
        _nobody_else(w, batch_id, expect_last)
    if columns.voids is not None:
        _in_record(w, batch_id, columns.voids)
    if can_id is not None and columns.kind != COAT:
        raise BadInput("can", can_id, "a can on a coat and on no other entry")
    row = EntryTable(
        batch_id=batch_id,
        kind=columns.kind,
        at=instant(entry.at),
        recorded_at=instant(recorded_at),
        step=columns.step,
        body=columns.body,
        voids=columns.voids,
        maker=maker,
        can_id=can_id,
        amount_ml=columns.amount_ml,
    )
    w.session.add(row)
    w.session.flush()
    assert row.id is not None
    if isinstance(entry, CloseEntry | HoldEntry | VoidEntry):
        _project(w, batch_id)
    return row.id


def last_number(r: Reader, batch_id: int) -> int:
    """Number of the batch's last entry; 0 if it has none."""
    return r.connection.scalar(select(func.max(ENTRY.c.id)).where(ENTRY.c.batch_id == batch_id)) or 0


def entry_count(r: Reader, batch_id: int) -> int:
    """How many entries the batch has, the voided among them."""
    return r.connection.scalar(select(func.count()).where(ENTRY.c.batch_id == batch_id)) or 0


def of_batch(r: Reader, batch_id: int) -> tuple[Recorded, ...]:
    """A batch's whole record, in order of its numbers."""
    return of_batches(r, select(BATCH.c.id).where(BATCH.c.id == batch_id)).get(batch_id, ())


def of_batches(r: Reader, ids: Select[tuple[int]], *, after: int = 0) -> dict[int, tuple[Recorded, ...]]:
    """The records of the batches that a query names, or what came on them after an entry, in one query."""
    wanted = _COLUMNS.where(ENTRY.c.batch_id.in_(ids)).order_by(ENTRY.c.id)
    rows = r.connection.execute(wanted.where(ENTRY.c.id > after) if after else wanted)
    found: defaultdict[int, list[Recorded]] = defaultdict(list)
    for row in rows:
        found[row.batch_id].append(_recorded(row))
    return {batch_id: tuple(records) for batch_id, records in found.items()}


def newest(r: Reader) -> tuple[int, float]:
    """Number of the newest entry of any batch and when it was written down [hour]; 0 and 0 if there is none."""
    found = r.connection.execute(select(ENTRY.c.id, ENTRY.c.recorded_at).order_by(ENTRY.c.id.desc()).limit(1)).first()
    return (0, 0.0) if found is None else (found.id, hour_of(found.recorded_at))


def written_at(r: Reader, number: int) -> float:
    """When an entry was written down [hour]; 0 if there is none of that number."""
    found = r.connection.scalar(select(ENTRY.c.recorded_at).where(ENTRY.c.id == number)) if number else None
    return 0.0 if found is None else hour_of(found)


def latest(r: Reader, most: int = 100, *, before: int | None = None) -> tuple[Recorded, ...]:
    """The newest entries of all batches, newest first; those before a number, to page back."""
    query = _COLUMNS.order_by(ENTRY.c.id.desc()).limit(most)
    if before is not None:
        query = query.where(ENTRY.c.id < before)
    return tuple(_recorded(row) for row in r.connection.execute(query))


def batches_with(r: Reader, kind: str) -> tuple[int, ...]:
    """Ids of the batches whose record has an entry of a kind, such as a touch test."""
    query = select(ENTRY.c.batch_id).where(ENTRY.c.kind == kind).distinct().order_by(ENTRY.c.batch_id)
    return tuple(r.connection.scalars(query))


_COLUMNS = select(
    ENTRY.c.id,
    ENTRY.c.batch_id,
    ENTRY.c.kind,
    ENTRY.c.at,
    ENTRY.c.recorded_at,
    ENTRY.c.step,
    ENTRY.c.body,
    ENTRY.c.voids,
    ENTRY.c.maker,
    ENTRY.c.can_id,
    ENTRY.c.amount_ml,
)


def _recorded(row: Any) -> Recorded:
    number, batch_id, kind, at, recorded_at, step, body, voids, maker, can_id, amount = row
    entry = entry_of(number, hour_of(at), Columns(kind, body, step, voids, amount))
    return Recorded(batch_id, entry, hour_of(recorded_at), maker, can_id)


def _nobody_else(w: Writer, batch_id: int, expect_last: int) -> None:
    """On a server the batch's row is locked until commit; on SQLite the writer is alone anyway."""
    code = w.connection.scalar(select(BATCH.c.code).where(BATCH.c.id == batch_id).with_for_update())
    found = last_number(w, batch_id)
    if found != expect_last:
        raise Conflict(f"batch {code} has a new entry, number {found}, since you looked", "look again, then repeat")


def _in_record(w: Writer, batch_id: int, number: int) -> None:
    if w.connection.scalar(select(ENTRY.c.batch_id).where(ENTRY.c.id == number)) != batch_id:
        raise BadInput("voids", number, "the number of an entry of the same batch")


def _project(w: Writer, batch_id: int) -> None:
    """Repeat on the batch's row whether its record says it is closed, and held."""
    state = state_of([recorded.entry for recorded in of_batch(w, batch_id)])
    values = {"closed_at": maybe_instant(state[0]), "held": state[1]}
    w.connection.execute(update(BATCH).where(BATCH.c.id == batch_id).values(**values))


def state_of(entries: Sequence[Entry]) -> tuple[float | None, bool]:
    """When a record says the batch was closed, if it was; and whether it is on hold."""
    alive = standing(list(entries))
    closed = [e.at for e in alive if isinstance(e, CloseEntry)]
    held = [e.on for e in alive if isinstance(e, HoldEntry)]
    return (closed[-1] if closed else None), bool(held and held[-1])
