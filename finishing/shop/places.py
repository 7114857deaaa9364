"""Places: added, shown, and told what to expect."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from finishing.clock import SECONDS, at_zone
from finishing.cure.air import Air
from finishing.cure.air import air as air_of
from finishing.cure.integral import Series
from finishing.cure.outlook import FIT_DAYS, DayAhead, UsualDay, fit_usual_day
from finishing.errors import BadFile, BadInput
from finishing.exchange.plain import one_line, plain
from finishing.exchange.readings import LogReading
from finishing.shop import next_steps
from finishing.shop.differing import Differing, OnRecord, Others, Unusual, others_words
from finishing.shop.next_steps import Step
from finishing.shop.shop import Shop
from finishing.shop.stays_out import StaysOut
from finishing.store import places as stored
from finishing.store import readings as stored_readings
from finishing.store.left_out import Rows, slices
from finishing.store.places import PlaceRow
from finishing.store.readings import LogImport
from finishing.units import show_between

Progress = Callable[[int, int], None]
"""Told so many of all."""

UNDO = "readings leave-out undoes it"

RUNS_FAST_HOURS = 48.0
"""So far ahead of now a logger's clock may run, or its zone be taken wrongly."""


def add_place(shop: Shop, name: str, usual: UsualDay, now: float, *, rack_pieces: int | None = None) -> str:
    """A new place with its usual day."""
    name = one_line(name)
    if len(name) > 60:
        raise BadInput("place", name[:40], "a name of no more than 60 characters")
    with shop.store.write() as w:
        place_id = stored.create(w, name, now, rack_pieces=rack_pieces)
        stored.set_usual(w, place_id, usual, now)
        w.commit()
    shop.forget()
    return f"{name.strip()}: added, on a usual day {show_between(usual.low_c, usual.high_c, shop.settings.units)}"


def expect(shop: Shop, name: str, day: DayAhead, now: float) -> str:
    """What is expected of one day at a place. BadInput for a day that is over."""
    if day.date < at_zone(now, shop.settings.zone).date():
        raise BadInput("date", day.date.isoformat(), "today or a day ahead")
    with shop.store.write() as w:
        place = stored.by_name(w, name)
        stored.expect(w, place.id, day, now)
        w.commit()
    shop.forget()
    between = show_between(day.low_c, day.high_c, shop.settings.units)
    return f"{place.name}: {between} expected on {day.date.isoformat()}"


@dataclass(frozen=True, slots=True)
class Reading:
    """One reading: hour, °C, and % RH where it was measured."""

    at: float
    temperature_c: float
    humidity_pct: float | None


@dataclass(frozen=True, slots=True)
class PlaceSheet:
    """What is known of a place. typed: the usual day as entered; lately: as the last two weeks of readings show it.

    measured: whether the air now was read within the hour, rather than expected. batches: codes of those that stand
    there.
    """

    place: PlaceRow
    typed: UsualDay | None
    lately: UsualDay | None
    last: Reading | None
    ahead: tuple[DayAhead, ...]
    air: Air
    measured: bool
    batches: tuple[str, ...]


def sheet(shop: Shop, name: str, now: float) -> PlaceSheet:
    """One place. NotFound with the nearest names."""
    zone = shop.settings.zone
    cutoff = (now - FIT_DAYS * 24.0) * SECONDS
    with shop.store.read() as r:
        place = stored.by_name(r, name)
        typed = stored.usual_days(r).get(place.id)
        ahead = stored.days_ahead(r, at_zone(now, zone).date()).get(place.id, ())
        newest = stored_readings.newest(r).get(place.id)
        since = cutoff if newest is None else min(newest, cutoff)
        seconds, warmth, damp = stored_readings.readings_since(r, place.id, since)
    rack = shop.rack(now)
    air = rack.air[place.name]
    fresh = len(seconds) > 1 and seconds[-1] > cutoff
    lately = fit_usual_day(Series(seconds / SECONDS, warmth, damp), zone) if fresh else None
    return PlaceSheet(
        place,
        typed,
        lately,
        _reading(seconds[-1], warmth[-1], damp[-1]) if len(seconds) else None,
        tuple(ahead),
        air_of(*air.at(now)),
        air.measured is not None and now - air.measured[1] <= 1.0,
        tuple(code for code, standing in rack.standings.items() if standing.fold.place == place.name),
    )


def last_readings(shop: Shop, name: str, most: int) -> list[Reading]:
    """A place's newest readings, oldest first."""
    with shop.store.read() as r:
        place = stored.by_name(r, name)
        newest = stored_readings.newest(r).get(place.id)
        if newest is None:
            return []
        back = most * 600.0
        while True:  # loggers differ a thousandfold in pace, so look back further until there are enough
            seconds, warmth, damp = stored_readings.readings_since(r, place.id, newest - back)
            if len(seconds) >= most or back > newest:
                break
            back *= 4.0
    return [_reading(*row) for row in zip(seconds[-most:], warmth[-most:], damp[-most:], strict=True)]


def _reading(second: float, warmth: float, damp: float) -> Reading:
    return Reading(float(second) / SECONDS, float(warmth), None if damp != damp else float(damp))


