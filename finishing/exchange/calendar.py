"""The shop's times as a calendar (RFC 5545): what happens when, and what was sent before, so that a new file updates.

An event keeps its UID for ever. Its SEQUENCE goes up only when something of it changed; what is no longer to happen is
sent once more as cancelled. What lies in the past stays as it was.
"""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from icalendar import Alarm, Calendar, Event

from finishing.clock import at_zone
from finishing.exchange.plain import plain

PRODUCT = "-//finishing//calendar//EN"

STEADY_HOURS = 0.25
"""A time that moves by no more than this is the same: the air ahead is reckoned anew at every reading."""

KEPT_HOURS = 60 * 24.0
"""So long after its end a past or cancelled event is still in the file."""

LONGEST = 400


@dataclass(frozen=True, slots=True)
class Happening:
    """Something to happen. key: stable within the shop. Hours since the epoch; all_day: its local date counts.

    alarm: minutes before the start at which it rings, below 0 after it, None for none. months: repeats so often.
    """

    key: str
    start: float
    end: float
    title: str
    about: str = ""
    alarm: int | None = None
    all_day: bool = False
    months: int | None = None


@dataclass(frozen=True, slots=True)
class Sent:
    """A happening as it was last sent: how often it changed, when it last did, whether it was called off."""

    what: Happening
    sequence: int
    revised: float
    cancelled: bool = False


def updated(before: Mapping[str, Sent], happenings: Iterable[Happening], now: float) -> dict[str, Sent]:
    """What to send now, given what was sent before: by key, changes counted up, what fell away called off."""
    current = {happening.key: happening for happening in happenings}
    sent: dict[str, Sent] = {}
    for key, happening in current.items():
        old = before.get(key)
        if old is None:
            sent[key] = Sent(happening, 0, now)
        elif not old.cancelled and _steady(old.what, happening) == old.what:
            sent[key] = old
        else:
            sent[key] = Sent(happening, old.sequence + 1, now)
    for key, old in before.items():
        if key not in current and (kept := _gone(old, now)) is not None:
            sent[key] = kept
    return sent


def _steady(old: Happening, new: Happening) -> Happening:
    """The new happening with the old times where they hardly moved."""
    if abs(old.start - new.start) > STEADY_HOURS or abs(old.end - new.end) > STEADY_HOURS:
        return new
    return replace(new, start=old.start, end=old.end)


def _gone(old: Sent, now: float) -> Sent | None:
    """What fell away: called off where it was still to come, else left as it was; in the end dropped."""
    if old.cancelled:
        return old if now < max(old.revised, old.what.end) + KEPT_HOURS else None
    if old.what.start <= now and old.what.months is None:
        return old if now < old.what.end + KEPT_HOURS else None
    return Sent(old.what, old.sequence + 1, now, cancelled=True)


def written(sent: Mapping[str, Sent], shop: uuid.UUID, zone: str, name: str) -> bytes:
    """The calendar's bytes: the same for the same events. shop: what makes the UIDs this shop's own."""
    calendar = Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("name", plain(name))
    calendar.add("x-wr-calname", plain(name))
    for one in sorted(sent.values(), key=lambda s: (s.what.start, s.what.key)):
        calendar.add_component(_event(one, shop, zone))
    body: bytes = calendar.to_ical()
    return body


def _event(one: Sent, shop: uuid.UUID, zone: str) -> Event:
    what, event = one.what, Event()
    event.add("uid", str(uuid.uuid5(shop, what.key)))
    event.add("sequence", one.sequence)
    event.add("dtstamp", _utc(one.revised))
    event.add("last-modified", _utc(one.revised))
    event.add("summary", plain(what.title, LONGEST))
    if what.about:
        event.add("description", "\n".join(plain(line, LONGEST) for line in what.about.split("\n")))
    if what.all_day:
        day = at_zone(what.start, zone).date()
        event.add("dtstart", dt.date(day.year, day.month, day.day))
        event.add("dtend", dt.date(day.year, day.month, day.day) + dt.timedelta(days=1))
    else:
        event.add("dtstart", _utc(what.start))
        event.add("dtend", _utc(what.end))
    if what.months is not None:
        event.add("rrule", {"freq": "monthly", "interval": what.months})
    event.add("transp", "TRANSPARENT")
    event.add("status", "CANCELLED" if one.cancelled else "CONFIRMED")
    if what.alarm is not None and not one.cancelled:
        event.add_component(_alarm(what))
    return event


def _alarm(what: Happening) -> Alarm:
    alarm = Alarm()
    alarm.add("action", "DISPLAY")
    alarm.add("description", plain(what.title, LONGEST))
    alarm.add("trigger", dt.timedelta(minutes=-(what.alarm or 0)))
    return alarm


def _utc(hour: float) -> dt.datetime:
    """The instant in UTC, to the minute for what people read, so that a zone's later change moves nothing."""
    return dt.datetime.fromtimestamp(round(hour * 60) * 60, tz=dt.UTC)
