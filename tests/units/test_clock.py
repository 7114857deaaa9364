"""Instants and the shop's wall clock, against the IANA zone data by way of zoneinfo."""

from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

import pytest
from freezegun import freeze_time
from hypothesis import given
from hypothesis import strategies as st

from finishing.clock import at_zone, hour_of, iso, now_hour

# Each zone's two changes of 2026, as the instant in UTC (IANA tz database).
CHANGES = [
    ("America/New_York", dt.datetime(2026, 3, 8, 7, tzinfo=dt.UTC)),
    ("America/New_York", dt.datetime(2026, 11, 1, 6, tzinfo=dt.UTC)),
    ("Europe/Berlin", dt.datetime(2026, 3, 29, 1, tzinfo=dt.UTC)),
    ("Europe/Berlin", dt.datetime(2026, 10, 25, 1, tzinfo=dt.UTC)),
    ("Australia/Lord_Howe", dt.datetime(2026, 4, 4, 15, tzinfo=dt.UTC)),
    ("Asia/Kathmandu", dt.datetime(2026, 3, 29, 1, tzinfo=dt.UTC)),
]


@pytest.mark.parametrize(("zone", "change"), CHANGES)
def test_every_quarter_hour_of_the_night_clocks_change(zone: str, change: dt.datetime) -> None:
    for quarter in range(-24, 25):
        instant = change + dt.timedelta(minutes=15 * quarter)
        theirs = instant.astimezone(ZoneInfo(zone))
        ours = at_zone(hour_of(instant), zone)
        assert ours.replace(tzinfo=None) == theirs.replace(tzinfo=None)
        assert ours.utcoffset() == theirs.utcoffset()
        assert iso(hour_of(instant), zone) == theirs.isoformat()
        assert hour_of(ours) == hour_of(instant)


def test_two_hours_by_the_same_name_are_told_apart() -> None:
    # 01:30 comes twice on the night New York puts its clocks back.
    first, second = (hour_of(dt.datetime(2026, 11, 1, h, 30, tzinfo=dt.UTC)) for h in (5, 6))
    assert iso(first, "America/New_York") == "2026-11-01T01:30:00-04:00"
    assert iso(second, "America/New_York") == "2026-11-01T01:30:00-05:00"
    assert second - first == 1.0


def test_the_hour_that_is_skipped_is_not_shown() -> None:
    before = hour_of(dt.datetime(2026, 3, 8, 6, 59, 59, tzinfo=dt.UTC))
    assert iso(before, "America/New_York") == "2026-03-08T01:59:59-05:00"
    assert iso(before + 1 / 3600, "America/New_York") == "2026-03-08T03:00:00-04:00"


@given(
    st.integers(631_152_000, 2_840_140_800),  # 1990 to 2060
    st.sampled_from(["UTC", "America/New_York", "Europe/London", "Australia/Adelaide", "Pacific/Chatham"]),
)
def test_any_instant_to_the_second_comes_back(seconds: int, zone: str) -> None:
    instant = dt.datetime.fromtimestamp(seconds, dt.UTC)
    assert dt.datetime.fromisoformat(iso(hour_of(instant), zone)) == instant
    assert iso(hour_of(instant), zone) == instant.astimezone(ZoneInfo(zone)).isoformat()


def test_the_epoch_and_an_hour() -> None:
    assert hour_of(dt.datetime(1970, 1, 1, tzinfo=dt.UTC)) == 0.0
    assert hour_of(dt.datetime(1970, 1, 2, 1, tzinfo=dt.timezone(dt.timedelta(hours=1)))) == 24.0


def test_an_instant_needs_a_zone() -> None:
    with pytest.raises(ValueError, match="needs a zone"):
        hour_of(dt.datetime(2026, 1, 1))  # noqa: DTZ001


def test_now_is_the_wall_clocks() -> None:
    with freeze_time("2026-01-20T15:30:00Z"):
        assert now_hour() == hour_of(dt.datetime(2026, 1, 20, 15, 30, tzinfo=dt.UTC))
