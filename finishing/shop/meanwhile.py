"""What was put on record elsewhere, by another terminal or a command, while a maker was filling in a card."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from finishing.shop.record import entry_words
from finishing.shop.shop import Shop
from finishing.store import Conflict


def as_seen(shop: Shop, codes: Iterable[str], now: float) -> dict[str, int]:
    """The number of each batch's newest entry, 0 for none."""
    return {code: shop.standing(code, now).row.last_number for code in codes}


def unmoved(shop: Shop, seen: Mapping[str, int], now: float) -> None:
    """Conflict, with the newest entry in words, where a batch's record went on since it was seen so."""
    for code, number in seen.items():
        batch = shop.standing(code, now)
        if batch.row.last_number != number:
            newest = max(batch.row.record, key=lambda recorded: recorded.entry.number)
            who = f" by {newest.maker}" if newest.maker else ""
            words = entry_words(batch, newest.entry, shop.settings.units)
            said = f"{code}: {words} came on record{who} while you were about it"
            raise Conflict(said, "nothing of yours was recorded; look, then repeat what still holds")
