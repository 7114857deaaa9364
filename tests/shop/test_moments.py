"""Times as they are typed: dates in words, dates without a time, and what is said of those that are none."""

from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

import pytest

from finishing.clock import SECONDS
from finishing.errors import BadInput
from finishing.moments import parse_day, parse_moment, parse_when
from finishing.shop.forms import parse_piece_size

from .built import EVENING, ZONE


def eight(date: dt.date) -> str:
    return "08:00"


@pytest.mark.parametrize(
    ("text", "year", "month", "day"),
    [
        ("19 Dec", 2026, 12, 19),
        ("19 december", 2026, 12, 19),
        ("19. Dec. 2027", 2027, 12, 19),
        ("3 feb", 2027, 2, 3),  # the next there is, on 29 November 2026
        ("2026-12-19", 2026, 12, 19),
        ("20261219", 2026, 12, 19),
        ("saturday", 2026, 12, 5),
        ("tomorrow", 2026, 11, 30),
        ("dec 5", 2026, 12, 5),
        ("Dec 5th", 2026, 12, 5),
        ("5th dec", 2026, 12, 5),
        ("December 5, 2027", 2027, 12, 5),
        ("feb 3", 2027, 2, 3),
        ("5.12.2026", 2026, 12, 5),
        ("05.12.", 2026, 12, 5),
        ("3.2.", 2027, 2, 3),
        ("2026/12/5", 2026, 12, 5),
        ("19/12/2026", 2026, 12, 19),  # one of them alone can be the month
        ("12/19", 2026, 12, 19),
        ("12/12", 2026, 12, 12),
        ("next saturday", 2026, 12, 5),
        ("next sunday", 2026, 12, 6),  # today is one
        ("next  Sun", 2026, 12, 6),
    ],
)
def test_a_date_alone_means_eight_in_the_morning(text: str, year: int, month: int, day: int) -> None:
    """Against the standard library's datetime and zoneinfo."""
    local = dt.datetime(year, month, day, 8, tzinfo=ZoneInfo(ZONE))
    assert parse_day(text, "wanted by", ZONE, EVENING, eight) * SECONDS == pytest.approx(local.timestamp(), abs=1e-3)


@pytest.mark.parametrize(
    "text",
    [
        "19.13.2026",
        "31.2.2027",
        "13/13/2026",
        "0/5",
        "31 feb",
        "19 dez",
        "dez 19",
        "yesterday",
        "28 Nov 2026",
        "5.12",
        "13 pm",
        "0 am",
        "tomorrow 13 pm",
        "next week",
        "next tomorrow",
        "last saturday",
        "next 19 Dec",
    ],
)
def test_what_is_no_date_ahead_is_quoted_as_it_was_typed(text: str) -> None:
    with pytest.raises(BadInput) as refused:
        parse_day(text, "wanted by", ZONE, EVENING, eight)
    assert str(refused.value).startswith(f"wanted by: got {text!r}, expected a date or time ahead of now, such as ")


@pytest.mark.parametrize(
    ("text", "instead"),
    [
        ("5/12", "5 Dec or 12 May: 5/12 may be either"),
        ("05/12/2026", "5 Dec 2026 or 12 May 2026: 05/12/2026 may be either"),
        ("1/2 9:00", "1 Feb or 2 Jan: 1/2 may be either"),
    ],
)
def test_a_date_that_may_be_two_is_refused_with_what_to_type(text: str, instead: str) -> None:
    """Ahead, looked back on, and without either."""
    for read in (
        lambda: parse_day(text, "day", ZONE, EVENING, eight),
        lambda: parse_when(text, "day", ZONE, EVENING),
        lambda: parse_moment(text, "day", ZONE, EVENING),
    ):
        with pytest.raises(BadInput) as refused:
            read()
        assert str(refused.value) == f"day: got {text!r}, expected {instead}"


@pytest.mark.parametrize("half", ["am", "pm"])
@pytest.mark.parametrize("hour", range(1, 13))
def test_a_clock_of_twice_twelve_hours(hour: int, half: str) -> None:
    """Against strptime's %I and %p."""
    clock = dt.datetime.strptime(f"{hour} {half}", "%I %p").time()  # noqa: DTZ007
    meant = dt.datetime.combine(dt.date(2026, 11, 28), clock, ZoneInfo(ZONE)).timestamp()
    for typed in (f"{hour}{half}", f"{hour} {half.upper()}", f"{hour}:00 {half[0]}.m.", f"{hour:02d}:00{half}"):
        assert parse_when(f"yesterday {typed}", "--at", ZONE, EVENING) * SECONDS == pytest.approx(meant)
        assert parse_day(f"28 nov 2027 at {typed}", "--at", ZONE, EVENING, eight) > EVENING
    assert parse_moment(f"2026-11-28 {hour}:00 {half}", "day", ZONE, EVENING) * SECONDS == pytest.approx(meant)


def test_now() -> None:
    assert parse_when(" Now", "--at", ZONE, EVENING) == EVENING
    assert parse_day("now", "--at", ZONE, EVENING, eight) == EVENING
    assert parse_moment("now", "--at", ZONE, EVENING) == EVENING


