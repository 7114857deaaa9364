"""Typing in what a day will be like, a new place, or a place's usual day. They save nothing themselves."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.widgets import Input, Static

from finishing.clock import at_zone
from finishing.cure.outlook import DayAhead, UsualDay
from finishing.errors import BadInput
from finishing.screens.pages.card import Card, field
from finishing.shop.forms import parse_pieces
from finishing.shop.weather import Weather, at_words, expected, night_of
from finishing.units import parse_humidity, parse_temperature, show_temperature


def degrees(text: str, label: str, units: str) -> float:
    """°C to a hundredth from a field, in the maker's units where none is written."""
    return round(parse_temperature(text, label, unit="F" if units == "imperial" else "C"), 2)


def unit_words(units: str) -> str:
    """The unit a bare number is taken in."""
    return "°F" if units == "imperial" else "°C"


class DayCard(Card[DayAhead]):
    """What is expected of a day: by default of the coming night and the afternoon after it."""

    DONE_WORDS = "Expect this"

    def __init__(self, found: Weather, zone: str, units: str) -> None:
        super().__init__()
        self.found, self.zone, self.units = found, zone, units
        self.night = night_of(found.now, zone)

    def title_words(self) -> str:
        """Whose air."""
        return f"What to expect at {self.found.sheet.place.name}"

    def lines(self) -> ComposeResult:
        """Low first, so that a number and enter will do."""
        unit = unit_words(self.units)
        yield from field(f"low near dawn, {unit}", "low")
        yield from field(f"high in the afternoon, {unit}", "high")
        yield from field("humidity, % RH (may stay empty)", "damp", "as usual")
        yield from field("of the day", "date", self.night.isoformat(), self.night.isoformat())
        yield Static("", id="meant", classes="label", markup=False)

    @on(Input.Changed, "#date")
    def say_meant(self) -> None:
        """Say which night is meant, and what is expected so far."""
        try:
            date = self._date()
        except BadInput:
            self.query_one("#meant", Static).update("")
            return
        held = expected(self.found, date)
        for id, value in () if held is None else (("low", held.low_c), ("high", held.high_c)):
            so_far = show_temperature(value, self.units)
            self.query_one(f"#{id}", Input).placeholder = f"{so_far} so far; empty keeps it"
        before = at_words(date - dt.timedelta(days=1))
        words = f"the night from {before} to {at_words(date)}, and the afternoon of {at_words(date)}"
        self.query_one("#meant", Static).update(Text(words))

    def _date(self) -> dt.date:
        text = self.text("date")
        try:
            date = dt.date.fromisoformat(text)
        except ValueError:
            raise BadInput("day", text, "a date such as 2026-03-14") from None
        if date < at_zone(self.found.now, self.zone).date():
            raise BadInput("day", text, "today or a day ahead")
        return date

    def made(self) -> DayAhead:
        """The day, what was left empty as expected so far."""
        date = self._date()
        held = expected(self.found, date)
        low, high, damp = self.text("low"), self.text("high"), self.text("damp")
        if not (low or high or damp):
            raise BadInput("low", low, "a temperature, or a high, or a humidity")
        if held is None and not (low and high):
            raise BadInput("high" if low else "low", "", "a temperature: nothing is expected there so far")
        return DayAhead(
            date,
            degrees(low, "low", self.units) if low or held is None else held.low_c,
            degrees(high, "high", self.units) if high or held is None else held.high_c,
            parse_humidity(damp) if damp else None,
        )


@dataclass(frozen=True, slots=True)
class PlaceDraft:
    """A place as typed. rack_pieces: None for no limit."""

    name: str
    usual: UsualDay
    rack_pieces: int | None = None


class PlaceCard(Card[PlaceDraft]):
    """A new place; or, for one that is there, its usual day."""

    def __init__(self, units: str, found: Weather | None = None) -> None:
        super().__init__()
        self.units, self.found = units, found

    def title_words(self) -> str:
        """Whose day."""
        return f"The usual day at {self.found.sheet.place.name}" if self.found else "A new place where pieces dry"

    def lines(self) -> ComposeResult:
        """Name, usual day, room."""
        unit = unit_words(self.units)
        typed = None if self.found is None else self.found.sheet.typed
        if self.found is None:
            yield from field("name", "name", "such as bench room, loft, warm cabinet")
        if self.found is not None and self.found.sheet.lately is not None:
            yield Static("The readings of the last two weeks hold before this one.", classes="label", markup=False)
        low, high = ("", "") if typed is None else (_bare(v, self.units) for v in (typed.low_c, typed.high_c))
        damp = ("", "") if typed is None else (f"{typed.humidity_at_low:.0f}", f"{typed.humidity_at_high:.0f}")
        cold, warm = ("50", "64") if unit == "°F" else ("10", "18")
        yield from field(f"usual low near dawn, {unit}", "low", f"such as {cold}", low)
        yield from field(f"usual high in the afternoon, {unit}", "high", f"such as {warm}", high)
        yield from field("usual humidity near dawn, % RH", "damp", "50, where nobody knows", damp[0])
        yield from field("and in the afternoon, % RH", "dry", "the same", damp[1])
        if self.found is None:
            yield from field("room for so many pieces (may stay empty)", "rack", "no limit")

    def made(self) -> PlaceDraft:
        """The place."""
        name = self.text("name") if self.found is None else self.found.sheet.place.name
        if not name.strip():
            raise BadInput("name", name, "a name")
        low, high = (degrees(self.text(id), id, self.units) for id in ("low", "high"))
        damp = parse_humidity(self.text("damp") or "50", "humidity near dawn")
        dry = parse_humidity(self.text("dry") or f"{damp:g}", "humidity in the afternoon")
        rack = self.text("rack") if self.found is None else ""
        return PlaceDraft(name, UsualDay(low, high, damp, dry), parse_pieces(rack) if rack else None)


def _bare(celsius: float, units: str) -> str:
    """A temperature to a tenth in the maker's units, as typed."""
    return f"{round(celsius * 1.8 + 32.0 if units == 'imperial' else celsius, 1):g}"
