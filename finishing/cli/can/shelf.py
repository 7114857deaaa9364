"""`finishing can add`, `list`, `show` and `empty`."""

from __future__ import annotations

import datetime as dt

import click

from finishing.cli import options
from finishing.cli.context import open_shop
from finishing.cli.text import say, say_json, table
from finishing.clock import at_zone, now_hour
from finishing.errors import BadInput
from finishing.moments import day_back, parse_when
from finishing.shop import cans
from finishing.shop.drafts import CanDraft
from finishing.shop.forms import parse_price
from finishing.shop.settings import Settings
from finishing.shop.sheets import can_row_view, can_view
from finishing.shop.views import View
from finishing.shop.words import short_time
from finishing.units import counted, parse_volume, show_volume


@click.command()
@click.argument("finish")
@click.option("--volume", required=True, help="what a full can holds: 950mL, 1L, 32floz")
@click.option("--lot", default="", help="the maker's lot number on the can")
@click.option("--price", help="of the whole can")
@click.option("--opened", is_flag=True, help="it was opened today")
@click.option("--opened-on", metavar="DAY", help='it was opened on another: yesterday, "21 Nov", 2026-11-21')
@click.option("--keeps", type=options.Whole(1, 36_500), help="days it keeps once opened")
@options.as_json
def add(
    finish: str,
    volume: str,
    lot: str,
    price: str | None,
    opened: bool,
    opened_on: str | None,
    keeps: int | None,
    as_json: bool,
) -> None:
    """Put a can of FINISH on the shelf. Coats name it by its number, so that lots can be traced both ways.

    The first coat from a can opens it, if it was not said to be open before.
    """
    now = now_hour()
    with open_shop(now) as shop:
        unit = "floz" if shop.settings.units == "imperial" else "ml"
        paid = parse_price(price or "", shop.settings.currency, "--price")
        held, day = parse_volume(volume, "--volume", unit=unit), _day(opened_on, shop.settings.zone, now)
        draft = CanDraft(finish, held, lot.strip(), paid, opened, keeps, day)
        made = cans.shelve(shop, draft, now)
        found = cans.sheet(shop, made)
        if as_json:
            say_json(can_view(found, shop.settings.zone))
            return
        left = show_volume(found.left_ml, shop.settings.units)
        say(f"can {made}: {shop.library.finish(found.row.can.finish).title}, {left}")


def _day(text: str | None, zone: str, now: float) -> dt.date | None:
    """A day that has come, typed alone or with a time."""
    if text is None:
        return None
    day = day_back(text, zone, now)
    day = at_zone(parse_when(text, "--opened-on", zone, now), zone).date() if day is None else day
    if day > at_zone(now, zone).date():
        raise BadInput("--opened-on", text, "a day that has come")
    return day


@click.command("list")
@options.as_json
def list_cans(as_json: bool) -> None:
    """The cans on the shelf, and what is left in each as far as amounts were recorded."""
    with open_shop(now_hour()) as shop:
        settings, shelf = shop.settings, cans.shelf(shop)
    if as_json:
        say_json([can_row_view(row, left, settings.zone) for row, left in shelf])
        return
    if not shelf:
        say("No can on the shelf. Add one: finishing can add --help")
        return
    rows = [_cells(can_row_view(row, left, settings.zone), settings) for row, left in shelf]
    table(rows, ("can", "finish", "lot", "left", "of", "price", "opened"))


def _cells(can: View, settings: Settings) -> list[str]:
    return [
        str(can["can"]),
        can["finish"],
        can["lot"] or "",
        show_volume(can["left_ml"], settings.units),
        show_volume(can["volume_ml"], settings.units),
        "" if can["price"] is None else f"{settings.currency}{can['price']:.2f}",
        can["opened_on"] or "no",
    ]


@click.command()
@click.argument("number", type=options.NUMBER)
@options.as_json
def show(number: int, as_json: bool) -> None:
    """Can NUMBER, and which coats of which batches came from it."""
    now = now_hour()
    with open_shop(now) as shop:
        settings, found = shop.settings, cans.sheet(shop, number)
    if as_json:
        say_json(can_view(found, settings.zone))
        return
    can = found.row.can
    say(f"can {number}: {can.finish}{f', lot {can.lot}' if can.lot else ''}")
    say(f"  {show_volume(found.left_ml, settings.units)} left of {show_volume(can.volume_ml, settings.units)}")
    if can.price is not None:
        say(f"  cost {settings.currency}{can.price:.2f}")
    if can.opened_on is not None:
        keeps = "" if can.use_within_days is None else f", keeps {counted(can.use_within_days, 'day')}"
        say(f"  opened {can.opened_on.isoformat()}{keeps}")
    if found.row.emptied_at is not None:
        say(f"  emptied {short_time(found.row.emptied_at, settings.zone, now)}")
    say()
    rows = [
        (use.code, str(use.number), short_time(use.at, settings.zone, now), _amount(use.amount_ml, settings))
        for use in found.uses
    ]
    if rows:
        table(rows, ("batch", "entry", "on", "amount"))
    else:
        say("no coat came from it")


def _amount(amount_ml: float | None, settings: Settings) -> str:
    return "not said" if amount_ml is None else show_volume(amount_ml, settings.units)


@click.command()
@click.argument("number", type=options.NUMBER)
@options.as_json
def empty(number: int, as_json: bool) -> None:
    """Can NUMBER is empty and leaves the shelf; what came from it stays on record."""
    now = now_hour()
    with open_shop(now) as shop:
        said = cans.empty_can(shop, number, now)
        if as_json:
            say_json(can_view(cans.sheet(shop, number), shop.settings.zone))
        else:
            say(said)
