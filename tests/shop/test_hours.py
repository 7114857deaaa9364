"""Working hours: typed, stored in one line, and laid over the calendar with its daylight-saving nights."""

from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from finishing.errors import BadInput
from finishing.shop import hours
from finishing.shop.hours import Span, WorkingHours, working_hours
from finishing.shop.settings import change_setting
from finishing.shop.shop import Shop
from tests.shop.built import NOW, ZONE, local

spans = st.lists(st.integers(0, 1440), unique=True, max_size=6).map(
    lambda m: tuple(Span(a, b) for a, b in zip(sorted(m)[::2], sorted(m)[1::2], strict=False))
)
dates = st.dates(dt.date(2000, 1, 1), dt.date(2100, 1, 1))


@given(st.tuples(*[spans] * 7))
def test_a_week_comes_back_as_it_was_stored(week: tuple[tuple[Span, ...], ...]) -> None:
    assert hours.parse_week(hours.week_text(week)) == week


@given(st.frozensets(dates, max_size=12), st.dictionaries(dates, spans, max_size=6))
def test_dates_come_back_as_they_were_stored(off: frozenset[dt.date], extra: dict[dt.date, tuple[Span, ...]]) -> None:
    assert hours.parse_dates(hours.dates_text(off)) == off
    assert hours.parse_extra(hours.extra_text(extra)) == extra


@pytest.mark.parametrize(
    ("typed", "stored"),
    [
        ("Mon-Fri 8-12, 13-17; Sat 9-12", "mon-fri 08:00-12:00 13:00-17:00; sat 09:00-12:00"),
        ("mon,wed,fri 18:30-22", "mon 18:30-22:00; wed 18:30-22:00; fri 18:30-22:00"),
        ("sat-mon 13-17 9-12", "mon 09:00-12:00 13:00-17:00; sat-sun 09:00-12:00 13:00-17:00"),
        ("thursday: 20:00 – 24:00", "thu 20:00-24:00"),
        ("", ""),
    ],
)
def test_a_week_as_people_type_it(typed: str, stored: str) -> None:
    assert hours.week_text(hours.parse_week(typed)) == stored


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("mon 8-12 11-13", "overlap: 08:00-12:00 and 11:00-13:00"),
        ("mon 22-2", "an earlier to a later time"),
        ("mon 8:75-9", "an earlier to a later time"),
        ("mon 8-25", "an earlier to a later time"),
        ("mon 8 to noon", "hours such as"),
        ("mon 8-12; mon 13-17", "mon stands twice"),
        ("mondey 8-12", "a day: mon, tue"),
        ("8-12", "days and hours"),
    ],
)
def test_a_week_that_is_none_says_what_is_wrong(typed: str, said: str) -> None:
    with pytest.raises(BadInput, match=said):
        hours.parse_week(typed)


@pytest.mark.parametrize("typed", ["24.12.2026", "2026-02-30", "2026-12-24..2026-12-20", "2026-01-01..2099-01-01"])
def test_dates_that_are_none(typed: str) -> None:
    with pytest.raises(BadInput, match="days off"):
        hours.parse_dates(typed)


def test_a_day_off_an_extra_day_and_a_day_that_is_both() -> None:
    work = working_hours("tue-fri 8-12", "2026-12-24..2026-12-26", "2026-12-26 9-10; 2026-12-28; 2026-12-29")
    assert work.spans(dt.date(2026, 12, 23)) == (Span(480, 720),)
    assert work.spans(dt.date(2026, 12, 24)) == ()
    assert work.spans(dt.date(2026, 12, 26)) == (Span(540, 600),)  # off and extra: worked
    assert work.spans(dt.date(2026, 12, 28)) == (Span(480, 720),)  # a Monday: the first working day's hours
    assert work.spans(dt.date(2026, 12, 29)) == (Span(480, 720),)
    assert work.weekly_hours == 16.0


def test_stretches_are_cut_at_both_ends() -> None:
    work = working_hours("mon-fri 8-12 13-17")
    found = list(work.stretches(local("2026-03-10 09:30"), local("2026-03-11 08:15"), ZONE))
    assert found == [
        (local("2026-03-10 09:30"), local("2026-03-10 12:00")),
        (local("2026-03-10 13:00"), local("2026-03-10 17:00")),
        (local("2026-03-11 08:00"), local("2026-03-11 08:15")),
    ]


@pytest.mark.parametrize(("date", "length"), [("2026-03-29", 5.0), ("2026-10-25", 7.0), ("2026-06-07", 6.0)])
def test_a_night_shift_over_daylight_saving(date: str, length: float) -> None:
    """Oslo's clock changes of 2026, against the IANA database as the standard library's zoneinfo reads it."""
    work = WorkingHours(((Span(0, 360),),) * 7)
    day = dt.datetime.fromisoformat(date)
    starts = [
        (day + dt.timedelta(hours=h)).replace(tzinfo=ZoneInfo(ZONE)).astimezone(dt.UTC).timestamp() / 3600
        for h in (0, 6)
    ]
    (found,) = work.stretches(local(f"{date} 00:00"), local(f"{date} 23:00"), ZONE)
    assert found == pytest.approx(starts)
    assert found[1] - found[0] == pytest.approx(length)


@given(spans, st.floats(-200, 200), st.floats(0, 400))
@example((Span(0, 121), Span(180, 181)), 0.0, 15.0)
def test_stretches_lie_in_order_within_what_was_asked(day: tuple[Span, ...], start: float, length: float) -> None:
    begin = local("2026-03-28 12:00") + start
    found = list(WorkingHours((day,) * 7).stretches(begin, begin + length, ZONE))
    points = [point for stretch in found for point in stretch]
    assert points == sorted(points)
    assert all(a < b for a, b in found)
    assert all(begin <= point <= begin + length for point in points)


def test_hours_are_kept_and_another_program_sees_them(shop: Shop, other: Shop) -> None:
    assert shop.settings.working_hours().weekly_hours == 40.0
    change_setting(shop, "hours", "tue 9-12; sat 9-15", NOW)
    change_setting(shop, "days_off", "2026-03-14", NOW)
    change_setting(shop, "extra_days", "2026-03-15 10-11", NOW)
    work = other.settings.working_hours()
    assert (work.weekly_hours, work.spans(dt.date(2026, 3, 14))) == (9.0, ())
    assert work.spans(dt.date(2026, 3, 15)) == (Span(600, 660),)


def test_a_week_that_is_none_changes_nothing(shop: Shop, other: Shop) -> None:
    change_setting(shop, "hours", "tue 9-12", NOW)
    with pytest.raises(BadInput, match="overlap"):
        change_setting(shop, "hours", "tue 9-12 11-13", NOW)
    assert other.settings.hours == "tue 09:00-12:00"
