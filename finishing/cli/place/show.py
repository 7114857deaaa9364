"""`finishing place list` and `show`."""

from __future__ import annotations

import click

from finishing.cli import options
from finishing.cli.context import open_shop
from finishing.cli.text import number, say, say_json, table
from finishing.clock import now_hour
from finishing.cure.outlook import UsualDay
from finishing.shop.places import PlaceSheet, sheet
from finishing.shop.settings import Settings
from finishing.shop.sheets import place_view
from finishing.shop.words import short_time
from finishing.units import counted, show_temperature, spoken


@click.command("list")
@options.as_json
def list_places(as_json: bool) -> None:
    """Every place, and the air there now."""
    now = now_hour()
    with open_shop(now) as shop:
        settings = shop.settings
        found = [sheet(shop, place.name, now) for place in shop.places()]
    if as_json:
        say_json([place_view(one, settings.zone) for one in found])
        return
    if not found:
        say("No place yet. Add one: finishing place add --help")
        return
    rows = [(one.place.name, _air_words(one, settings), _rack_words(one), _last_words(one, settings, now))
            for one in found]  # fmt: skip
    table(rows, ("place", "air now", "room for", "last reading"))


@click.command()
@click.argument("name")
@options.as_json
def show(name: str, as_json: bool) -> None:
    """Place NAME: last reading, usual day, days ahead, and the air now with its dew point and wood moisture."""
    now = now_hour()
    with open_shop(now) as shop:
        settings = shop.settings
        found = sheet(shop, name, now)
    if as_json:
        say_json(place_view(found, settings.zone))
        return
    say(found.place.name)
    say(f"  room for       {_rack_words(found)}")
    say(f"  last reading   {_last_words(found, settings, now)}")
    say(f"  usual day      {_day_words(found.typed, settings)}, as entered")
    if found.lately is not None:
        say(f"                 {_day_words(found.lately, settings)}, as read lately: this one holds")
    for day in found.ahead:
        damp = "" if day.humidity_pct is None else f", {number(day.humidity_pct, 0)} % RH"
        low, high = show_temperature(day.low_c, settings.units), show_temperature(day.high_c, settings.units)
        say(f"  {day.date.isoformat()}     {low} to {high}{damp} expected")
    say(f"  air now        {_air_words(found, settings)}")
    dew = found.air.dew_point_c
    say(f"  dew point      {'none: the air is dry' if dew < -273.15 else show_temperature(dew, settings.units)}")
    say(f"  wood goes to   {number(found.air.wood_moisture_pct)} % moisture")
    if found.batches:
        say(f"  batches        {', '.join(found.batches)}")
    for warning in found.air.warnings:
        say(f"! {spoken(warning, settings.units)}")


def _air_words(found: PlaceSheet, settings: Settings) -> str:
    about = "" if found.measured else "about "
    warmth = show_temperature(found.air.temperature_c, settings.units)
    return f"{about}{warmth}, {number(found.air.humidity_pct, 0)} % RH"


def _rack_words(found: PlaceSheet) -> str:
    room = found.place.rack_pieces
    return "any number of pieces" if room is None else counted(room, "piece")


def _last_words(found: PlaceSheet, settings: Settings, now: float) -> str:
    last = found.last
    if last is None:
        return "none"
    damp = "" if last.humidity_pct is None else f", {number(last.humidity_pct, 0)} % RH"
    return f"{short_time(last.at, settings.zone, now)}: {show_temperature(last.temperature_c, settings.units)}{damp}"


def _day_words(usual: UsualDay | None, settings: Settings) -> str:
    if usual is None:
        return "none"
    low, high = show_temperature(usual.low_c, settings.units), show_temperature(usual.high_c, settings.units)
    damp = sorted({f"{usual.humidity_at_low:.0f}", f"{usual.humidity_at_high:.0f}"}, key=float)
    return f"{low} to {high}, {' to '.join(damp)} % RH"
