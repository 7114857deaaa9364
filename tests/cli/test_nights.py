"""Times through the nights when the clocks change, against the IANA zone data as Python's zoneinfo reads them.

The clock is not frozen here: a frozen one forgets which of two equal clock times of an autumn night is meant.
"""

from __future__ import annotations

import datetime as dt
import shutil
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from .conftest import Command

OSLO = ZoneInfo("Europe/Oslo")


def coat_at(run: Command, start: str) -> dict[str, str]:
    """Applied, and likely dry to recoat, of wiping varnish at its reference air: six hours later, as it states."""
    asked = ("times", "wiped-varnish-four", "--species", "hard maple", "--temperature", "21", "--zone", "Europe/Oslo")
    coat = run.json(*asked, "--start", start)["coats"][0]
    return {"on": coat["applied_at"], "dry": coat["stages"]["dry_to_recoat"]["likely"]}


@pytest.mark.parametrize(
    ("start", "on", "dry"),
    [
        # the night of 29 March 2026: 02:00 becomes 03:00, so six hours from nine end at four
        ("2026-03-28 21:00", "2026-03-28T21:00:00+01:00", "2026-03-29T04:00:00+02:00"),
        # the night of 25 October 2026: 03:00 becomes 02:00, so six hours from nine end at two for the second time
        ("2026-10-24 21:00", "2026-10-24T21:00:00+02:00", "2026-10-25T02:00:00+01:00"),
        ("2026-10-24 20:00", "2026-10-24T20:00:00+02:00", "2026-10-25T02:00:00+02:00"),
        # an ordinary night
        ("2026-06-01 21:00", "2026-06-01T21:00:00+02:00", "2026-06-02T03:00:00+02:00"),
    ],
)
def test_six_hours_are_six_hours(
    own_home: Path, capsys: pytest.CaptureFixture[str], start: str, on: str, dry: str
) -> None:
    found = coat_at(Command(capsys, own_home), start)
    assert found == {"on": on, "dry": dry}
    for text in found.values():
        instant = dt.datetime.fromisoformat(text)
        assert instant.astimezone(OSLO).utcoffset() == instant.utcoffset()


def test_of_two_equal_times_it_is_said_which_was_recorded(
    own_home: Path, capsys: pytest.CaptureFixture[str], kept: Path
) -> None:
    """The night of 25 October 2020 in Oslo: half past two is 00:30 and 01:30 UTC (IANA tz database)."""
    shutil.copytree(kept, own_home)
    shop = Command(capsys, own_home)
    first = shop.ok("record", "step", "T-1", "--at", "2020-10-25 02:30+02:00")
    assert "of the hour that comes twice: 02:30+02:00" in first
    second = shop.ok("record", "coat", "T-1", "--at", "2020-10-25 02:30")
    assert "of the hour that comes twice: 02:30+01:00" in second
    record = shop.json("batch", "show", "T-1")["record"]
    assert [entry["at"] for entry in record] == ["2020-10-25T02:30:00+02:00", "2020-10-25T02:30:00+01:00"]
    refused = shop.refused("record", "coat", "T-1", "--coat", "2", "--at", "2020-10-25 02:30+02:00")
    assert "expected a time after coat 1 of 4, 25 Oct 2020 (02:30+01:00)" in refused
    assert "comes twice" not in shop.ok("record", "step", "T-1", "--at", "2020-10-25 03:10")
