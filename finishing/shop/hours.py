"""Working hours: which stretches of each day there are hands, as typed, stored and asked for.

Stored as one line of text for the week, one for days off, one for extra days, in the form people type them:
"mon-fri 08:00-12:00 13:00-17:00; sat 09:00-12:00", "2026-12-24..2027-01-01", "2026-12-19 09:00-13:00; 2026-12-20".
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from itertools import pairwise

import pendulum

from finishing.clock import at_zone, hour_of
from finishing.errors import BadInput
from finishing.moments import MORNING

WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
FULL = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
DAY_MINUTES = 24 * 60
MOST_DAYS = 3660
"""Days off and extra days together with their ranges; ten years of them."""

USUAL_HOURS = "mon-fri 08:00-12:00 13:00-17:00"
"""The week of a shop that never said. Our own choice."""

WEEK_EXAMPLE = "days and hours such as mon-fri 8:00-12:00 13:00-17:00; sat 9-12"
SPANS_EXAMPLE = "hours such as 8:00-12:00 13:00-17:00, or nothing for a day off"
DATES_EXAMPLE = "dates such as 2026-12-24, or 2026-12-24..2027-01-01"
EXTRA_EXAMPLE = "dates with hours such as 2026-12-19 9:00-13:00; 2026-12-20"

_DAYS = re.compile(r"\s*([a-z]+(?:\s*[-–,]\s*[a-z]+)*)\s*:?\s+(.*)", re.DOTALL)
_SPAN = re.compile(r"(\d{1,2})(?::(\d{2}))?\s*(?:-|–|to)\s*(\d{1,2})(?::(\d{2}))?")
_RANGE = re.compile(r"(\d{4}-\d{2}-\d{2})(?:\s*(?:\.\.|–|to)\s*(\d{4}-\d{2}-\d{2}))?")


@dataclass(frozen=True, slots=True, order=True)
class Span:
    """A stretch of one day, in minutes after local midnight."""

    start: int
    end: int

    def words(self) -> str:
        """As typed: 08:00-12:00."""
        return "-".join(f"{m // 60:02d}:{m % 60:02d}" for m in (self.start, self.end))


Spans = tuple[Span, ...]


@dataclass(frozen=True, slots=True)
class WorkingHours:
    """The hours of each weekday from Monday on, dates off, and extra dates with hours of their own.

    An extra date without hours takes its weekday's, or else those of the week's first working day. A date that is
    both off and extra is worked.
    """

    week: tuple[Spans, ...]
    off: frozenset[dt.date] = frozenset()
    extra: Mapping[dt.date, Spans] = field(default_factory=dict)

    def spans(self, date: dt.date) -> Spans:
        """The hours of a date."""
        usual = self.week[date.weekday()]
        if date in self.extra:
            return self.extra[date] or usual or next((day for day in self.week if day), ())
        return () if date in self.off else usual

    def begins(self, date: dt.date) -> str:
        """The clock time at which a date's hours begin; eight for a day without any."""
        spans = self.spans(date)
        return f"{spans[0].start // 60 % 24:02d}:{spans[0].start % 60:02d}" if spans else MORNING

    def morning(self, date: dt.date) -> str:
        """What a day alone means: eight, or when its hours begin, where that is earlier. Wanted by a day is by then."""
        return min(MORNING, self.begins(date))

    def stretches(self, start: float, end: float, zone: str) -> Iterator[tuple[float, float]]:
        """Worked stretches [hours since the epoch] between two hours, in order, cut at both ends.

        Spans go by the wall clock, so that on a daylight-saving night they last an hour less or more. A time the clock
        skips stands as long after the change as it would have stood, which may reach into the next span.
        """
        reached = start
        date = at_zone(start, zone).date()
        last = at_zone(end, zone).date()
        while date <= last:
            for span in self.spans(date):
                first, final = (_moment(date, minute, zone) for minute in (span.start, span.end))
                if (a := max(first, reached)) < (b := min(final, end)):
                    yield a, b
                    reached = b
            date += dt.timedelta(days=1)

    @property
    def weekly_hours(self) -> float:
        """Hours in an ordinary week."""
        return sum(span.end - span.start for day in self.week for span in day) / 60.0


