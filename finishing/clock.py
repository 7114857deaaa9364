"""Instants as the core counts them, and as people read them.

The core counts hours since 1970-01-01T00:00Z as a float (`hour`), which orders, subtracts and interpolates
without a zone. Everything a person reads is a pendulum DateTime in the shop's zone. The wall clock is read
in one place, `now_hour`, and only by commands and screens.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from functools import lru_cache

import pendulum

Clock = Callable[[], float]
"""Tells the present hour; the screens are given one, so that a picture or a test can stop it."""

SECONDS = 3600.0


def now_hour() -> float:
    """The present instant, in hours since the epoch."""
    return pendulum.now("UTC").timestamp() / SECONDS


def hour_of(instant: dt.datetime) -> float:
    """Hours since the epoch of an aware datetime. ValueError if it has no zone."""
    if instant.tzinfo is None:
        raise ValueError(f"an instant needs a zone: {instant!r}")
    return instant.timestamp() / SECONDS


def at_zone(hour: float, zone: str) -> pendulum.DateTime:
    """The instant as the shop's wall clock shows it, to the nearest second."""
    return _at(round(hour * SECONDS), zone)


@lru_cache(maxsize=8192)
def _at(second: int, zone: str) -> pendulum.DateTime:
    # A bench of fifty batches asks for the same openings and shuttings at every look.
    return pendulum.from_timestamp(second, tz=zone)


def iso(hour: float, zone: str) -> str:
    """ISO 8601 with offset, to the second, in the given zone."""
    return at_zone(hour, zone).isoformat()
