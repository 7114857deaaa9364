"""Has the air of any place changed? Two small queries that tell without reading it again."""

from __future__ import annotations

from sqlalchemy import func, select

from finishing.store.readings import newest
from finishing.store.tables import LEAVING, LOG_IMPORT, OUTLOOK_DAY, PLACE_USUAL
from finishing.store.work import Reader

Signature = tuple[tuple[tuple[int, int], ...], int, int, int, int]


def air_signature(r: Reader) -> Signature:
    """Equal as long as no reading, usual day or expected day was added, and no reading left out or put back."""
    usual, outlook, logs, leavings = r.connection.execute(_LAST).one()
    return tuple(sorted(newest(r).items())), usual or 0, outlook or 0, logs or 0, leavings or 0


_LAST = select(*(select(func.max(t.c.id)).scalar_subquery() for t in (PLACE_USUAL, OUTLOOK_DAY, LOG_IMPORT, LEAVING)))
