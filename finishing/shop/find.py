"""Finding anything on record: a batch by what it is, its woods, place, schedule or finish; a lot, a note, a day."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace

from finishing.moments import A_DATE, day_back, parse_moment
from finishing.shop.shop import Shop
from finishing.store import places, search
from finishing.store.search import Hit
from finishing.store.work import Reader

SHORTEST = 2
MOST = 60
"""Of each kind; more letters narrow it down."""

SHORTEST_NAME = 3
"""Letters of a schedule or finish: fewer are in nearly all of their names."""


def find(shop: Shop, text: str, now: float) -> list[Hit]:
    """Everything on record that has the text: batches, their woods, places, schedules and finishes, lots, notes; a day,
    as a date or in words, finds what was recorded on it.

    A batch found in several ways is told once, with all that was found of it.
    """
    wanted = text.strip()
    if len(wanted) < SHORTEST:
        return []
    # What is a day is one in any zone, so that only then the settings are read.
    day = None if day_back(wanted, "UTC", now) is None else day_back(wanted, shop.settings.zone, now)
    with shop.store.read() as r:
        days = [] if day is None else _day(r, shop, day, now)
        if A_DATE.fullmatch(wanted):
            return days
        schedules = {name: name for name in _named(shop.library.schedule_names, wanted)}
        finishes = {by: name for by, name in _of_finishes(shop, wanted).items() if by not in schedules}
        ways = (
            search.woods_like(r, wanted, MOST),
            search.at_places(r, _places(r, wanted), MOST),
            search.by_schedules(r, "schedule", schedules, MOST),
            search.by_schedules(r, "finish", finishes, MOST),
        )
        return [
            *days,
            *_once(search.batches_like(r, wanted, MOST), [hit for hits in ways for hit in hits]),
            *search.lots_like(r, wanted, MOST),
            *search.notes_like(r, wanted, MOST),
        ]


def _places(r: Reader, text: str) -> list[str]:
    return [place.name for place in places.all_places(r) if text.casefold() in place.name.casefold()]


def _named(names: Sequence[str], text: str) -> list[str]:
    """Names with a word that begins with the text, or with several from its first on: oak is not in oil-soak."""
    wanted = text.casefold().replace(" ", "-")
    return [name for name in names if f"-{wanted}" in f"-{name}"] if len(wanted) >= SHORTEST_NAME else []


def _of_finishes(shop: Shop, text: str) -> dict[str, str]:
    """Schedules that use a finish whose name has the text, and that finish."""
    names = _named(shop.library.finish_names, text)
    if not names:
        return {}  # schedules are read for this alone
    return {s.name: name for s in shop.library.schedules() for name in s.finishes if name in names}


def _once(batches: Sequence[Hit], others: Sequence[Hit]) -> Iterator[Hit]:
    """Each batch once: those found by themselves first, with what else was found of them; then the rest."""
    of: dict[str, list[Hit]] = {}
    for hit in others:
        of.setdefault(hit.code, []).append(hit)
    for found in of.values():  # woods are told in their own order, the last being found first
        found.sort(key=lambda hit: hit.kind != "wood")
        woods = sum(hit.kind == "wood" for hit in found)
        found[:woods] = reversed(found[:woods])
    for batch in batches:
        found = of.pop(batch.code, [])
        names = [hit.name for hit in found if hit.kind == "wood"]
        words = f"{batch.words}, of {' and '.join(names)}" if names else batch.words
        words += "".join(f", {hit.name}" for hit in found if hit.kind != "wood")
        yield replace(batch, words=words, also=tuple(hit.kind for hit in found))
    for first, *rest in of.values():
        words = ", ".join(hit.name for hit in (first, *rest)) + first.words.removeprefix(first.name)
        yield replace(first, words=words, also=tuple(hit.kind for hit in rest))


def capped(hits: Sequence[Hit]) -> bool:
    """Whether so many of a kind were found that there may be more."""
    counts = Counter(kind for hit in hits for kind in hit.kinds)
    return any(count >= MOST for count in counts.values())


def kind_words(hit: Hit) -> str:
    """What was found, in words."""
    return ", ".join(dict.fromkeys(hit.kinds))


def _day(r: Reader, shop: Shop, day: dt.date, now: float) -> list[Hit]:
    start = parse_moment(day.isoformat(), "day", shop.settings.zone, now)
    # A local day may have 23 or 25 hours; 25 of them at most reach an hour into the next, never miss one.
    return search.entries_between(r, start, start + 25.0, MOST)


__all__ = ["Hit", "capped", "find", "kind_words"]
