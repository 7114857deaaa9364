"""Finding any batch, wood, lot, note or day on record."""

from __future__ import annotations

import re

from finishing.errors import BadInput
from finishing.moments import parse_moment
from finishing.shop.shop import Shop
from finishing.store import search
from finishing.store.search import Hit

SHORTEST = 2
MOST = 60
"""Of each kind; more letters narrow it down."""

DAY = re.compile(r"\d{4}-\d{2}-\d{2}")


def find(shop: Shop, text: str, now: float) -> list[Hit]:
    """Everything on record that has the text: batches, woods, lots, notes; a date finds what was recorded that day."""
    wanted = text.strip()
    if DAY.fullmatch(wanted):
        return _day(shop, wanted, now)
    if len(wanted) < SHORTEST:
        return []
    with shop.store.read() as r:
        return [
            *search.batches_like(r, wanted, MOST),
            *search.woods_like(r, wanted, MOST),
            *search.lots_like(r, wanted, MOST),
            *search.notes_like(r, wanted, MOST),
        ]


def _day(shop: Shop, text: str, now: float) -> list[Hit]:
    zone = shop.settings.zone
    try:
        start = parse_moment(text, "day", zone, now)
    except BadInput:
        return []
    with shop.store.read() as r:
        # A local day may have 23 or 25 hours; 25 of them at most reach an hour into the next, never miss one.
        return search.entries_between(r, start, start + 25.0, MOST)


__all__ = ["Hit", "find"]