def test_what_was_done_needs_a_time() -> None:
    with pytest.raises(BadInput, match="a time with the date"):
        parse_when("2026-11-24", "--at", ZONE, EVENING)


@pytest.mark.parametrize(
    ("text", "local"),
    [
        ("yesterday 18:30", (2026, 11, 28, 18, 30)),
        ("Yesterday at 7:05", (2026, 11, 28, 7, 5)),
        ("today 9:00", (2026, 11, 29, 9, 0)),
        ("sat 9:15", (2026, 11, 28, 9, 15)),
        ("sunday 18:00", (2026, 11, 29, 18, 0)),  # it is a Sunday evening
        ("sunday 21:00", (2026, 11, 22, 21, 0)),
        ("24 Nov 18:30", (2026, 11, 24, 18, 30)),
        ("24 Dec, 18:30", (2025, 12, 24, 18, 30)),
        ("24. Dec 2024 at 8:00", (2024, 12, 24, 8, 0)),
        ("2026-11-24 18:30", (2026, 11, 24, 18, 30)),
        ("24.11.2026 18:30", (2026, 11, 24, 18, 30)),
        ("24.11. 6:30 pm", (2026, 11, 24, 18, 30)),
        ("nov 24, 6:30pm", (2026, 11, 24, 18, 30)),
        ("Nov 24 2026 at 18:30", (2026, 11, 24, 18, 30)),
        ("24/11 18:30", (2026, 11, 24, 18, 30)),
        ("7 pm", (2026, 11, 29, 19, 0)),
        ("monday 7pm", (2026, 11, 23, 19, 0)),
        ("last sunday 9:00", (2026, 11, 22, 9, 0)),
        ("last sat 9:15", (2026, 11, 28, 9, 15)),
    ],
)
def test_what_was_done_may_be_looked_back_on(text: str, local: tuple[int, int, int, int, int]) -> None:
    """Against the standard library's datetime and zoneinfo."""
    meant = dt.datetime(*local, tzinfo=ZoneInfo(ZONE)).timestamp()
    assert parse_when(text, "--at", ZONE, EVENING) * SECONDS == pytest.approx(meant, abs=1e-3)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("yesterday", "a time with the date, such as yesterday 18:30"),
        ("sat", "a time with the date"),
        ("24 Nov", "a time with the date"),
        ("nov 24", "a time with the date"),
        ("24.11.", "a time with the date"),
        ("yesterday 25:00", "a time such as 18:30, yesterday 18:30"),
        ("tomorrow 9:00", "a time such as"),
        ("31 feb 9:00", "a time such as"),
        ("today 23:00", "a time that has passed"),
        ("24 Dec 2027 9:00", "a time that has passed"),
    ],
)
def test_what_cannot_be_looked_back_on_is_quoted_as_it_was_typed(text: str, expected: str) -> None:
    with pytest.raises(BadInput) as refused:
        parse_when(text, "--at", ZONE, EVENING)
    assert str(refused.value).startswith(f"--at: got {text!r}, expected {expected}")


def test_nobody_measures_millimetres_in_fractions() -> None:
    """An inch is 25.4 mm, by definition (1959)."""
    with pytest.raises(BadInput, match="a unit beside fractions"):
        parse_piece_size("11 3/4 x 7 1/2 x 5/8")
    inches = parse_piece_size("11 3/4 x 7 1/2 x 5/8", "imperial")
    assert inches == parse_piece_size("11 3/4 x 7 1/2 x 5/8 in") == parse_piece_size('11 3/4" x 7 1/2" x 5/8"')
    assert inches.length_mm == pytest.approx(11.75 * 25.4)


CHANGING = [
    ("Europe/Oslo", dt.date(2026, 3, 29)),
    ("Europe/Oslo", dt.date(2026, 10, 25)),
    ("America/New_York", dt.date(2026, 3, 8)),
    ("America/New_York", dt.date(2026, 11, 1)),
    ("America/St_Johns", dt.date(2026, 3, 8)),
    ("Africa/Cairo", dt.date(2026, 4, 24)),  # from midnight to one
    ("Australia/Lord_Howe", dt.date(2026, 10, 4)),  # by half an hour
    ("Australia/Lord_Howe", dt.date(2026, 4, 5)),
]
"""Nights on which clocks change (IANA tz database)."""


