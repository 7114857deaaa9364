"""Places: added, shown, and told what to expect."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from pathlib import Path

from finishing.clock import SECONDS, at_zone
from finishing.cure.outlook import DayAhead, UsualDay
from finishing.errors import BadInput
from finishing.exchange.readings import LogReading
from finishing.shop.shop import Shop
from finishing.store import places as stored
from finishing.store import readings as stored_readings
from finishing.store.readings import LogImport


def add_place(shop: Shop, name: str, usual: UsualDay, now: float, *, rack_pieces: int | None = None) -> str:
    """A new place with its usual day."""
    if len(name) > 60:
        raise BadInput("place", name[:40], "a name of no more than 60 characters")
    with shop.store.write() as w:
        place_id = stored.create(w, name, now, rack_pieces=rack_pieces)
        stored.set_usual(w, place_id, usual, now)
        w.commit()
    shop.forget()
    return f"{name.strip()}: added, on a usual day {usual.low_c:.0f} to {usual.high_c:.0f} °C"


def expect(shop: Shop, name: str, day: DayAhead, now: float) -> str:
    """What is expected of one day at a place. BadInput for a day that is over."""
    if day.date < at_zone(now, shop.settings.zone).date():
        raise BadInput("date", day.date.isoformat(), "today or a day ahead")
    with shop.store.write() as w:
        place = stored.by_name(w, name)
        stored.expect(w, place.id, day, now)
        w.commit()
    shop.forget()
    return f"{place.name}: {day.low_c:.0f} to {day.high_c:.0f} °C expected on {day.date.isoformat()}"


@dataclass(frozen=True, slots=True)
class Imported:
    """What an import added, or would have (dry): new readings of all the log had."""

    place: str
    rows: int
    added: int
    dry: bool


def import_log(shop: Shop, name: str, path: Path, log: LogReading, now: float, *, dry: bool = False) -> Imported:
    """Add a log's readings to a place, all or none; those already there stay as they are.

    dry: count what would be new and add nothing.
    """
    with shop.store.write() as w:
        place = stored.by_name(w, name)
        added = stored_readings.add_readings(w, place.id, log.seconds, log.temperature_c, log.humidity_pct)
        if not dry:
            digest = hashlib.sha256(path.read_bytes()).hexdigest()
            rows = len(log.seconds)
            stored_readings.remember_import(w, LogImport(place.id, path.name, digest, rows, added, now))
            w.commit()
    shop.forget()
    return Imported(place.name, len(log.seconds), added, dry)


def last_reading(shop: Shop, place_id: int) -> float | None:
    """The hour of a place's last reading."""
    with shop.store.read() as r:
        newest = stored_readings.newest(r)
    return newest[place_id] / SECONDS if place_id in newest else None
