"""`finishing compare`: the same batch under several schedules, side by side, before it exists."""

from __future__ import annotations

import textwrap
from dataclasses import replace

import click

from finishing.cli import options
from finishing.cli.context import open_shop
from finishing.cli.progress import watched
from finishing.cli.text import say, say_json, table
from finishing.clock import now_hour
from finishing.cure.cautions import HAZARDS
from finishing.cure.terms import Hazard, Release
from finishing.errors import BadInput
from finishing.moments import parse_day
from finishing.shop.forms import parse_piece_size, parse_pieces, parse_woods
from finishing.shop.plan.compare import about, check_wish, compare
from finishing.shop.plan.compare_view import compare_view
from finishing.shop.plan.compare_words import (
    WISHES,
    adds_words,
    asked_words,
    bar,
    latest_words,
    limit_words,
    money_words,
    when_words,
)
from finishing.shop.plan.compared import Column, Comparison, Wanted, Wish
from finishing.shop.shop import Shop
from finishing.units import show_volume, show_work, spoken

WIDTH = 80

FEW, MOST = 4, 8
"""So many schedules are shown in full without being asked; so many rows of more than that, to fit a screen."""


@click.command(name="compare")
@click.argument("schedules", nargs=-1)
@click.option("--batch", "code", help="a batch on the bench, in place of pieces, species and size")
@click.option("--pieces", callback=options.parsed(parse_pieces), help="how many")
@click.option("--species", callback=options.parsed(parse_woods), help='woods: "maple, padauk 20%"')
@click.option("--size", help='one piece: 300x200x18, 12x8x3/4in or "round 100x9"; for amounts of finish')
@click.option("--by", help="when they are wanted: 2026-12-19, or with a time; says how late each may begin")
@click.option("--place", default="", help="where they dry; the place where most batches stand")
@click.option("--wish", default="soonest", show_default=True, callback=options.parsed(check_wish),
              help="what counts most: soonest, hands-on, cheapest, toughest")  # fmt: skip
@click.option("--full", is_flag=True, help="all of them with costs, limits and cautions, however many there are")
@click.option("--alone", is_flag=True, help="as if nothing else were planned")
@options.as_json
def compare_command(
    schedules: tuple[str, ...],
    code: str | None,
    pieces: int | None,
    species: tuple[tuple[str, float], ...] | None,
    size: str | None,
    by: str | None,
    place: str,
    wish: Wish,
    full: bool,
    alone: bool,
    as_json: bool,
) -> None:
    """The same pieces under several SCHEDULES: work, cost, when they are ready, and how late each may begin.

    Without a schedule: all of them. No batch need be on the bench. Of many the best by the wish stand in a short table;
    --full has all of them, with what each costs, must wait for and asks to heed.
    """
    now = now_hour()
    with open_shop(now) as shop:
        settings = shop.settings
        wanted = _batch(shop, code, schedules, wish, now) if code else _described(schedules, pieces, species, wish)
        if size is not None:
            wanted = replace(wanted, size=parse_piece_size(size, settings.units))
        if by is not None:
            wanted = replace(wanted, by=parse_day(by, "--by", settings.zone, now, settings.working_hours().morning))
        wanted = replace(wanted, place=place or wanted.place, busy=not alone)
        if pieces is not None:
            wanted = replace(wanted, pieces=pieces)
        if species is not None:
            wanted = replace(wanted, woods=species)
        with watched("comparing") as heard:
            found = compare(shop, wanted, now, heard)
        if as_json:
            say_json(compare_view(found))
        else:
            _print(found, settings.units, full=full)


def _batch(shop: Shop, code: str, schedules: tuple[str, ...], wish: Wish, now: float) -> Wanted:
    """What is asked about a batch; of its own schedule too, where some are named."""
    wanted = about(shop, code, now, wish=wish)
    own = shop.standing(wanted.instead, now).row.schedule
    return replace(wanted, schedules=tuple(dict.fromkeys((*schedules, own))) if schedules else ())