def _moment(date: dt.date, minute: int, zone: str) -> float:
    day = date + dt.timedelta(days=minute // DAY_MINUTES)
    hour, rest = divmod(minute % DAY_MINUTES, 60)
    return hour_of(pendulum.datetime(day.year, day.month, day.day, hour, rest, tz=zone))


def working_hours(week: str, days_off: str = "", extra_days: str = "") -> WorkingHours:
    """Working hours from the three lines of the settings. BadInput for a line that is not one."""
    return WorkingHours(parse_week(week), parse_dates(days_off), parse_extra(extra_days))


def parse_spans(text: str, field: str = "hours") -> Spans:
    """Spans of one day from "8:00-12:00, 13-17", in order; () from nothing. BadInput when they overlap or end early."""
    body = text.strip().lower()
    if body in ("", "off", "none"):
        return ()
    found = []
    for match in _SPAN.finditer(body):
        a, b, c, d = (int(group or 0) for group in match.groups())
        found.append(Span(a * 60 + b, c * 60 + d))
        if not (b < 60 and d < 60 and 0 <= found[-1].start < found[-1].end <= DAY_MINUTES):
            raise BadInput(field, match[0], "hours from an earlier to a later time of one day, such as 8:00-12:00")
    if not found or _SPAN.sub("", body).strip(" ,;\t"):
        raise BadInput(field, text, SPANS_EXAMPLE)
    found.sort()
    for before, after in pairwise(found):
        if after.start < before.end:
            raise BadInput(field, text, f"hours that do not overlap: {before.words()} and {after.words()} do")
    return tuple(found)


def spans_text(spans: Spans) -> str:
    """Spans of one day as typed, "" for none."""
    return " ".join(span.words() for span in spans)


def parse_week(text: str, field: str = "hours") -> tuple[Spans, ...]:
    """Seven days from "mon-fri 8-12 13-17; sat 9-12"; a day that is not named is off. "" is a week off."""
    week: list[Spans | None] = [None] * 7
    for part in filter(None, (p.strip() for p in text.lower().replace("\n", ";").split(";"))):
        match = _DAYS.fullmatch(part)
        if match is None:
            raise BadInput(field, part, WEEK_EXAMPLE)
        spans = parse_spans(match[2], field)
        for day in _days(match[1], field):
            if week[day] is not None:
                raise BadInput(field, part, f"each day once: {WEEKDAYS[day]} stands twice")
            week[day] = spans
    return tuple(day or () for day in week)


def _days(text: str, field: str) -> list[int]:
    """Numbers of the weekdays named: "mon-wed, fri"."""
    found: list[int] = []
    for part in text.split(","):
        ends = [_day(name.strip(), field) for name in re.split("[-–]", part)]
        if len(ends) > 2:
            raise BadInput(field, text, WEEK_EXAMPLE)
        first, last = ends[0], ends[-1]
        found += [(first + n) % 7 for n in range((last - first) % 7 + 1)]
    return found


def _day(name: str, field: str) -> int:
    for number, day in enumerate(FULL):
        if len(name) >= 2 and day.startswith(name):
            return number
    raise BadInput(field, name, f"a day: {', '.join(WEEKDAYS)}")


def week_text(week: tuple[Spans, ...]) -> str:
    """A week as stored; neighbouring days with the same hours stand together."""
    parts, first = [], 0
    while first < 7:
        last = first
        while last < 6 and week[last + 1] == week[first]:
            last += 1
        if week[first]:
            days = WEEKDAYS[first] if first == last else f"{WEEKDAYS[first]}-{WEEKDAYS[last]}"
            parts.append(f"{days} {spans_text(week[first])}")
        first = last + 1
    return "; ".join(parts)


def parse_dates(text: str, field: str = "days off") -> frozenset[dt.date]:
    """Dates from "2026-12-24, 2026-12-27..2027-01-02"."""
    found: set[dt.date] = set()
    for part in filter(None, (p.strip() for p in re.split("[,;\n]", text))):
        match = _RANGE.fullmatch(part)
        if match is None:
            raise BadInput(field, part, DATES_EXAMPLE)
        first = _date(match[1], field)
        last = _date(match[2], field) if match[2] else first
        length = (last - first).days + 1
        if not 0 < length <= MOST_DAYS - len(found):
            raise BadInput(field, part, f"a first day before the last, and no more than {MOST_DAYS:,} days")
        found |= {first + dt.timedelta(days=n) for n in range(length)}
    return frozenset(found)


def dates_text(dates: frozenset[dt.date]) -> str:
    """Dates as stored: in order, runs as first..last."""
    parts: list[tuple[dt.date, dt.date]] = []
    for date in sorted(dates):
        if parts and (date - parts[-1][1]).days == 1:
            parts[-1] = (parts[-1][0], date)
        else:
            parts.append((date, date))
    return ", ".join(a.isoformat() if a == b else f"{a.isoformat()}..{b.isoformat()}" for a, b in parts)


def parse_extra(text: str, field: str = "extra days") -> dict[dt.date, Spans]:
    """Extra dates with their hours from "2026-12-19 9-13; 2026-12-20"."""
    found: dict[dt.date, Spans] = {}
    for part in filter(None, (p.strip() for p in re.split("[;\n]", text))):
        head, _, rest = part.partition(" ")
        date = _date(head, field, EXTRA_EXAMPLE)
        if date in found:
            raise BadInput(field, part, f"each date once: {head} stands twice")
        if len(found) >= MOST_DAYS:
            raise BadInput(field, part, f"no more than {MOST_DAYS:,} days")
        found[date] = parse_spans(rest, field)
    return found


def extra_text(extra: Mapping[dt.date, Spans]) -> str:
    """Extra dates as stored, in order."""
    return "; ".join(f"{date.isoformat()} {spans_text(extra[date])}".rstrip() for date in sorted(extra))


def _date(text: str, field: str, expected: str = DATES_EXAMPLE) -> dt.date:
    try:
        return dt.date.fromisoformat(text)
    except ValueError:
        raise BadInput(field, text, expected) from None
