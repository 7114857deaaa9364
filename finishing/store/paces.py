"""Hands-on minutes of past sessions, as the pass guide left them with its entries."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import Text, cast, func, select

from finishing.clock import hour_of
from finishing.store.kinds import COAT, MINUTES, STEP
from finishing.store.tables import BATCH, ENTRY
from finishing.store.work import Reader

NEWEST = 20_000
"""Of so many of the newest entries: hands get quicker, and nobody reads a decade for it."""


@dataclass(frozen=True, slots=True)
class Took:
    """What one step took in minutes a piece. step: its position in the schedule the batch began with."""

    frozen_key: str
    step: int
    at: float
    minutes: float


def took(r: Reader) -> tuple[Took, ...]:
    """Every step whose minutes are known and that holds, each once, also where a split copied it."""
    newest = select(func.max(ENTRY.c.id)).scalar_subquery()
    undone = ENTRY.alias()  # a void that is void itself, as of a correction taken back
    void = select(ENTRY.c.voids).where(
        ENTRY.c.voids.is_not(None), ~select(undone.c.id).where(undone.c.voids == ENTRY.c.id).exists()
    )
    query = (
        select(BATCH.c.frozen_key, ENTRY.c.step, ENTRY.c.at, ENTRY.c.body)
        .join(BATCH, BATCH.c.id == ENTRY.c.batch_id)
        .where(
            ENTRY.c.id > newest - NEWEST,
            ENTRY.c.kind.in_((COAT, STEP)),
            cast(ENTRY.c.body, Text).contains(MINUTES),
            ENTRY.c.id.not_in(void),
        )
        .order_by(ENTRY.c.id)
    )
    rows = [Took(row.frozen_key, row.step, hour_of(row.at), row.body[MINUTES]) for row in r.connection.execute(query)]
    return tuple(dict.fromkeys(rows))
