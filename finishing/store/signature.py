"""Has the air of any place changed? Four small queries that tell without reading it again."""

from __future__ import annotations

from sqlalchemy import func, select

from finishing.store.readings import newest
from finishing.store.tables import LOG_IMPORT, OUTLOOK_DAY, PLACE_USUAL
from finishing.store.work import Reader

Signature = tuple[tuple[tuple[int, int], ...], int, int, int]


def air_signature(r: Reader) -> Signature:
    """Equal as long as no reading, usual day or expected day was added."""
    last = [r.connection.scalar(select(func.max(t.c.id))) or 0 for t in (PLACE_USUAL, OUTLOOK_DAY, LOG_IMPORT)]
    return tuple(sorted(newest(r).items())), last[0], last[1], last[2]
