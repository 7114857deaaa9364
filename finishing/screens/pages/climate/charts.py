"""What the plots of the climate page show, and the words beside them."""

from __future__ import annotations

import numpy as np

from finishing.clock import at_zone
from finishing.cure.advice import STALE_HOURS
from finishing.cure.outlook import UsualDay
from finishing.screens.widgets.plot import Array, Chart, Curve, Foot, Level, Manner
from finishing.shop.left_out import line_words
from finishing.shop.settings import Settings
from finishing.shop.weather import Curves, Weather, at_words, still_words
from finishing.shop.words import short_stretch, short_time
from finishing.units import counted, show_duration, show_temperature, spoken, to_fahrenheit

LEFT_SHOWN = 3
"""So many times that were left out are said; the card for taking back lists all."""


def warmth(found: Weather, curves: Curves, settings: Settings, start: float, span: float) -> Chart:
    """Air temperature and dew point in the maker's units, with the least that the finishes there harden at."""
    imperial = settings.units == "imperial"

    def shown(celsius: Array) -> Array:
        return celsius * 1.8 + 32.0 if imperial else celsius

    def level(celsius: float) -> Level:
        value = to_fahrenheit(celsius) if imperial else celsius
        return Level(value, f"least {show_temperature(celsius, settings.units)}")

    least = sorted({still.finish.limits.minimum_c for still in found.stills})
    return Chart(
        start,
        span,
        found.now,
        settings.zone,
        "°F" if imperial else "°C",
        (
            Curve(curves.hours, shown(curves.temperature_c), curves.measured, Manner.LINE, "air"),
            Curve(curves.hours, shown(curves.dew_point_c), curves.measured, Manner.RINGS, "dew"),
        ),
        tuple(
            Level(to_fahrenheit(c) if imperial else c, f"least {show_temperature(c, settings.units)}") for c in least
        ),
        ruler=False,
    )


def damp(found: Weather, curves: Curves, settings: Settings, start: float, span: float) -> Chart:
    """Humidity, with the moisture the wood goes to beneath."""
    humidity = Curve(curves.hours, curves.humidity_pct, curves.measured, Manner.LINE, "damp")
    foot = Foot("wood %", curves.hours, curves.wood_moisture_pct)
    return Chart(start, span, found.now, settings.zone, "% RH", (humidity,), bounds=(0.0, 100.0), ruler=True, foot=foot)


def now_lines(found: Weather, settings: Settings) -> list[str]:
    """The air now, and how old the last reading is."""
    air, units = found.sheet.air, settings.units
    about = "" if found.sheet.measured else "about "
    dew = show_temperature(air.dew_point_c, units) if np.isfinite(air.dew_point_c) else "none"
    first = (
        f"now {about}{show_temperature(air.temperature_c, units)}, {air.humidity_pct:.0f} % RH · dew point {dew}"
        f" · wood goes to {air.wood_moisture_pct:.1f} %"
    )
    return [first, _last_words(found, settings)]


def _last_words(found: Weather, settings: Settings) -> str:
    last = found.sheet.last
    if last is None:
        return "! nothing was ever read here: all is supposed from the usual day"
    damp = "" if last.humidity_pct is None else f", {last.humidity_pct:.0f} % RH"
    age = found.now - last.at
    words = (
        f"last reading {short_time(last.at, settings.zone, found.now)}:"
        f" {show_temperature(last.temperature_c, settings.units)}{damp}"
    )
    if age < 0:
        return f"! {words}, ahead of this machine's clock"
    if age < 1 / 60:
        return f"{words}, just now"
    old = f"! {words}, {show_duration(age)} ago: expected since"
    return old if age > STALE_HOURS else f"{words}, {show_duration(age)} ago"


def lines(found: Weather, settings: Settings) -> list[str]:
    """Everything else of a place, what to heed first, marked "! "."""
    zone, units, now = settings.zone, settings.units, found.now
    worst = sorted((still for still in found.stills if still.stretches), key=lambda still: -still.hours)
    said = [f"! {still_words(still, units, zone, now)}" for still in worst]
    said += [f"! {spoken(warning, units)}" for warning in found.sheet.air.warnings]
    said.append(_hardening_words(found))
    for day in found.sheet.ahead:
        humidity = "" if day.humidity_pct is None else f", {day.humidity_pct:.0f} % RH"
        low, high = show_temperature(day.low_c, units), show_temperature(day.high_c, units)
        said.append(f"expected {at_words(day.date)}: {low} to {high}{humidity}")
    said += [
        f"no reading {short_stretch(g.start, g.end, zone, now)}"
        f" ({show_duration(g.end - g.start)}): filled from the usual day"
        for g in found.gaps
    ]
    said += [f"left out: {line_words(line, zone, now)}; u takes it back" for line in found.left[:LEFT_SHOWN]]
    how = "as read in the last two weeks" if found.sheet.lately else "as typed in"
    said.append(f"usual day {_usual_words(found.usual, units)}, {how}")
    room = found.sheet.place.rack_pieces
    said.append("room for any number of pieces" if room is None else f"room for {counted(room, 'piece')}")
    here = found.sheet.batches
    said.append(f"batches here: {', '.join(here)}" if here else "no open batch here")
    return said


def _hardening_words(found: Weather) -> str:
    """What hardens all the while."""
    if not found.stills:
        return "no finish is hardening on an open batch here"
    steady = [f"{s.finish.title} on {', '.join(s.codes)}" for s in found.stills if not s.stretches]
    if not steady:
        return "nothing here hardens all through the two days ahead"
    return f"no standing still in the two days ahead: {'; '.join(steady)}"


def _usual_words(usual: UsualDay | None, units: str) -> str:
    if usual is None:
        return "not known"
    damp = f"{usual.humidity_at_low:.0f} to {usual.humidity_at_high:.0f} % RH"
    return f"{show_temperature(usual.low_c, units)} to {show_temperature(usual.high_c, units)}, {damp}"


def stretch_words(start: float, span: float, zone: str) -> str:
    """The stretch of time that is shown."""
    first, last = at_zone(start, zone), at_zone(start + span, zone)
    return f"{first.format('D MMM HH:mm')} to {last.format('D MMM HH:mm')}"
