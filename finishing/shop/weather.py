"""The air of one place as its page shows it: curves, where finishes stand still, what is expected, logs read in."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt

from finishing.clock import at_zone
from finishing.cure.air import dew_point_c, wood_moisture_pct
from finishing.cure.climate import Gap, PlaceAir
from finishing.cure.coat import Coat
from finishing.cure.finish import Finish
from finishing.cure.outlook import FIT_DAYS, LOW_AT, DayAhead, UsualDay
from finishing.cure.rates import TOO_COLD, TOO_DAMP, RateLaw
from finishing.cure.still import stretches
from finishing.cure.terms import ClockName
from finishing.exchange.readings import LogReading
from finishing.shop import left_out, next_steps, places
from finishing.shop.differing import differing_words, unusual_words
from finishing.shop.places import Imported, PlaceSheet, Progress
from finishing.shop.shop import Rack, Shop
from finishing.shop.words import short_stretch
from finishing.store import places as stored
from finishing.units import counted, show_temperature

Array = npt.NDArray[np.float64]

AHEAD_HOURS = 48.0
"""Standing still is looked for so far ahead: two nights."""

SAMPLES = 480


@dataclass(frozen=True, slots=True)
class Curves:
    """The air of a stretch of time at even steps. measured: read, or bridged between readings not far apart."""

    hours: Array
    temperature_c: Array
    dew_point_c: Array
    humidity_pct: Array
    wood_moisture_pct: Array
    measured: npt.NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Still:
    """A finish that lies on batches and stands still in the air ahead.

    why: TOO_COLD, TOO_DAMP, TOO_DRY added up. stretches: [hours], none when it hardens all the while.
    """

    finish: Finish
    codes: tuple[str, ...]
    why: int
    stretches: tuple[tuple[float, float], ...]
    coldest_c: float

    @property
    def hours(self) -> float:
        """How long it stands still in all."""
        return sum(end - start for start, end in self.stretches)


@dataclass(frozen=True, slots=True)
class Weather:
    """One place as of an hour: what is known of it, its air, and what stands still there in the two nights ahead.

    left: readings left out that were not taken back, the newest first.
    """

    now: float
    sheet: PlaceSheet
    air: PlaceAir
    stills: tuple[Still, ...]
    gaps: tuple[Gap, ...]
    left: tuple[left_out.Line, ...] = ()

    @property
    def usual(self) -> UsualDay | None:
        """The usual day that holds: as read lately, else as entered."""
        return self.sheet.lately or self.sheet.typed

    @property
    def first(self) -> float:
        """The first hour anything is known of."""
        return float(self.air.series.hours[0])

    @property
    def last(self) -> float:
        """The last hour the outlook is laid out to."""
        return float(self.air.series.hours[-1])

    def curves(self, start: float, end: float) -> Curves:
        """The air from one hour to another, as far as it is known."""
        series = self.air.series
        hours = np.linspace(max(start, self.first), min(end, self.last), SAMPLES)
        t = np.interp(hours, series.hours, series.temperature_c)
        h = np.interp(hours, series.hours, series.humidity_pct)
        dew, moisture = np.asarray(dew_point_c(t, h)), np.asarray(wood_moisture_pct(t, h))
        return Curves(hours, t, dew, h, moisture, _measured(self.air, hours))


def _measured(air: PlaceAir, hours: Array) -> npt.NDArray[np.bool_]:
    if air.measured is None:
        return np.zeros(len(hours), dtype=np.bool_)
    read = (hours >= air.measured[0]) & (hours <= air.measured[1])
    for gap in air.gaps:
        read &= (hours <= gap.start) | (hours >= gap.end)
    return np.asarray(read, dtype=np.bool_)


def weather(shop: Shop, name: str, now: float) -> Weather:
    """Everything about the air of a place. NotFound with the nearest names."""
    found = places.sheet(shop, name, now)
    rack = shop.rack(now)
    air = rack.air[found.place.name]
    since = now - FIT_DAYS * 24.0
    gaps = tuple(gap for gap in air.gaps if gap.end > since)
    left = tuple(line for line in left_out.lines(shop, name) if line.back is None)
    return Weather(now, found, air, stills(rack, found.place.name, now), gaps, left)


def stills(rack: Rack, place: str, now: float, ahead: float = AHEAD_HOURS) -> tuple[Still, ...]:
    """Each finish that still hardens on an open batch at a place, and the hours ahead in which it stands still."""
    lying: dict[str, tuple[Finish, list[str]]] = {}
    for code, standing in rack.standings.items():
        if standing.fold.place != place:
            continue
        for coat in standing.fold.coats:
            if _hardens(coat, now):
                codes = lying.setdefault(coat.finish.title, (coat.finish, []))[1]
                if code not in codes:
                    codes.append(code)
    return tuple(_still(finish, tuple(codes), rack.air[place], now, ahead) for finish, codes in lying.values())


def _hardens(coat: Coat, now: float) -> bool:
    """Whether a stage of a coat is still to come."""
    return any(time is not None and (time.likely is None or time.likely > now) for time in coat.stages.values())


def _still(finish: Finish, codes: tuple[str, ...], air: PlaceAir, now: float, ahead: float) -> Still:
    window = air.window(now, now + ahead)
    spans, why = stretches(RateLaw.of(finish, ClockName.CURE), window)
    return Still(finish, codes, why, spans, float(window.temperature_c.min()))


def still_words(still: Still, units: str, zone: str, now: float) -> str:
    """When one that stands still does: "wiping varnish on T-14: stands still 9 h of the next 48, 23:10 to ..."."""
    subject = f"{still.finish.title} on {', '.join(still.codes)}"
    least = show_temperature(still.finish.limits.minimum_c, units)
    reasons = []
    if still.why & TOO_COLD:
        reasons.append(f"below {least}, down to {show_temperature(still.coldest_c, units)}")
    if still.why & TOO_DAMP:
        reasons.append(f"above {still.finish.limits.maximum_humidity_pct:g} % RH")
    if still.why & ~(TOO_COLD | TOO_DAMP):
        reasons.append(f"under {still.finish.limits.minimum_humidity_pct:g} % RH")
    times = [short_stretch(a, b, zone, now) for a, b in still.stretches]
    return f"{subject}: stands still {still.hours:.0f} h of the next 48, {'; '.join(times)} ({', '.join(reasons)})"


def night_of(now: float, zone: str) -> dt.date:
    """The date of the low that comes next: today's before dawn, else tomorrow's."""
    local = at_zone(now, zone)
    return local.date() if local.hour < LOW_AT else local.add(days=1).date()


def expected(found: Weather, date: dt.date) -> UsualDay | None:
    """What holds for a date now: as typed for it, else the usual day."""
    usual = found.usual
    for day in found.sheet.ahead:
        if day.date == date:
            damp = day.humidity_pct
            if damp is None:
                damp = 50.0 if usual is None else usual.humidity_at_low
            return UsualDay(day.low_c, day.high_c, damp, damp)
    return usual


def expect_day(shop: Shop, name: str, day: DayAhead, now: float) -> str:
    """What is expected of a day at a place, put on record; says which next steps it moves."""
    before = next_steps.opens(shop, now)
    places.expect(shop, name, day, now)
    units = shop.settings.units
    said = f"{shop.place(name).name}: {show_temperature(day.low_c, units)} to {show_temperature(day.high_c, units)}"
    return f"{said} expected on {at_words(day.date)}{_moved(shop, before, now)}"


def set_usual(shop: Shop, name: str, usual: UsualDay, now: float) -> str:
    """Another usual day for a place; says which next steps it moves, or that readings hold before it."""
    before = next_steps.opens(shop, now)
    with shop.store.write() as w:
        place = stored.by_name(w, name)
        stored.set_usual(w, place.id, usual, now)
        w.commit()
    shop.forget()
    units = shop.settings.units
    said = f"{place.name}: usually {show_temperature(usual.low_c, units)} to {show_temperature(usual.high_c, units)}"
    if places.sheet(shop, name, now).lately is not None:
        return f"{said}; the readings of the last two weeks hold before it"
    return said + _moved(shop, before, now)


def new_place(shop: Shop, name: str, usual: UsualDay, rack_pieces: int | None, now: float) -> str:
    """A place added, in the maker's units."""
    places.add_place(shop, name, usual, now, rack_pieces=rack_pieces)
    units = shop.settings.units
    return f"{name.strip()}: added, usually {show_temperature(usual.low_c, units)} to " + show_temperature(
        usual.high_c, units
    )


