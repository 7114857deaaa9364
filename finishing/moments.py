"""Times as people type them: ISO 8601, a date, a clock time of today, or a day in words, in the shop's zone."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable
from zoneinfo import ZoneInfo

import pendulum
from pendulum.parsing.exceptions import ParserError

from finishing.clock import SECONDS, at_zone, hour_of
from finishing.errors import BadInput

AHEAD = "a date or time ahead of now, such as saturday, tomorrow 18:30, 19 Dec or 2026-12-19T14:00"
EXPECTED = "a time such as 18:30, 2026-03-14 18:30 or 2026-03-14T18:30+01:00"
BACK = "a time such as 18:30, yesterday 18:30, sat 9:15, 14 Mar 18:30 or 2026-03-14 18:30"
WITH_DATE = "a time with the date, such as yesterday 18:30 or 2026-03-14 18:30"

A_DATE = re.compile(r"\d{4}-?\d{2}-?\d{2}")
A_CLOCK = re.compile(r"\d{1,2}:\d{2}(?: ?(?:Z|[+-]\d{2}:?\d{2}))?")
SPACED = re.compile(r"(?<=:\d{2}) (?=Z$|[+-]\d{2}:?\d{2}$)")
"""A space before an offset."""

IN_WORDS = re.compile(r"(\d{1,2})\.? +([A-Za-z]{3,9})\.?(?: +(\d{4}))?")
"""19 December, 19 Dec 2026."""

WITH_CLOCK = re.compile(r"(.*?)(?:,? +(?:at +)?(\d{1,2}:\d{2}))?")
"""A day in words, and a clock time after it."""

AM_PM = re.compile(r"\b(\d{1,2})(?::(\d{2}))? ?([ap])\.?m\b\.?", re.IGNORECASE)
DOTTED = re.compile(r"(\d{1,2})\.(\d{1,2})\.(\d{4})?(?=$|[ ,])")
SLASHED = re.compile(r"(\d{1,2})/(\d{1,2})(?:/(\d{4}))?(?=$|[ ,])")
YEAR_FIRST = re.compile(r"(\d{4})[/.](\d{1,2})[/.](\d{1,2})(?=$|[ ,])")
MONTH_FIRST = re.compile(r"([A-Za-z]{3,9})\.? (\d{1,2})(?:st|nd|rd|th)?(?:,? (\d{4}))?(?=$|[ ,])", re.IGNORECASE)
ORDINAL = re.compile(r"(\d{1,2})(?:st|nd|rd|th)(?= [A-Za-z])", re.IGNORECASE)

MONTHS = ("january", "february", "march", "april", "may", "june", "july", "august", "september", "october", "november",
          "december")  # fmt: skip
DAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")

MORNING, TONIGHT = "08:00", "20:00"
"""What a day and what tonight mean without a clock time, where nothing else says. Our own choice."""

GRACE = 60.0 / SECONDS
"""How far ahead of now [hours] a time may be that has passed: clocks differ."""


class Skipped(BadInput):
    """A local time that doesn't exist: the clocks are put forward over it."""


def parse_moment(text: str, field: str, zone: str, now: float, *, passed: bool = False) -> float:
    """The hour [since the epoch] meant; without an offset, in the shop's zone. BadInput when it is no time.

    A local time that a daylight-saving night skips is refused (Skipped). Of one that comes twice the first is taken,
    with `passed` the second as soon as that is not ahead of now; an offset, as in 02:30+02:00, says which. A date
    alone means its first moment.
    """
    body = _usual(text, field)
    if body.lower() == "now":
        return now
    if A_CLOCK.fullmatch(body):
        body = f"{at_zone(now, zone).format('YYYY-MM-DD')} {'0' if body[1] == ':' else ''}{body}"
    body = SPACED.sub("", body)
    if not body[:4].isdigit():
        raise BadInput(field, text, EXPECTED)
    try:
        moment, wall = pendulum.parse(body, tz=zone), pendulum.parse(body)
    except (ParserError, ValueError, OverflowError):
        raise BadInput(field, text, EXPECTED) from None
    if not (isinstance(moment, pendulum.DateTime) and isinstance(wall, pendulum.DateTime)):
        raise BadInput(field, text, EXPECTED)
    if not 1970 <= moment.year <= 2200:
        raise BadInput(field, text, EXPECTED)
    if moment.timezone_name != zone:
        return hour_of(moment)
    first, second = _both(wall, zone)
    if first.naive() != wall.naive():
        change = _change(hour_of(first), hour_of(second), zone)
        if A_DATE.fullmatch(body):
            return change
        raise Skipped(field, text, _around(change, zone))
    return hour_of(second if passed and hour_of(second) <= now + GRACE else first)


