"""`finishing compare`: the same batch under several schedules, side by side, before it exists."""

from __future__ import annotations

import textwrap

import click

from finishing.cli import options
from finishing.cli.context import open_shop
from finishing.cli.text import say, say_json, table
from finishing.clock import at_zone, now_hour
from finishing.cure.terms import Release
from finishing.moments import parse_wanted
from finishing.shop.forms import parse_piece_size, parse_pieces, parse_woods
from finishing.shop.plan.compare import Column, Comparison, Wanted, Wish, check_wish, compare
from finishing.shop.plan.compare_view import compare_view
from finishing.shop.words import short_time
from finishing.units import show_duration, show_volume

WIDTH = 80


@click.command(name="compare")
@click.argument("schedules", nargs=-1)
@click.option("--pieces", required=True, callback=options.parsed(parse_pieces), help="how many")
@click.option("--species", required=True, callback=options.parsed(parse_woods), help='woods: "maple, padauk 20%"')
@click.option("--size", help='one piece: 300x200x18, 12x8x3/4in or "round 100x9"; for amounts of finish')
@click.option("--by", help="when they are wanted: 2026-12-19, or with a time; says how late each may begin")
@click.option("--place", default="", help="where they dry; the place where most batches stand")
@click.option("--wish", default="soonest", show_default=True, callback=options.parsed(check_wish),
              help="what counts most: soonest, hands-on, cheapest, toughest")  # fmt: skip
@click.option("--alone", is_flag=True, help="as if nothing else were planned")
@options.as_json
def compare_command(
    schedules: tuple[str, ...],
    pieces: int,
    species: tuple[tuple[str, float], ...],
    size: str | None,
    by: str | None,
    place: str,
    wish: Wish,
    alone: bool,
    as_json: bool,
) -> None:
    """The same pieces under several SCHEDULES: work, cost, when they are ready, and how late each may begin.

    Without a schedule: all of them. No batch need be on the bench.
    """
    now = now_hour()
    with open_shop(now) as shop:
        settings = shop.settings
        wanted = Wanted(
            schedules,
            pieces,
            species,
            None if size is None else parse_piece_size(size, settings.units),
            None if by is None else parse_wanted(by, "--by", settings.zone, now),
            place,
            wish,
            busy=not alone,
        )
        found = compare(shop, wanted, now)
        if as_json:
            say_json(compare_view(found))
        else:
            _print(found, settings.units)


def _print(found: Comparison, units: str) -> None:
    wanted = found.wanted
    pieces = f"{wanted.pieces} pieces of {', '.join(found.woods)}"
    _wrap(f"{pieces}, in {found.place}; sure to {round(found.level * 100)} in 100")
    by = "" if wanted.by is None else f"wanted by {_when(wanted.by, found)}; "
    say(f"{by}{wanted.wish.value} first")
    say()
    rows = [_times(n, column, found) for n, column in enumerate(found.columns, 1)]
    latest = "begin by" if wanted.by is not None else ""
    table(rows, ("", "SCHEDULE", "hands", "sess.", "pack from", "use from", latest))
    say()
    rows = [_costs(n, column, found, units) for n, column in enumerate(found.columns, 1)]
    table(rows, ("", "", "finish", "costs", "protects", "upkeep", "adds to a piece"))
    say()
    for n, column in enumerate(found.columns, 1):
        _wrap(f"{n}  {_limits(column)}", "", "   ")
    said: dict[str, list[str]] = {}
    for n, column in enumerate(found.columns, 1):
        for caution in column.cautions:
            said.setdefault(caution.text, []).append(str(n))
    if said:
        say()
    for text, numbers in said.items():
        which = "" if len(numbers) == len(found.columns) else f" ({', '.join(numbers)})"
        _wrap(f"! {text}{which}", "", "  ")
    for note in found.notes:
        _wrap(f"  {note}", "", "  ")


def _times(n: int, column: Column, found: Comparison) -> list[str]:
    latest = ""
    if found.wanted.by is not None:
        latest = "too late" if column.latest is None else _when(column.latest, found)
    return [
        str(n),
        column.schedule,
        show_duration(column.minutes / 60.0),
        str(column.sessions),
        _when(column.released[Release.PACK], found),
        _when(column.released[Release.USE], found),
        latest,
    ]


def _costs(n: int, column: Column, found: Comparison, units: str) -> list[str]:
    used = show_volume(sum(column.used_ml.values()), units) if column.used_ml else "-"
    minutes = f"{column.minutes / found.wanted.pieces:.0f} min"
    money = "" if column.money is None else f", {_money(column.money / found.wanted.pieces, found)}"
    return [
        str(n),
        column.schedule,
        used,
        "-" if column.cost is None else _money(column.cost, found),
        bar(column.protection),
        bar(column.upkeep),
        f"{minutes}{money}",
    ]


def _limits(column: Column) -> str:
    """What must not be done before when, and what the owner does later."""
    dates = [*([column.stopped] if column.stopped else []), *column.limits[:-1]]
    return ". ".join(filter(None, ("; ".join(dates), column.limits[-1])))


def bar(value: int, most: int = 5) -> str:
    """A figure from 1 to 5 as a bar, with the figure."""
    return f"{'■' * value}{'·' * (most - value)} {value}"


def _money(value: float, found: Comparison) -> str:
    return f"{found.currency}{value:.2f}"


def _when(hour: float | None, found: Comparison) -> str:
    if hour is None:
        return "no date"
    days = (at_zone(hour, found.zone).date() - at_zone(found.now, found.zone).date()).days
    if days < 7:
        return short_time(hour, found.zone, found.now)
    return at_zone(hour, found.zone).format("D MMM" if days < 300 else "D MMM YYYY")


def _wrap(text: str, indent: str = "", after: str = "") -> None:
    for line in textwrap.wrap(text, WIDTH, initial_indent=indent, subsequent_indent=after):
        say(line)
