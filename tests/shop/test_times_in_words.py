"""A moment in words: no words can mean two days, on any day of the year, whatever the clocks do.

Dates, weekdays and clock times are checked against the standard library's zoneinfo and datetime.
"""

from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from finishing.shop.words import short_stretch, short_time

ZONE = "Europe/Oslo"
NOW = "2026-11-27 09:30"  # a Friday


def at(text: str) -> float:
    return dt.datetime.fromisoformat(text).replace(tzinfo=ZoneInfo(ZONE)).timestamp() / 3600


@pytest.mark.parametrize(
    ("when", "words"),
    [
        ("2026-11-27 00:00", "00:00"),
        ("2026-11-27 13:43", "13:43"),
        ("2026-11-26 23:59", "yesterday 23:59"),
        ("2026-11-25 13:43", "25 Nov 13:43"),
        ("2026-11-23 13:43", "23 Nov 13:43"),  # last Monday
        ("2026-11-28 00:00", "Sat 00:00"),
        ("2026-11-30 04:44", "Mon 04:44"),  # next Monday
        ("2026-12-03 13:43", "Thu 13:43"),
        ("2026-12-04 13:43", "4 Dec 13:43"),  # a week ahead: a Friday, as today is
        ("2026-06-01 08:00", "1 Jun 08:00"),
        ("2026-03-01 08:00", "1 Mar 2026"),
        ("2027-01-05 08:00", "5 Jan 2027"),
        ("2025-11-27 08:00", "27 Nov 2025"),
    ],
)
def test_words_of_a_moment(when: str, words: str) -> None:
    assert short_time(at(when), ZONE, at(NOW)) == words


def test_yesterday_where_a_column_is_narrow_and_new_year() -> None:
    assert short_time(at("2026-11-26 23:59"), ZONE, at(NOW), narrow=True) == "26 Nov 23:59"
    assert short_time(at("2027-01-05 08:00"), ZONE, at("2026-12-28 12:00")) == "5 Jan 08:00"
    assert short_time(at("2026-12-20 08:00"), ZONE, at("2027-01-05 12:00")) == "20 Dec 08:00"


@pytest.mark.parametrize(
    ("first", "last", "words"),
    [
        ("2026-11-27 07:00", "2026-11-27 09:00", "07:00 to 09:00"),
        ("2026-11-24 07:00", "2026-11-24 09:00", "24 Nov 07:00 to 09:00"),
        ("2026-11-26 22:00", "2026-11-27 04:40", "yesterday 22:00 to today 04:40"),
        ("2026-11-24 22:00", "2026-11-26 04:40", "24 Nov 22:00 to yesterday 04:40"),
        ("2026-11-27 22:00", "2026-11-28 04:40", "22:00 to Sat 04:40"),
    ],
)
def test_words_of_a_stretch(first: str, last: str, words: str) -> None:
    assert short_stretch(at(first), at(last), ZONE, at(NOW)) == words


HOURS = st.integers(int(at("2026-01-01 00:00")), int(at("2027-12-31 00:00"))).map(float)
AWAY = st.integers(-10 * 24, 10 * 24) | st.integers(-400 * 24, 400 * 24)


@given(HOURS, AWAY, st.booleans())
def test_the_words_mean_one_day(now: float, away: int, narrow: bool) -> None:
    """Of all days for two years around, one alone answers to what is said, by the rule as a reader knows it."""
    zone = ZoneInfo(ZONE)
    today, meant = (dt.datetime.fromtimestamp(hour * 3600, zone) for hour in (now, now + away))
    said = short_time(now + away, ZONE, now, narrow=narrow)
    assert len(said) <= (12 if narrow else 15)
    day = said.removesuffix(f"{meant:%H:%M}").strip()
    around = {n: today.date() + dt.timedelta(days=n) for n in range(-730, 731)}
    if day in ("", "yesterday"):
        answers = [-1 if day else 0]
    elif " " not in day:
        answers = [n for n in range(1, 7) if f"{around[n]:%a}" == day]
    elif len(day.split()) == 3:
        answers = [n for n, date in around.items() if f"{date.day} {date:%b %Y}" == day]
    else:
        answers = sorted((n for n, date in around.items() if f"{date.day} {date:%b}" == day), key=abs)[:1]
    assert [around[n] for n in answers] == [meant.date()]
