"""The shop's settings: each a JSON value by key, read from text that a maker types."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import asdict, dataclass, fields
from functools import cache
from typing import TYPE_CHECKING, Any
from zoneinfo import available_timezones

from finishing.cure.learn.rules import HALF_LIFE_DAYS, Rules
from finishing.cure.spread import USUAL_LEVEL
from finishing.errors import BadInput, NotFound
from finishing.exchange.plain import one_line
from finishing.moments import machine_zone, zone_named
from finishing.shop import hours as work

if TYPE_CHECKING:
    from finishing.cure.outlook import UsualDay
    from finishing.shop.shop import Shop

UNITS = ("metric", "imperial")

THEMES = ("night-shop", "day-shop", "high-contrast", "no-colour")
"""What the screens may look like: dark, light, black and white with a few strong colours, greys alone."""

LONGEST = 60
MOST_PER_HOUR = 100_000.0
MOST_MAKERS = 8
MOST_DAYS = 3650.0


@dataclass(frozen=True, slots=True)
class Settings:
    """zone: IANA name. units: metric or imperial. level: certainty the bench goes by, 0..1. currency: shown as is.

    maker: the name put on entries. hours, days_off, extra_days: lines of `finishing.shop.hours`. hourly_rate: what an
    hour's work costs, in the currency, None: never said. makers: pairs of hands that work at a time. theme: one of
    THEMES. bell: whether the terminal may ring. half_life_days: after so many days a touch test weighs half of what
    it did.
    """

    zone: str
    units: str = "metric"
    level: float = USUAL_LEVEL
    currency: str = ""
    maker: str = ""
    hours: str = work.USUAL_HOURS
    days_off: str = ""
    extra_days: str = ""
    hourly_rate: float | None = None
    makers: int = 1
    theme: str = THEMES[0]
    bell: bool = True
    half_life_days: float = HALF_LIFE_DAYS

    def learning(self) -> Rules:
        """How much a touch test tells as it ages."""
        return Rules(self.half_life_days)

    def working_hours(self) -> work.WorkingHours:
        """The hours there are hands. BadInput if another program stored what is none."""
        return work.working_hours(self.hours, self.days_off, self.extra_days)


def settings_from(stored: dict[str, Any]) -> Settings:
    """Stored values over defaults. A key this version doesn't know is left alone."""
    known = {f.name for f in fields(Settings)}
    return Settings(**{"zone": machine_zone(), **{k: v for k, v in stored.items() if k in known}})


def parse_setting(key: str, text: str) -> Any:
    """A setting's value from text. NotFound for an unknown key, BadInput for a value it doesn't take."""
    known = [f.name for f in fields(Settings)]
    if key not in known:
        raise NotFound("setting", key, known)
    if key in PARSERS:
        return PARSERS[key](text)
    if len(text) > LONGEST:
        raise BadInput(key, text, f"no more than {LONGEST} characters")
    return one_line(text)


def _units(text: str) -> str:
    if text not in UNITS:
        raise BadInput("units", text, "metric or imperial")
    return text


def _level(text: str) -> float:
    try:
        value = float(text.strip().removesuffix("%"))
    except ValueError:
        value = float("nan")
    value = value / 100.0 if value > 1.0 else value
    if not 0.5 <= value <= 0.99:
        raise BadInput("level", text, "a level of certainty from 50 to 99 %")
    return value


def _rate(text: str) -> float | None:
    body = text.strip()
    if not body:
        return None
    value = float(body.replace(",", ".")) if re.fullmatch(r"[0-9]{1,7}([.,][0-9]{1,2})?", body) else math.nan
    if not 0.0 <= value <= MOST_PER_HOUR:
        raise BadInput("hourly rate", text, f"a sum from 0 to {MOST_PER_HOUR:,.0f}, such as 28 or 28.50, or nothing")
    return value


def _makers(text: str) -> int:
    body = text.strip()
    if not body.isdecimal() or not 1 <= int(body) <= MOST_MAKERS:
        raise BadInput("makers", text, f"from 1 to {MOST_MAKERS} pairs of hands")
    return int(body)


def _half_life(text: str) -> float:
    try:
        value = float(text.strip().removesuffix("days").removesuffix("d").strip().replace(",", "."))
    except ValueError:
        value = math.nan
    if not 7.0 <= value <= MOST_DAYS:
        raise BadInput("half_life_days", text, f"7 to {MOST_DAYS:,.0f} days")
    return value


