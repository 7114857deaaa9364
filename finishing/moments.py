"""Times as people type them: ISO 8601, a date, or a clock time of today, in the shop's zone."""

from __future__ import annotations

import re
from zoneinfo import ZoneInfo

import pendulum
from pendulum.parsing.exceptions import ParserError

from finishing.clock import SECONDS, at_zone, hour_of
from finishing.errors import BadInput

AHEAD = "a date or time ahead of now, such as 2026-12-19, 19 Dec or 2026-12-19T14:00"
EXPECTED = "a time such as 18:30, 2026-03-14 18:30 or 2026-03-14T18:30+01:00"


A_DATE = re.compile(r"\d{4}-?\d{2}-?\d{2}")

IN_WORDS = re.compile(r"(\d{1,2})\.? +([A-Za-z]{3,9})\.?(?: +(\d{4}))?")
"""19 December, 19 Dec 2026."""

MONTHS = ("january", "february", "march", "april", "may", "june", "july", "august", "september", "october", "november",
          "december")  # fmt: skip


def parse_moment(text: str, field: str, zone: str, now: float) -> float:
    """The hour [since the epoch] meant; without an offset, in the shop's zone. BadInput when it is no time.

    A local time that a daylight-saving night skips is moved on by the hour skipped; of a doubled one, the later.
    """
    body = text.strip()
    if 3 <= len(body) <= 5 and ":" in body:
        body = f"{at_zone(now, zone).format('YYYY-MM-DD')} {body.zfill(5)}"
    if not body[:4].isdigit():
        raise BadInput(field, text, EXPECTED)
    try:
        moment = pendulum.parse(body, tz=zone)
    except (ParserError, ValueError, OverflowError):
        raise BadInput(field, text, EXPECTED) from None
    if not isinstance(moment, pendulum.DateTime) or not 1970 <= moment.year <= 2200:
        raise BadInput(field, text, EXPECTED)
    return hour_of(moment)


def parse_when(text: str, field: str, zone: str, now: float) -> float:
    """As `parse_moment`, but not ahead of now: an entry is of what has happened. A minute's grace for clocks."""
    if A_DATE.fullmatch(text.strip()):
        raise BadInput(field, text, "a time with the date, such as 2026-03-14 18:30")
    hour = parse_moment(text, field, zone, now)
    if hour > now + 60.0 / SECONDS:
        raise BadInput(field, text, "a time that has passed")
    return min(hour, now)


def parse_stretch(texts: tuple[str, str], fields: tuple[str, str], zone: str, now: float) -> tuple[float, float]:
    """From one time until another [hours], each with its date or a clock time of today; the end may lie ahead."""
    for text, field in zip(texts, fields, strict=True):
        if A_DATE.fullmatch(text.strip()):
            raise BadInput(field, text, "a time with the date, such as 2026-03-14 18:30")
    first, last = (parse_moment(text, field, zone, now) for text, field in zip(texts, fields, strict=True))
    if last < first:
        raise BadInput(fields[1], texts[1], f"a time after {texts[0].strip()}")
    return first, last


def parse_wanted(text: str, field: str, zone: str, now: float) -> float:
    """A wanted-by date or time, ahead of now. A date alone means eight in the morning of that day; in words
    (19 December) it may lack the year."""
    body = _dated(text.strip(), zone, now)
    try:
        hour = parse_moment(f"{body} 08:00" if A_DATE.fullmatch(body) else body, field, zone, now)
    except BadInput:
        raise BadInput(field, text, AHEAD) from None
    if hour < now:
        raise BadInput(field, text, AHEAD)
    return hour


def _dated(body: str, zone: str, now: float) -> str:
    """A date in words as ISO 8601 has it, the next such day where it lacks the year; anything else as it is."""
    found = IN_WORDS.fullmatch(body)
    month = next((n for n, name in enumerate(MONTHS, 1) if found and name.startswith(found[2].lower())), None)
    if found is None or month is None:
        return body
    today = at_zone(now, zone)
    day = int(found[1])
    year = int(found[3]) if found[3] else today.year + ((month, day) < (today.month, today.day))
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