def _usual(text: str, field: str) -> str:
    """What is typed with the clock by twenty-four hours, and a date in figures or with the month first as others are:
    "7 pm", "5.12.2026", "dec 5", "2026/12/5".

    BadInput, with what to type, for figures between slashes that are two dates: 5/12.
    """
    body = AM_PM.sub(_by_24, " ".join(text.split()))
    if found := DOTTED.match(body):
        day, month, year = found.groups()
    elif found := SLASHED.match(body):
        day, month, year = _slashed(found, text, field)
    elif found := YEAR_FIRST.match(body):
        year, month, day = found.groups()
    elif (found := MONTH_FIRST.match(body)) and _month(found[1]):
        month, day, year = str(_month(found[1])), found[2], found[3]
    else:
        return ORDINAL.sub(r"\1", body, count=1)
    if not 1 <= int(month) <= 12:
        return body
    date = f"{year}-{int(month):02d}-{int(day):02d}" if year else f"{int(day)} {MONTHS[int(month) - 1]}"
    return date + body[found.end() :]


def _by_24(found: re.Match[str]) -> str:
    """A clock time of twice twelve hours by twenty-four; as it is where there is none such."""
    hour, minute, half = int(found[1]), found[2] or "00", found[3].lower()
    return f"{hour % 12 + 12 * (half == 'p'):02d}:{minute}" if 1 <= hour <= 12 else found[0]


def _slashed(found: re.Match[str], text: str, field: str) -> tuple[str, str, str | None]:
    """Day, month and year of figures between slashes where one alone can be the month."""
    first, second, year = int(found[1]), int(found[2]), found[3]
    if first != second and min(first, second) >= 1 and max(first, second) <= 12:
        after = f" {year}" if year else ""
        either = [f"{d} {MONTHS[m - 1][:3].title()}{after}" for d, m in ((first, second), (second, first))]
        raise BadInput(field, text, f"{' or '.join(either)}: {found[0]} may be either")
    return (found[1], found[2], year) if second <= 12 else (found[2], found[1], year)


def _month(name: str) -> int | None:
    """January is 1; None for what is no month, written out or cut to three letters or more."""
    return next((n for n, month in enumerate(MONTHS, 1) if len(name) >= 3 and month.startswith(name.lower())), None)


def _both(wall: pendulum.DateTime, zone: str) -> tuple[pendulum.DateTime, pendulum.DateTime]:
    """A local time with either fold (PEP 495): the same but where it comes twice, the earlier first.

    Where the clocks skip it, it is moved out of the gap, the first to before it.
    """
    first, second = (
        pendulum.datetime(wall.year, wall.month, wall.day, wall.hour, wall.minute, wall.second, wall.microsecond,
                          tz=zone, fold=fold)
        for fold in (0, 1)
    )  # fmt: skip
    return first, second


def which(hour: float, zone: str) -> str:
    """Of a local time that comes twice, which is meant, as it can be typed: "02:30+01:00"; "" for any other."""
    local = at_zone(hour, zone)
    first, second = _both(local, zone)
    return local.format("HH:mmZ") if first.utcoffset() != second.utcoffset() else ""


def _change(before: float, after: float, zone: str) -> float:
    """The hour at which the clocks are put forward, between two on either side of it."""
    low, high = round(before * SECONDS), round(after * SECONDS)
    old = at_zone(before, zone).utcoffset()
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if at_zone(middle / SECONDS, zone).utcoffset() == old else (low, middle)
    return high / SECONDS


def _around(change: float, zone: str) -> str:
    """The local times between which there is none, in words."""
    last = at_zone(change - 1.0 / SECONDS, zone).naive().add(seconds=1)
    first = at_zone(change, zone)
    form = "HH:mm" if last.date() == first.date() else "YYYY-MM-DD HH:mm"
    return f"a time before {last.format(form)} or from {first.format(form)} on: the clocks are put forward then"


def parse_when(text: str, field: str, zone: str, now: float) -> float:
    """As `parse_moment`, or a day in words with a clock time; not ahead of now, with a minute's grace for clocks.

    Of a local time that comes twice it is the later one that has passed.
    """
    hour = _back(text, field, zone, now, passed=True)
    if hour > now + GRACE:
        raise BadInput(field, text, "a time that has passed")
    return min(hour, now)


def parse_stretch(texts: tuple[str, str], fields: tuple[str, str], zone: str, now: float) -> tuple[float, float]:
    """From one time until another [hours], each typed as for `parse_when`; the end may lie ahead."""
    first, last = (_back(text, field, zone, now) for text, field in zip(texts, fields, strict=True))
    if last < first:
        raise BadInput(fields[1], texts[1], f"a time after {texts[0].strip()}")
    return first, last


def _back(text: str, field: str, zone: str, now: float, *, passed: bool = False) -> float:
    """A time looked back on. BadInput with what was typed."""
    body = _looked_back(_usual(text, field), zone, now)
    if A_DATE.fullmatch(body):
        raise BadInput(field, text, WITH_DATE)
    try:
        return parse_moment(body, field, zone, now, passed=passed)
    except Skipped as skipped:
        raise Skipped(field, text, skipped.expected) from None
    except BadInput:
        raise BadInput(field, text, BACK) from None


