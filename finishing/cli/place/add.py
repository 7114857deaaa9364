"""`finishing place add` and `expect`."""

from __future__ import annotations

import datetime as dt

import click

from finishing.cli import options
from finishing.cli.context import open_shop
from finishing.cli.text import say, say_json
from finishing.clock import at_zone, now_hour
from finishing.cure.outlook import DayAhead, UsualDay
from finishing.errors import BadInput
from finishing.shop import places
from finishing.shop.sheets import place_view
from finishing.shop.shop import Shop
from finishing.units import parse_temperature


@click.command()
@click.argument("name")
@click.option("--low", required=True, help="the usual low near dawn: 12, 12C, 54F")
@click.option("--high", required=True, help="the usual high in the afternoon")
@click.option("--humidity", callback=options.humidity, default="50", show_default=True, help="usual humidity, per cent")
@click.option("--rack", type=options.NUMBER, help="how many pieces may dry there at once; no limit")
@options.as_json
def add(name: str, low: str, high: str, humidity: float, rack: int | None, as_json: bool) -> None:
    """A new place where pieces dry, with its usual day.

    The usual day stands in where nothing was read; two weeks of readings replace it.
    """
    now = now_hour()
    with open_shop(now) as shop:
        usual = UsualDay(_warmth(shop, low, "--low"), _warmth(shop, high, "--high"), humidity, humidity)
        said = places.add_place(shop, name, usual, now, rack_pieces=rack)
        _said(shop, name, said, now, as_json)


@click.command()
@click.argument("name")
@click.argument("date")
@click.option("--low", required=True, help="the low near dawn: 12, 12C, 54F")
@click.option("--high", required=True, help="the high in the afternoon")
@click.option("--humidity", callback=options.humidity, help="humidity, per cent; the usual one")
@options.as_json
def expect(name: str, date: str, low: str, high: str, humidity: float | None, as_json: bool) -> None:
    """Say what a day ahead will be like at place NAME; saying it again replaces it.

    DATE is written 2026-03-14, or today, tomorrow, or tonight, whose low falls near tomorrow's dawn.
    """
    now = now_hour()
    with open_shop(now) as shop:
        day = DayAhead(_date(date, shop, now), _warmth(shop, low, "--low"), _warmth(shop, high, "--high"), humidity)
        _said(shop, name, places.expect(shop, name, day, now), now, as_json)


def _warmth(shop: Shop, text: str, field: str) -> float:
    """A temperature, in the maker's units where none is written."""
    return parse_temperature(text, field, unit="F" if shop.settings.units == "imperial" else "C")


def _date(text: str, shop: Shop, now: float) -> dt.date:
    """A date, or one of the two days that are asked about most: tonight's low falls near dawn, and so is tomorrow's."""
    ahead = {"today": 0, "tonight": 1, "tomorrow": 1}.get(text.strip().lower())
    if ahead is not None:
        local = at_zone(now, shop.settings.zone).add(days=ahead)
        return dt.date(local.year, local.month, local.day)
    try:
        return dt.date.fromisoformat(text.strip())
    except ValueError:
        raise BadInput(
            "date", text, "a date such as 2026-03-14, or today, tonight (its low is near dawn), tomorrow"
        ) from None


def _said(shop: Shop, name: str, said: str, now: float, as_json: bool) -> None:
    if as_json:
        say_json(place_view(places.sheet(shop, name, now), shop.settings.zone))
    else:
        say(said)
