"""Opening the shop for a command."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from finishing.shop.shop import Shop


@contextmanager
def open_shop(now: float) -> Iterator[Shop]:
    """The shop where the environment says it is, closed afterwards."""
    shop = Shop.open(now)
    try:
        yield shop
    finally:
        shop.close()
