"""Coats on record that say no can: where a lot called back may have gone without anybody having written it down."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import NamedTuple

from sqlalchemy import or_, select

from finishing.clock import hour_of
from finishing.cure.work import CoatEntry, MoveEntry, ReleaseEntry, standing
from finishing.store import entries
from finishing.store.kinds import COAT
from finishing.store.tables import BATCH, ENTRY, PLACE
from finishing.store.trace import CanCoat, Reached, Whereabouts
from finishing.store.types import instant
from finishing.store.work import Reader


class Loose(NamedTuple):
    """A coat without its can, voided or not: its batch, what that began with, the entry, its step and hour."""

    batch: int
    frozen_key: str
    number: int
    step: int
    at: float


def coats(r: Reader, start: float, end: float) -> list[Loose]:
    """Those put on between two hours. Only batches that had not left the bench before are looked through."""
    query = (
        select(ENTRY.c.batch_id, BATCH.c.frozen_key, ENTRY.c.id, ENTRY.c.step, ENTRY.c.at)
        .join(BATCH, BATCH.c.id == ENTRY.c.batch_id)
        .where(or_(BATCH.c.closed_at.is_(None), BATCH.c.closed_at >= instant(start)))
        .where(ENTRY.c.kind == COAT, ENTRY.c.can_id.is_(None), ENTRY.c.at.between(instant(start), instant(end)))
    )
    return [Loose(*row[:4], hour_of(row[4])) for row in r.connection.execute(query)]


def reached(r: Reader, wanted: Mapping[int, Collection[int]]) -> tuple[Reached, ...]:
    """The batches with standing coats among some entries of theirs, in the order they were begun; and where they are.

    wanted: numbers of coats by batch.
    """
    if not wanted:
        return ()
    query = (
        select(BATCH.c.id, BATCH.c.code, BATCH.c.what, BATCH.c.pieces, PLACE.c.name, BATCH.c.held, BATCH.c.closed_at)
        .join(PLACE, PLACE.c.id == BATCH.c.place_id)
        .where(BATCH.c.id.in_(wanted))
        .order_by(BATCH.c.id)
    )
    records = entries.of_batches(r, select(BATCH.c.id).where(BATCH.c.id.in_(wanted)))
    found = []
    for batch, code, what, pieces, place, held, closed in r.connection.execute(query):
        makers = {recorded.entry.number: recorded.maker for recorded in records[batch]}
        alive, released = standing([recorded.entry for recorded in records[batch]]), {}
        for entry in alive:
            if isinstance(entry, MoveEntry):
                place = entry.place
            elif isinstance(entry, ReleaseEntry):
                released[entry.release.value] = entry.at
        its = tuple(
            CanCoat(batch, None, e.number, instant(e.at), e.step, e.amount_ml, makers[e.number])
            for e in alive
            if isinstance(e, CoatEntry) and e.number in wanted[batch]
        )
        if its:
            found.append(Reached(code, what, pieces, Whereabouts(place, held, closed, released), its))
    return tuple(found)