def _theme(text: str) -> str:
    if text not in THEMES:
        raise BadInput("theme", text, f"one of {', '.join(THEMES)}")
    return text


def _bell(text: str) -> bool:
    words = {"on": True, "yes": True, "true": True, "off": False, "no": False, "false": False}
    if text.strip().lower() not in words:
        raise BadInput("bell", text, "on or off")
    return words[text.strip().lower()]


PARSERS: dict[str, Callable[[str], Any]] = {
    "zone": zone_named,
    "units": _units,
    "level": _level,
    "hours": lambda text: work.week_text(work.parse_week(text)),
    "days_off": lambda text: work.dates_text(work.parse_dates(text)),
    "extra_days": lambda text: work.extra_text(work.parse_extra(text)),
    "hourly_rate": _rate,
    "makers": _makers,
    "theme": _theme,
    "bell": _bell,
    "half_life_days": _half_life,
}
"""How each setting that is not just any words is read; what is read is what is stored."""


def settings_view(settings: Settings) -> dict[str, Any]:
    """The settings as JSON."""
    return asdict(settings)


def setting(settings: Settings, key: str) -> Any:
    """One setting's value. NotFound for an unknown key."""
    view = settings_view(settings)
    if key not in view:
        raise NotFound("setting", key, view)
    return view[key]


def setting_text(settings: Settings, key: str) -> str:
    """A setting's value as `parse_setting` takes it. NotFound for an unknown key."""
    value = setting(settings, key)
    if isinstance(value, bool):
        return "on" if value else "off"
    if key == "level":
        return f"{value * 100:g}"
    if key == "half_life_days":
        return f"{value:g}"
    if key == "hourly_rate":
        return "" if value is None else f"{value:.2f}"
    return str(value)


def zone_words(shop: Shop, before: str, now: str) -> str:
    """That logs were read in by the clock of another zone, which they keep; "" where none was, or it is the same."""
    from finishing.store.readings import import_count

    with shop.store.read() as r:
        logs = import_count(r)
    if before == now or not logs:
        return ""
    keep = "log read in so far keeps its hours" if logs == 1 else "logs read in so far keep their hours"
    return f"{logs:,} {keep}: if {before} was wrong for them, leave them out and read them in again"


@cache
def zones() -> tuple[str, ...]:
    """Every time zone of the IANA list that a place has, in order."""
    others = ("posix/", "right/", "SystemV/", "Etc/")
    named = {z for z in available_timezones() if not z.startswith(others) and z not in ("Factory", "localtime")}
    return (*sorted(z for z in named if "/" in z), "UTC")


def zones_like(text: str) -> tuple[str, ...]:
    """The zones whose names hold every word typed, in whatever case."""
    words = text.casefold().replace("_", " ").split()
    return tuple(z for z in zones() if all(word in z.casefold() for word in words))


def change_setting(shop: Shop, key: str, text: str, now: float) -> Any:
    """Set a setting from text and return its value."""
    from finishing.store import settings as stored

    value = parse_setting(key, text)
    with shop.store.write() as w:
        stored.put(w, key, value, now)
        w.commit()
    shop.forget()
    return value


@dataclass(frozen=True, slots=True)
class FirstRun:
    """What a new shop says of itself: units, its first place with the usual day there, and its hours."""

    units: str
    place: str
    usual: UsualDay
    hours: str = work.USUAL_HOURS


def is_new(shop: Shop) -> bool:
    """Whether nothing was ever set up here: no place, so no batch either, and it is not the invented shop."""
    return not shop.invented and not shop.places()


def begin_shop(shop: Shop, first: FirstRun, now: float) -> str:
    """Set up a new shop, all of it or nothing."""
    from finishing.store import places as stored_places
    from finishing.store import settings as stored

    values = {key: parse_setting(key, getattr(first, key)) for key in ("units", "hours")}
    place = one_line(first.place)
    if len(place) > LONGEST:
        raise BadInput("place", place[:40], f"a name of no more than {LONGEST} characters")
    with shop.store.write() as w:
        for key, value in values.items():
            stored.put(w, key, value, now)
        stored_places.set_usual(w, stored_places.create(w, place, now), first.usual, now)
        w.commit()
    shop.forget()
    return f"{first.place.strip()}: ready for the first batch"
