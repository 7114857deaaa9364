"""Finding anything on record by a few letters of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from sqlalchemy import ColumnElement, Text, func, or_, select, type_coerce

from finishing.clock import hour_of
from finishing.store.kinds import MOVE, NOTE
from finishing.store.tables import BATCH, BATCH_WOOD, CAN, ENTRY, PLACE
from finishing.store.types import canonical, instant
from finishing.store.work import Reader
from finishing.units import counted


@dataclass(frozen=True, slots=True)
class Hit:
    """One thing found, its batch's code ("" for a can), and words.

    kind: "batch", "wood", "place", "schedule", "finish", "lot", "note" or "day". at: the hour it is about, None for a
    can. can: its number. name: of the wood, place, schedule or finish. also: what else of the same batch was found, by
    kind.
    """

    kind: str
    code: str
    words: str
    at: float | None = None
    can: int | None = None
    name: str = ""
    also: tuple[str, ...] = ()

    @property
    def kinds(self) -> tuple[str, ...]:
        """All that was found of it."""
        return (self.kind, *self.also)


def batches_like(r: Reader, text: str, most: int) -> list[Hit]:
    """Batches whose code, description or note has the text, newest first."""
    fits = or_(*(_has(r, column, text) for column in (BATCH.c.code, BATCH.c.what, BATCH.c.note)))
    query = select(BATCH.c.code, BATCH.c.what, BATCH.c.pieces, BATCH.c.created_at).where(fits)
    rows = r.connection.execute(query.order_by(BATCH.c.id.desc()).limit(most))
    return [Hit("batch", code, f"{what} ×{pieces}", hour_of(at)) for code, what, pieces, at in rows]


def woods_like(r: Reader, text: str, most: int) -> list[Hit]:
    """Batches with a wood whose name has the text, newest first; a batch's last wood first."""
    query = (
        select(BATCH.c.code, BATCH_WOOD.c.species, BATCH.c.what, BATCH.c.created_at)
        .join(BATCH_WOOD, BATCH_WOOD.c.batch_id == BATCH.c.id)
        .where(_has(r, BATCH_WOOD.c.species, text))
        .order_by(BATCH_WOOD.c.batch_id.desc(), BATCH_WOOD.c.position.desc())
        .limit(most)
    )
    rows = r.connection.execute(query)
    return [Hit("wood", code, f"{wood}: {what}", hour_of(at), name=wood) for code, wood, what, at in rows]


def at_places(r: Reader, names: Sequence[str], most: int) -> list[Hit]:
    """Batches that began at some places or were moved there, newest first. Voided moves count: they were there."""
    if not names:
        return []
    bodies = {canonical({"place": name}): name for name in names}
    moved = (
        select(ENTRY.c.batch_id, type_coerce(ENTRY.c.body, Text).label("body"))
        .where(ENTRY.c.kind == MOVE, type_coerce(ENTRY.c.body, Text).in_(list(bodies)))
        .order_by(ENTRY.c.batch_id.desc())
        .limit(4 * most)  # a batch goes to and fro
    )
    went = {row.batch_id: bodies[row.body] for row in r.connection.execute(moved)}
    query = (
        select(BATCH.c.id, BATCH.c.code, BATCH.c.what, BATCH.c.created_at, PLACE.c.name)
        .join(PLACE, PLACE.c.id == BATCH.c.place_id)
        .where(or_(PLACE.c.name.in_(names), BATCH.c.id.in_(sorted(went)[-most:])))
        .order_by(BATCH.c.id.desc())
        .limit(most)
    )
    found = [
        (place if place in names else went[number], code, what, at)
        for number, code, what, at, place in r.connection.execute(query)
    ]
    return [Hit("place", code, f"{place}: {what}", hour_of(at), name=place) for place, code, what, at in found]


def by_schedules(r: Reader, kind: str, named: Mapping[str, str], most: int) -> list[Hit]:
    """Batches of some schedules, newest first. named: by schedule, what was found of it."""
    if not named:
        return []
    query = select(BATCH.c.code, BATCH.c.schedule, BATCH.c.what, BATCH.c.created_at).where(BATCH.c.schedule.in_(named))
    rows = r.connection.execute(query.order_by(BATCH.c.id.desc()).limit(most))
    return [Hit(kind, code, f"{named[by]}: {what}", hour_of(at), name=named[by]) for code, by, what, at in rows]


def lots_like(r: Reader, text: str, most: int) -> list[Hit]:
    """Cans whose lot or finish has the text, newest first."""
    fits = or_(_has(r, CAN.c.lot, text), _has(r, CAN.c.finish, text))
    rows = r.connection.execute(
        select(CAN.c.id, CAN.c.lot, CAN.c.finish).where(fits).order_by(CAN.c.id.desc()).limit(most)
    )
    return [Hit("lot", "", f"can {number}: {finish}, lot {lot or '-'}", can=number) for number, lot, finish in rows]


def notes_like(r: Reader, text: str, most: int) -> list[Hit]:
    """Notes that have the text, newest first."""
    query = (
        select(BATCH.c.code, ENTRY.c.body, ENTRY.c.at)
        .join(BATCH, BATCH.c.id == ENTRY.c.batch_id)
        .where(ENTRY.c.kind == NOTE, _has(r, type_coerce(ENTRY.c.body, Text), text))
        .order_by(ENTRY.c.id.desc())
        .limit(most)
    )
    rows = r.connection.execute(query)
    return [Hit("note", code, str(body.get("text", "")), hour_of(at)) for code, body, at in rows]


def entries_between(r: Reader, start: float, end: float, most: int) -> list[Hit]:
    """Batches with an entry from one hour up to another, newest first."""
    query = (
        select(BATCH.c.code, BATCH.c.what, func.count(), func.max(ENTRY.c.at))
        .join(BATCH, BATCH.c.id == ENTRY.c.batch_id)
        .where(ENTRY.c.at >= instant(start), ENTRY.c.at < instant(end))
        .group_by(BATCH.c.id)
        .order_by(func.max(ENTRY.c.at).desc())
        .limit(most)
    )
    rows = r.connection.execute(query)
    return [Hit("day", code, f"{what}, {counted(n, 'entry', 'entries')}", hour_of(at)) for code, what, n, at in rows]


def _has(r: Reader, column: ColumnElement[str], text: str) -> ColumnElement[bool]:
    """Whether a column has the text, in whatever case; SQLite's LIKE folds it by itself, and faster."""
    like = column.like if r.connection.dialect.name == "sqlite" else column.ilike
    escaped = text
    for mark in ("\\", "%", "_"):  # its own wildcards mean themselves
        escaped = escaped.replace(mark, f"\\{mark}")
    # An ESCAPE clause costs SQLite its quick way of comparing, so only where there is something to escape.
    return like(f"%{escaped}%", escape="\\" if escaped != text or r.connection.dialect.name != "sqlite" else None)