def day_back(text: str, zone: str, now: float) -> dt.date | None:
    """A day as it is typed looking back, in words or as a date, without a clock time; None for what is no day."""
    body = _looked_back(text, zone, now)
    try:
        return dt.date.fromisoformat(body) if A_DATE.fullmatch(body) and "-" in body else None
    except ValueError:
        return None


def _looked_back(text: str, zone: str, now: float) -> str:
    """A day in words as ISO 8601 has it, the last such day that is not ahead; anything else as it is.

    "last saturday" is never today.
    """
    body = text.strip()
    found = WITH_CLOCK.fullmatch(body.lower())
    name, clock = (found[1], (found[2] or "").zfill(5)) if found else ("", "")
    local = at_zone(now, zone)
    today = local.date()
    before = name.startswith("last ")
    weekday = _weekday(name.removeprefix("last "))
    if name in ("today", "yesterday"):
        day = (today - dt.timedelta(days=name == "yesterday")).isoformat()
    elif weekday is not None:
        ahead = weekday == today.weekday() and (before or clock > local.format("HH:mm"))
        day = (today - dt.timedelta(days=7 if ahead else (today.weekday() - weekday) % 7)).isoformat()
    else:
        day = _dated(name, zone, now, ahead=False)
        if not A_DATE.fullmatch(day):
            return body
    return f"{day} {clock}" if found and found[2] else day


def _weekday(name: str) -> int | None:
    """Monday is 0; None for what is no day of the week, written out or cut to three letters or more."""
    return next((n for n, day in enumerate(DAYS) if len(name) >= 3 and day.startswith(name)), None)


def parse_day(text: str, field: str, zone: str, now: float, begins: Callable[[dt.date], str]) -> float:
    """A time ahead of now, typed as such, as a date, or as a day: "saturday", "tonight", "tomorrow 18:30".

    begins: the clock time meant by a day without one. A weekday is the next one whose time is ahead of now; "next
    saturday" is never today.
    """
    body = _usual(text, field)
    found = WITH_CLOCK.fullmatch(body.lower())
    name, clock = (found[1], found[2]) if found else ("", None)
    today = at_zone(now, zone).date()

    def at(date: dt.date, usual: str | None = None) -> float:
        body = f"{date.isoformat()} {(clock or usual or begins(date)).zfill(5)}"
        return _ahead(body, text, field, zone, now)

    after = name.startswith("next ")
    weekday = _weekday(name.removeprefix("next "))
    if weekday is not None:
        date = today + dt.timedelta(days=(weekday - today.weekday()) % 7 or 7 * after)
        try:
            return at(date)
        except Skipped:
            raise
        except BadInput:
            if date != today:
                raise
            return at(date + dt.timedelta(days=7))
    if name in ("today", "tonight"):
        return at(today, TONIGHT if name == "tonight" else None)
    if name == "tomorrow":
        return at(today + dt.timedelta(days=1))
    day = _dated(name, zone, now)
    if A_DATE.fullmatch(day):
        try:
            return at(dt.date.fromisoformat(day))
        except ValueError:
            raise BadInput(field, text, AHEAD) from None
    return _ahead(body, text, field, zone, now)


def _ahead(body: str, text: str, field: str, zone: str, now: float) -> float:
    """A time ahead of now. BadInput with what was typed."""
    try:
        hour = parse_moment(body, field, zone, now)
    except Skipped as skipped:
        raise Skipped(field, text, skipped.expected) from None
    except BadInput:
        raise BadInput(field, text, AHEAD) from None
    if hour < now:
        raise BadInput(field, text, AHEAD)
    return hour


def _dated(body: str, zone: str, now: float, *, ahead: bool = True) -> str:
    """A date in words as ISO 8601 has it, the next such day where it lacks the year, or the last; anything else as it
    is."""
    found = IN_WORDS.fullmatch(body)
    month = _month(found[2]) if found else None
    if found is None or month is None:
        return body
    today = at_zone(now, zone)
    day = int(found[1])
    turned = (month, day) < (today.month, today.day) if ahead else -((month, day) > (today.month, today.day))
    year = int(found[3]) if found[3] else today.year + turned
    return f"{year:04d}-{month:02d}-{day:02d}"


def zone_named(zone: str, field: str = "zone") -> str:
    """A time zone's name, checked against the IANA list."""
    try:
        return ZoneInfo(zone).key
    except (ValueError, KeyError, OSError):
        raise BadInput(field, zone, "a time zone of the IANA list, such as Europe/Oslo or America/Denver") from None


def machine_zone() -> str:
    """The zone this machine is set to."""
    return pendulum.now().timezone_name or "UTC"
