"""Opening the shop for a command."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from finishing.cli.text import complain
from finishing.shop.keeping import daily_backup
from finishing.shop.shop import Shop


@contextmanager
def open_shop(now: float) -> Iterator[Shop]:
    """The shop where the environment says it is, closed afterwards; the day's backup is taken first."""
    shop = Shop.open(now)
    try:
        if trouble := daily_backup(shop, now):
            complain(trouble)
        yield shop
    finally:
        shop.close()