@pytest.mark.parametrize(("zone", "date"), CHANGING)
def test_every_quarter_hour_of_a_night_of_changing_clocks(zone: str, date: dt.date) -> None:
    """Against zoneinfo and PEP 495: what comes back from UTC as it was typed exists, once or with either fold."""
    found = {"skipped": 0, "twice": 0, "once": 0}
    night = dt.datetime.combine(date, dt.time()) - dt.timedelta(hours=2)
    for quarter in range(4 * 8):
        wall = night + dt.timedelta(minutes=15 * quarter)
        folds = [wall.replace(tzinfo=ZoneInfo(zone), fold=fold).astimezone(dt.UTC) for fold in (0, 1)]
        real = sorted({at for at in folds if at.astimezone(ZoneInfo(zone)).replace(tzinfo=None) == wall})
        text, late = wall.strftime("%Y-%m-%d %H:%M"), folds[0].timestamp() / SECONDS + 48.0
        others = [wall.strftime(form) for form in ("%d.%m.%Y %I:%M %p", "%b %d, %Y at %I:%M%p", "%d %B %Y %H:%M")]
        if not real:
            found["skipped"] += 1
            with pytest.raises(BadInput, match="the clocks are put forward then") as refused:
                parse_when(text, "--at", zone, late)
            assert str(refused.value).startswith(f"--at: got {text!r}, expected a time before ")
            for typed in others:
                with pytest.raises(BadInput, match="the clocks are put forward then"):
                    parse_when(typed, "--at", zone, late)
            continue
        found["once" if len(real) == 1 else "twice"] += 1
        for typed in (text, *others):
            assert parse_when(typed, "--at", zone, late) * SECONDS == pytest.approx(real[-1].timestamp(), abs=1e-3)
        assert parse_day(text, "wanted by", zone, late - 96.0, eight) * SECONDS == pytest.approx(
            real[0].timestamp(), abs=1e-3
        )
        for at in real:
            offset = at.astimezone(ZoneInfo(zone)).isoformat()[-6:]
            for typed in (f"{text}{offset}", f"{text} {offset}", f"{text.replace(' ', 'T')}{offset}"):
                assert parse_when(typed, "--at", zone, late) * SECONDS == pytest.approx(at.timestamp(), abs=1e-3)
    minutes = 30 if "Lord_Howe" in zone else 60
    assert sorted(found.values())[:2] == [0, minutes // 15]


@pytest.mark.parametrize(
    ("zone", "typed", "said"),
    [
        ("Europe/Oslo", "2026-03-29 02:30", "before 02:00 or from 03:00 on"),
        ("America/New_York", "2026-03-08T02:00", "before 02:00 or from 03:00 on"),
        ("Australia/Lord_Howe", "2026-10-04 02:15", "before 02:00 or from 02:30 on"),
        ("Pacific/Apia", "2011-12-30 12:00", "before 2011-12-30 00:00 or from 2011-12-31 00:00 on"),
    ],
)
def test_a_time_that_does_not_exist_is_refused_with_those_around_it(zone: str, typed: str, said: str) -> None:
    with pytest.raises(BadInput) as refused:
        parse_when(typed, "--at", zone, EVENING)
    assert str(refused.value) == f"--at: got {typed!r}, expected a time {said}: the clocks are put forward then"


def test_of_a_doubled_hour_the_one_that_has_come() -> None:
    """New York, 1 November 2026: 01:30 is 05:30 and 06:30 UTC (IANA tz database)."""
    zone, first, second = (
        "America/New_York",
        *(dt.datetime(2026, 11, 1, hour, 30, tzinfo=dt.UTC).timestamp() / SECONDS for hour in (5, 6)),
    )
    assert parse_when("01:30", "--at", zone, first + 0.1) == first
    assert parse_when("01:30", "--at", zone, second + 0.1) == second
    assert parse_when("01:30-04:00", "--at", zone, second + 0.1) == first
    assert parse_when("1:30 -0400", "--at", zone, second + 0.1) == first
    assert parse_when("5:30Z", "--at", zone, second + 0.1) == first


@pytest.mark.parametrize(
    ("typed", "local"),
    [
        ("saturday", "2026-12-05T08:00"),
        ("Sat 18:30", "2026-12-05T18:30"),
        ("sunday", "2026-12-06T08:00"),  # today is one, and its morning has passed
        ("sunday at 21:00", "2026-11-29T21:00"),
        ("tonight", "2026-11-29T20:00"),
        ("tonight 22:15", "2026-11-29T22:15"),
        ("tomorrow", "2026-11-30T08:00"),
        ("19 Dec", "2026-12-19T08:00"),
        ("19 december 2027 7:45", "2027-12-19T07:45"),
        ("2026-12-19", "2026-12-19T08:00"),
        ("20261219", "2026-12-19T08:00"),
        ("2026-12-19T14:00", "2026-12-19T14:00"),
        ("20:15", "2026-11-29T20:15"),
        ("8:15 pm", "2026-11-29T20:15"),
        ("monday 7pm", "2026-11-30T19:00"),
        ("next saturday 6:30 pm", "2026-12-05T18:30"),
        ("next sunday at 21:00", "2026-12-06T21:00"),
        ("dec 19, 7 am", "2026-12-19T07:00"),
        ("19.12.2026 14:00", "2026-12-19T14:00"),
    ],
)
def test_a_day_in_words(typed: str, local: str) -> None:
    """On a Sunday, twenty to eight. Against the standard library's datetime and zoneinfo."""
    expected = dt.datetime.fromisoformat(local).replace(tzinfo=ZoneInfo(ZONE)).timestamp()
    assert parse_day(typed, "--at", ZONE, EVENING, lambda date: "8:00") * SECONDS == pytest.approx(expected)
