"""Opening the shop for a command."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from finishing.cli.text import complain
from finishing.clock import iso
from finishing.errors import BadInput
from finishing.shop.keeping import daily_backup
from finishing.shop.shop import Shop

FIRST_HOUR, LAST_HOUR = 262_968.0, 2_016_144.0
"""The years 2000 to 2199: a clock outside them was never set."""


@contextmanager
def open_shop(now: float, *, stays: bool = False) -> Iterator[Shop]:
    """The shop where the environment says it is, closed afterwards; the day's backup is taken first.

    Of a shop that may only be read it says so at the end, as what would record is refused with a line of its own.
    stays: whoever stays says so at once. BadInput for a clock that stands in no year the record takes.
    """
    if not FIRST_HOUR <= now <= LAST_HOUR:
        raise BadInput("this machine's clock", iso(now, "UTC"), "a year from 2000 to 2199", "set it right")
    shop = Shop.open(now)
    try:
        if trouble := daily_backup(shop, now):
            complain(trouble)
        yield shop
        if shop.read_only and not stays:
            complain(shop.read_only)
    finally:
        shop.close()