def at_words(date: dt.date) -> str:
    """A date as the screens write it: Thu 26 Nov."""
    return f"{date:%a} {date.day} {date:%b}"


def _moved(shop: Shop, before: next_steps.Opens, now: float) -> str:
    return next_steps.moved_words(next_steps.moved(shop, before, now), shop.settings.zone, now)


def add_log(
    shop: Shop, name: str, path: Path, log: LogReading, now: float, progress: Progress | None = None
) -> Imported:
    """Add a log's readings to a place, all or none, as `places.import_log` does."""
    return places.import_log(shop, name, path, log, now, progress=progress)


def imported_words(done: Imported, units: str) -> str:
    """What an import came to: how many readings were new, there already, or left out before; and what disagrees."""
    differs = "" if done.differing is None else f"; {differing_words(done.differing, units, 'x undoes it')}"
    unusual = "" if done.unusual is None else f"; {unusual_words(done.unusual, units)}"
    return f"{done.place}: {counted(done.added, 'reading')} added{places.old_words(done, units)}{unusual}{differs}"


def completions(text: str, most: int = 200) -> Sequence[str]:
    """Paths that begin with what was typed, folders with a slash at the end; hidden ones only when asked for."""
    typed = Path(text or ".").expanduser()
    folder, start = (typed, "") if text.endswith("/") or not text else (typed.parent, typed.name)
    shown = text[: len(text) - len(start)] if start else text
    try:
        names = sorted(p.name + ("/" if p.is_dir() else "") for p in folder.iterdir())
    except OSError:
        return ()
    fitting = (n for n in names if n.startswith(start) and (start.startswith(".") or not n.startswith(".")))
    return tuple(shown + n for n, _ in zip(fitting, range(most), strict=False))
