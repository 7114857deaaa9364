"""The shop's settings: zone, units and level of certainty."""

from __future__ import annotations

from dataclasses import asdict, dataclass, fields
from typing import TYPE_CHECKING, Any

from finishing.cure.spread import USUAL_LEVEL
from finishing.errors import BadInput, NotFound
from finishing.moments import machine_zone, zone_named

if TYPE_CHECKING:
    from finishing.shop.shop import Shop

UNITS = ("metric", "imperial")


@dataclass(frozen=True, slots=True)
class Settings:
    """zone: IANA name. units: metric or imperial. level: certainty the bench goes by, 0..1. currency: shown as is.

    maker: the name put on entries.
    """

    zone: str
    units: str = "metric"
    level: float = USUAL_LEVEL
    currency: str = ""
    maker: str = ""


def settings_from(stored: dict[str, Any]) -> Settings:
    """Stored values over defaults. A key this version doesn't know is left alone."""
    known = {f.name for f in fields(Settings)}
    return Settings(**{"zone": machine_zone(), **{k: v for k, v in stored.items() if k in known}})


def parse_setting(key: str, text: str) -> Any:
    """A setting's value from text. NotFound for an unknown key, BadInput for a value it doesn't take."""
    known = [f.name for f in fields(Settings)]
    if key not in known:
        raise NotFound("setting", key, known)
    if key == "zone":
        return zone_named(text)
    if key == "units":
        if text not in UNITS:
            raise BadInput("units", text, "metric or imperial")
        return text
    if key == "level":
        return _level(text)
    if len(text) > 60:
        raise BadInput(key, text, "no more than 60 characters")
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


def settings_view(settings: Settings) -> dict[str, Any]:
    """The settings as JSON."""
    return asdict(settings)


def setting(settings: Settings, key: str) -> Any:
    """One setting's value. NotFound for an unknown key."""
    view = settings_view(settings)
    if key not in view:
        raise NotFound("setting", key, view)
    return view[key]


def change_setting(shop: Shop, key: str, text: str, now: float) -> Any:
    """Set a setting from text and return its value."""
    from finishing.store import settings as stored

    value = parse_setting(key, text)
    with shop.store.write() as w:
        stored.put(w, key, value, now)
        w.commit()
    shop.forget()
    return value
