"""The shop's record moved to another database."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from finishing.shop.shop import Shop
from finishing.store.location import at_url
from finishing.store.move import move


@dataclass(frozen=True, slots=True)
class Moved:
    """From where to where, in words without a pass-phrase, and how many rows of each table."""

    here: str
    there: str
    rows: Mapping[str, int]


def move_to(shop: Shop, url: str, now: float) -> Moved:
    """Copy the record to the empty database of a URL, every row compared. BadInput for a URL that can't be one."""
    target = at_url(url, shop.home, "URL")
    return Moved(shop.store.location.shown, target.shown, move(shop.store, target, now))
