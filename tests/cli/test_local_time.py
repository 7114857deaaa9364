"""The record through the night when the clocks go forward, against the IANA zone data as zoneinfo reads them."""

from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

from freezegun.api import FrozenDateTimeFactory

from .conftest import Command

OSLO = ZoneInfo("Europe/Oslo")


def test_a_clock_time_the_night_skips(shop: Command, clock: FrozenDateTimeFactory) -> None:
    """02:30 is no time on that night: it is refused with those around it."""
    clock.move_to("2026-03-29T10:00:00+00:00")
    said = shop.refused("record", "coat", "T-1", "--at", "2026-03-29 02:30")
    assert said == (
        "--at: got '2026-03-29 02:30', expected a time before 02:00 or from 03:00 on: the clocks are put forward then"
    )


def test_the_bench_over_that_night(shop: Command, clock: FrozenDateTimeFactory) -> None:
    clock.move_to("2026-03-28T19:00:00+00:00")
    shop.ok("record", "coat", "T-1")
    clock.tick(dt.timedelta(minutes=20))
    found = shop.json("due")
    assert (found["now"], found["zone"]) == ("2026-03-28T20:20:00+01:00", "Europe/Oslo")
    following = (found["groups"]["later"] + found["groups"]["today"])[0]["next"]
    for key in ("opens", "could_be", "likely", "count_on"):
        instant = dt.datetime.fromisoformat(following[key])
        assert instant.astimezone(OSLO).utcoffset() == instant.utcoffset(), key
    assert following["opens"].endswith("+02:00")
