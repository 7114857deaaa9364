"""`finishing due`: what to do now, next, and what is ready to go out."""

from __future__ import annotations

import click

from finishing.cli.context import open_shop
from finishing.cli.text import columns, say, say_json, table, what_words
from finishing.clock import at_zone, now_hour
from finishing.errors import BadInput
from finishing.moments import parse_day
from finishing.shop.bench import Bench, Group
from finishing.shop.shop import Shop
from finishing.shop.views import bench_view
from finishing.shop.words import short_time
from finishing.units import spoken


@click.command()
@click.option("--at", "at", metavar="WHEN", help="what will be due then, if nothing is recorded until then: saturday, "
              "tonight, tomorrow 18:30, 19 Dec; a day alone means its morning, as for --wanted")  # fmt: skip
@click.option("--json", "as_json", is_flag=True, help="print JSON")
@click.option(
    "--watch", "watching", is_flag=True, help="stay, and say it anew whenever it changes; control and c ends it"
)
@click.option("--notify", is_flag=True, help="with --watch: what comes up also as a notification on the desktop")
def due(at: str | None, as_json: bool, watching: bool, notify: bool) -> None:
    """What to do now, what next, what rests, and what is ready to go out."""
    now = now_hour()
    if (as_json or not watching) and (watching or notify):
        raise BadInput("--watch", "--json" if as_json else "--notify alone", "--watch alone, or with --notify")
    if at is not None and watching:
        raise BadInput("--at", at, "--at without --watch")
    with open_shop(now, stays=watching) as shop:
        then = None if at is None else _then(shop, at, now)
        if watching:
            from finishing.cli.watch import watch

            watch(shop, notify=notify)
        elif as_json:
            say_json(bench_view(shop.bench(now, then)))
        else:
            print_bench(shop, now, then)


def _then(shop: Shop, text: str, now: float) -> float:
    settings = shop.settings
    return parse_day(text, "--at", settings.zone, now, settings.working_hours().morning)


def print_bench(shop: Shop, now: float, then: float | None = None) -> None:
    """The bench as plain text: what the home screen says; or what it will say at an hour ahead."""
    bench = shop.bench(now, then)
    invented = "  (an invented shop)" if shop.invented else ""
    say(f"{at_zone(bench.as_of, bench.zone).format('dddd D MMMM YYYY, HH:mm')}{invented}")
    if bench.ahead:
        say("As it will stand then, in the air expected, if nothing is recorded until then.")
    for line in shop.air_lines(now, then):
        say(f"  {line}")
    if not bench.rows:
        say("No open batch. Add one: finishing batch add --help")
    cells = {row.code: (row.code, what_words(row.what, row.pieces), row.do, row.stands) for row in bench.rows}
    widths = columns(list(cells.values()))
    for group in Group:
        if rows := bench.group(group):
            say()
            say(f"  {(group.heading_then if bench.ahead else group.heading).upper()}")
            table([cells[row.code] for row in rows], indent="  ", widths=widths)
    _print_wanted(bench, widths[:2])
    _print_cautions(bench, shop.settings.units)


def _print_wanted(bench: Bench, widths: list[int]) -> None:
    """What is wanted by a date, and whether it makes it."""
    if not bench.wanted:
        return
    zone, hour = bench.zone, bench.as_of
    cells = [
        (
            row.code,
            what_words(row.what, row.pieces),
            short_time(promise.wanted, zone, hour),
            promise.ready_words(zone, hour),
            promise.stands(),
        )
        for row, promise in bench.wanted
    ]
    say()
    say("  WANTED, with each step at its earliest in your hours")
    table(cells, indent="  ", widths=[*widths, *columns(cells)[2:]])


def _print_cautions(bench: Bench, units: str) -> None:
    """What is urgent, each once, with the batches it is about."""
    about: dict[str, list[str]] = {}
    for row in bench.rows:
        for caution in row.progress.cautions:
            if caution.urgent:
                about.setdefault(caution.text, []).append(row.code)
    if about:
        say()
    for text, codes in about.items():
        say(f"! {', '.join(codes)}: {spoken(text, units)}")