def _described(
    schedules: tuple[str, ...], pieces: int | None, species: tuple[tuple[str, float], ...] | None, wish: Wish
) -> Wanted:
    if pieces is None:
        raise BadInput("--pieces", None, "how many there are, or --batch with the code of one on the bench")
    if species is None:
        raise BadInput("--species", None, 'their woods, such as "maple, padauk 20%"')
    return Wanted(schedules, pieces, species, wish=wish)


def _print(found: Comparison, units: str, *, full: bool) -> None:
    _wrap(asked_words(found, units))
    on_time = found.wanted.by is not None and any(column.makes_it is False for column in found.columns)
    say(f"{WISHES[found.wanted.wish.value]} first{', those that make the date before the others' if on_time else ''}")
    if full or len(found.columns) <= FEW:
        _print_all(found, units)
    else:
        _print_best(found)


def _print_best(found: Comparison) -> None:
    """So much as a screen holds: the best by the wish, what the very best must wait for, and where the rest is said."""
    best, dated = found.columns[:MOST], found.wanted.by is not None
    say()
    rows = [
        (
            column.schedule,
            when_words(column.released[Release.PACK], found),
            when_words(column.released[Release.USE], found),
            *((latest_words(column, found),) if dated else ()),
            adds_words(column, found),
        )
        for column in best
    ]
    table(rows, ("SCHEDULE", "pack from", "use from", *(("begin by",) if dated else ()), "adds to a piece"))
    say()
    _wrap(f"{best[0].schedule}: {limit_words(best[0])}", "", "  ")
    heed = dict.fromkeys(
        c.code.replace("_", " ") for column in best for c in column.cautions if c.urgent or c is HAZARDS[Hazard.SPRAY]
    )
    if heed:
        _wrap(f"! to heed before you choose: {', '.join(heed)}", "", "  ")
    for note in found.notes:
        if note.startswith("+"):
            _wrap(note, "", "  ")
    rest = found.columns[MOST:]
    more = f"{len(rest)} more" if rest else "all of it"
    late = sum(column.makes_it is False for column in rest)
    too_late = f", {late} of them too late" if late else ""
    _wrap(f"--full: {more}{too_late}; costs, protection, upkeep, limits and cautions of each. Or name a few.")


def _print_all(found: Comparison, units: str) -> None:
    say()
    rows = [_times(n, column, found) for n, column in enumerate(found.columns, 1)]
    latest = "begin by" if found.wanted.by is not None else ""
    table(rows, ("", "SCHEDULE", "hands", "sess.", "pack from", "use from", latest))
    say()
    rows = [_costs(n, column, found, units) for n, column in enumerate(found.columns, 1)]
    table(rows, ("", "", "finish", "costs", "protects", "upkeep", "adds to a piece"))
    say()
    for n, column in enumerate(found.columns, 1):
        _wrap(f"{n}  {limit_words(column)}", "", "   ")
    said: dict[str, list[str]] = {}
    for n, column in enumerate(found.columns, 1):
        for caution in column.cautions:
            said.setdefault(spoken(caution.text, units), []).append(str(n))
    if said:
        say()
    for text, numbers in said.items():
        which = "" if len(numbers) == len(found.columns) else f" ({', '.join(numbers)})"
        _wrap(f"! {text}{which}", "", "  ")
    for note in found.notes:
        _wrap(f"  {note}", "", "  ")


def _times(n: int, column: Column, found: Comparison) -> list[str]:
    return [
        str(n),
        column.schedule,
        show_work(column.minutes),
        str(column.sessions),
        when_words(column.released[Release.PACK], found),
        when_words(column.released[Release.USE], found),
        latest_words(column, found),
    ]


def _costs(n: int, column: Column, found: Comparison, units: str) -> list[str]:
    used = show_volume(sum(column.used_ml.values()), units) if column.used_ml else "-"
    return [
        str(n),
        column.schedule,
        used,
        "-" if column.cost is None else money_words(column.cost, found),
        f"{bar(column.protection, 5)} {column.protection}",
        f"{bar(column.upkeep, 5)} {column.upkeep}",
        adds_words(column, found),
    ]


def _wrap(text: str, indent: str = "", after: str = "") -> None:
    for line in textwrap.wrap(text, WIDTH, initial_indent=indent, subsequent_indent=after):
        say(line)
