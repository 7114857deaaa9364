"""Times as people type them: ISO 8601, a date, or a clock time of today, in the shop's zone."""

from __future__ import annotations

from zoneinfo import ZoneInfo

import pendulum
from pendulum.parsing.exceptions import ParserError

from finishing.clock import SECONDS, at_zone, hour_of
from finishing.errors import BadInput

EXPECTED = "a time such as 18:30, 2026-03-14 18:30 or 2026-03-14T18:30+01:00"


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
    hour = parse_moment(text, field, zone, now)
    if hour > now + 60.0 / SECONDS:
        raise BadInput(field, text, "a time that has passed")
    return min(hour, now)


def parse_wanted(text: str, field: str, zone: str, now: float) -> float:
    """A wanted-by date or time, ahead of now. A date alone means eight in the morning of that day."""
    body = text.strip()
    hour = parse_moment(f"{body} 08:00" if len(body) == 10 else body, field, zone, now)
    if hour < now:
        raise BadInput(field, text, "a date or time ahead of now, such as 2026-12-19")
    return hour


def zone_named(zone: str, field: str = "zone") -> str:
    """A time zone's name, checked against the IANA list."""
    try:
        return ZoneInfo(zone).key
    except (ValueError, KeyError, OSError):
        raise BadInput(field, zone, "a time zone of the IANA list, such as Europe/Oslo or America/Denver") from None


def machine_zone() -> str:
    """The zone this machine is set to."""
    return pendulum.now().timezone_name or "UTC"
