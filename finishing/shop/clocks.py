"""A clock that was set back, or stands in another century: said before anything is recorded by it."""

from __future__ import annotations

from finishing.clock import iso
from finishing.errors import BadInput
from finishing.shop.shop import Standing

DIFFER_HOURS = 0.25
"""Two benches' clocks may stand so far apart."""


def clock_goes_on(batch: Standing, now: float) -> None:
    """See that what happens just now comes after all that was written down of its batch.

    BadInput where this machine's clock says otherwise: the entry would stand in the wrong order for ever.
    """
    row, zone = batch.row, "UTC"
    last = max([row.created_at, *(recorded.recorded_at for recorded in row.record)])
    if now < last - DIFFER_HOURS:
        expected = f"a time after {iso(last, zone)}, when {row.code} was last written to"
        raise BadInput("this machine's clock", iso(now, zone), expected, "set it right, or say when it was with --at")