@dataclass(frozen=True, slots=True)
class Imported:
    """What an import added, or would have (dry): new readings of all the log had.

    left_out: so many were left out before, and stay out. differing: how it disagrees with what was there; None: it
    does not. moved: next steps it moves; None: not looked. others: those there already with other values.
    unusual: how far from the place's usual day.
    """

    place: str
    rows: int
    added: int
    dry: bool
    left_out: int = 0
    differing: Differing | None = None
    moved: tuple[Step, ...] | None = None
    others: Others | None = None
    unusual: Unusual | None = None

    @property
    def old(self) -> int:
        """How many were there already."""
        return self.rows - self.added - self.left_out


def import_log(
    shop: Shop,
    name: str,
    path: Path,
    log: LogReading,
    now: float,
    *,
    dry: bool = False,
    again: bool = False,
    progress: Progress | None = None,
) -> Imported:
    """Add a log's readings to a place, all or none; those already there stay as they are.

    again: those that were left out before, too. dry: count what would be new and add nothing. progress: called with
    readings done and in all; what it raises stops the work with nothing added. BadFile when the file is gone since it
    was read. BadInput where a reading lies days ahead of now: it would pass for what is known of the air to come.
    """
    rows, done, added, left_out = len(log), 0, 0, 0
    last = log.understanding.last / SECONDS
    if last > now + RUNS_FAST_HOURS:
        said = f"a reading of {at_zone(last, shop.settings.zone).format('YYYY-MM-DD HH:mm')}"
        raise BadInput(
            "log", said, "no reading more than two days ahead of now: check the logger's clock, and its dates"
        )
    digest = _digest(path)
    with shop.store.write(turn_later=True) as w:  # other benches record while a long log comes in
        place = stored.by_name(w, name)
        stays = None if again else StaysOut(w, place.id, log.understanding.first, log.understanding.last, _rows(log))
        there = OnRecord(w, place.id, log.understanding.first, log.understanding.last)
        for part in slices(_rows(log)):
            out = None if stays is None else stays.mask(part)
            new = part if out is None or not out.any() else (part[0][~out], part[1][~out], part[2][~out])
            there.compare(new)
            added += stored_readings.add_readings(w, place.id, *new)
            done += len(part[0])
            left_out += len(part[0]) - len(new[0])
            if progress is not None:
                progress(done, rows)
        if not dry:
            w.take_turn()
            stored_readings.remember_import(w, LogImport(place.id, path.name, digest, rows, added, now))
            w.commit()
    # Not shop.forget(): this may run beside the screens' own thread, which sees the commit by the data's version.
    return Imported(place.name, rows, added, dry, left_out, there.found, others=there.others, unusual=there.unusual)


def import_and_look(
    shop: Shop, name: str, path: Path, log: LogReading, now: float, *,
    dry: bool = False, again: bool = False, progress: Progress | None = None,
) -> Imported:  # fmt: skip
    """As `import_log`, and say which next steps it moves. Not beside the screens' own thread."""
    before = next_steps.opens(shop, now)
    done = import_log(shop, name, path, log, now, dry=dry, again=again, progress=progress)
    if dry:
        return done
    shop.forget()
    return replace(done, moved=next_steps.moved(shop, before, now))


def old_words(done: Imported, units: str) -> str:
    """How many were there already, and with other values, and how many stay out, to go on a sentence with; "" where
    all were new."""

    def was(number: int) -> str:
        return f"{number:,} {'was' if number == 1 else 'were'}"

    old = f", {was(done.old)} there already" if done.old else ""
    old += "" if done.others is None else f" ({others_words(done.others, units)})"
    stay = "stays" if done.left_out == 1 else "stay"
    return old + (f", {was(done.left_out)} left out before and {stay} out" if done.left_out else "")


def _rows(log: LogReading) -> Iterator[Rows]:
    return ((part.seconds, part.temperature_c, part.humidity_pct) for part in log.stretches())


def add_reading(shop: Shop, name: str, second: int, temperature_c: float, humidity_pct: float) -> Imported:
    """Add one reading at an epoch second, humidity NaN where there is none; not if that second has one already, or the
    same was left out."""
    row = np.array([second]), np.array([temperature_c]), np.array([humidity_pct])
    with shop.store.write() as w:
        place = stored.by_name(w, name)
        there = OnRecord(w, place.id, second, second)
        stays = StaysOut(w, place.id, second, second, [row])
        out = bool(stays.mask(row).any())
        if not out:
            there.compare(row)
        new = 0 if out else stored_readings.add_readings(w, place.id, *row)
        w.commit()
    shop.forget()
    return Imported(place.name, 1, new, False, int(out), there.found)


def add_and_look(shop: Shop, name: str, second: int, temperature_c: float, humidity_pct: float, now: float) -> Imported:
    """As `add_reading`, and say which next steps it moves."""
    before = next_steps.opens(shop, now)
    done = add_reading(shop, name, second, temperature_c, humidity_pct)
    return replace(done, moved=next_steps.moved(shop, before, now))


def _digest(path: Path) -> str:
    """A file's SHA-256, read piece by piece. BadFile if it is gone meanwhile."""
    try:
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except OSError as trouble:
        raise BadFile(plain(path.name, 80), f"cannot be read again: {trouble.strerror}") from trouble


def last_reading(shop: Shop, place_id: int) -> float | None:
    """The hour of a place's last reading."""
    with shop.store.read() as r:
        newest = stored_readings.newest(r)
    return newest[place_id] / SECONDS if place_id in newest else None
