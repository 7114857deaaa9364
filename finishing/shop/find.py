"""Finding any batch, wood, lot, note or day on record."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace

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
    """Everything on record that has the text: batches, woods, lots, notes; a date finds what was recorded that day.

    A batch found by itself and by its woods is told once, with all that was found of it.
    """
    wanted = text.strip()
    if DAY.fullmatch(wanted):
        return _day(shop, wanted, now)
    if len(wanted) < SHORTEST:
        return []
    with shop.store.read() as r:
        return [
            *_once(search.batches_like(r, wanted, MOST), search.woods_like(r, wanted, MOST)),
            *search.lots_like(r, wanted, MOST),
            *search.notes_like(r, wanted, MOST),
        ]


def _once(batches: Sequence[Hit], woods: Sequence[Hit]) -> Iterator[Hit]:
    """Each batch once: those found by themselves first, with their woods; then those found by their woods alone."""
    of: dict[str, list[Hit]] = {}
    for hit in reversed(woods):
        of.setdefault(hit.code, []).append(hit)
    for batch in batches:
        names = [hit.wood for hit in of.pop(batch.code, [])]
        words = f"{batch.words}, of {' and '.join(names)}" if names else batch.words
        yield replace(batch, words=words, also=("wood",) * len(names))
    for *others, last in reversed(of.values()):
        yield replace(last, words=", ".join([*(hit.wood for hit in others), last.words]), also=("wood",) * len(others))


def capped(hits: Sequence[Hit]) -> bool:
    """Whether so many of a kind were found that there may be more."""
    counts = Counter(kind for hit in hits for kind in hit.kinds)
    return any(count >= MOST for count in counts.values())


def kind_words(hit: Hit) -> str:
    """What was found, in words."""
    return ", ".join(dict.fromkeys(hit.kinds))


def _day(shop: Shop, text: str, now: float) -> list[Hit]:
    zone = shop.settings.zone
    try:
        start = parse_moment(text, "day", zone, now)
    except BadInput:
        return []
    with shop.store.read() as r:
        # A local day may have 23 or 25 hours; 25 of them at most reach an hour into the next, never miss one.
        return search.entries_between(r, start, start + 25.0, MOST)


__all__ = ["Hit", "capped", "find", "kind_words"]
