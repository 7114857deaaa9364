"""`finishing readings import` and `list`."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import click

from finishing.cli import options
from finishing.cli.context import open_shop
from finishing.cli.progress import watched
from finishing.cli.text import number, say, say_json, table
from finishing.clock import SECONDS, at_zone, now_hour
from finishing.exchange.readings import Columns, Understanding, read_log
from finishing.moments import zone_named
from finishing.shop.differing import differing_words, unusual_words
from finishing.shop.left_out_views import moved_view
from finishing.shop.next_steps import moved_words
from finishing.shop.places import UNDO, Imported, import_and_look, last_readings, old_words
from finishing.shop.sheets import reading_view
from finishing.shop.views import View, when
from finishing.units import counted, show_temperature

LAYOUT = (
    click.option("--day-first/--month-first", "day_first", default=None, help="how the file writes its dates"),
    click.option("--zone", help="time zone of the logger's clock, such as Europe/Oslo; the shop's own"),
    click.option("--time-column", default="", help="the column of times: its header or its number; found out"),
    click.option("--temperature-column", default="", help="the same for the temperature"),
    click.option("--humidity-column", default="", help="the same for the humidity"),
    click.option("--temperature-unit", default="", help="C, F or K, where the file does not say"),
)


def layout_options(command: Callable[..., None]) -> Callable[..., None]:
    """How a log is to be read, where the file leaves it open."""
    for option in reversed(LAYOUT):
        command = option(command)
    return command


@click.command("import")
@click.argument("file", type=options.FILE)
@click.option("--place", required=True, help="where it was read")
@click.option("--dry-run", is_flag=True, help="only say what was understood, and add nothing")
@click.option("--again", is_flag=True, help="also readings that were left out before")
@layout_options
@options.as_json
def import_readings(
    file: Path,
    place: str,
    dry_run: bool,
    again: bool,
    day_first: bool | None,
    zone: str | None,
    time_column: str,
    temperature_column: str,
    humidity_column: str,
    temperature_unit: str,
    as_json: bool,
) -> None:
    """Read a logger's CSV or text FILE in, and say how it was read.

    The time, temperature and humidity columns, their units and the order of dates are found out from the file.
    Readings already there stay as they are, so a file read in twice adds nothing. What was left out stays out.
    """
    now = now_hour()
    columns = Columns(time_column, "", temperature_column, humidity_column, temperature_unit)
    with open_shop(now) as shop:
        local, units = shop.settings.zone, shop.settings.units
        shop.place(place)
        clock = local if zone is None else zone_named(zone, "--zone")
        with watched("reading") as heard:
            log = read_log(file, zone=clock, day_first=day_first, columns=columns, progress=heard)
        with watched("adding") as heard:
            done = import_and_look(shop, place, file, log, now, dry=dry_run, again=again, progress=heard)
    if as_json:
        say_json(_import_view(done, log.understanding, local))
        return
    for line in log.understanding.lines():
        say(line)
    verb = "would be added" if dry_run else "added"
    moved = "" if done.moved is None else moved_words(done.moved, local, now)
    say(f"{done.place}: {counted(done.added, 'reading')} {verb}{old_words(done, units)}{moved}")
    if done.unusual is not None:
        say(f"! {unusual_words(done.unusual, units)}")
    if done.differing is not None:
        say(f"! {differing_words(done.differing, units, '' if dry_run else UNDO)}")


def _import_view(done: Imported, found: Understanding, zone: str) -> View:
    return {
        "place": done.place,
        "dry_run": done.dry,
        "readings": done.rows,
        "added": done.added,
        "left_out": done.left_out,
        "moved": moved_view(done.moved or (), zone),
        "differing": None
        if done.differing is None
        else {"readings": done.differing.readings, "most_c": round(done.differing.most_c, 3)},
        "unusual": done.unusual is not None,
        "other_values": None
        if done.others is None
        else {
            "readings": done.others.readings,
            "most_c": round(done.others.most_c, 3),
            "most_pct": round(done.others.most_pct, 3),
        },
        "understood": {
            "file": found.name,
            "encoding": found.encoding,
            "delimiter": found.delimiter,
            "decimal_mark": found.decimal_mark,
            "header_line": found.header_line,
            "columns": [
                {"role": c.role, "number": c.number, "header": c.header, "unit": c.unit or None} for c in found.columns
            ],
            "ignored": list(found.ignored),
            "date_order": found.date_order,
            "date_reason": found.date_reason,
            "zone": found.zone,
            "zone_source": found.zone_source,
            "rows_read": found.rows_read,
            "rows_kept": found.rows_kept,
            "skipped": [{"reason": s.reason, "count": s.count, "lines": list(s.lines)} for s in found.skipped],
            "first": when(found.first / SECONDS, zone),
            "last": when(found.last / SECONDS, zone),
            "interval_seconds": found.interval_seconds,
            "gaps": [{"start": when(g.start / SECONDS, zone), "end": when(g.end / SECONDS, zone)} for g in found.gaps],
            "gap_count": found.gap_count,
            "notes": list(found.notes),
        },
    }


@click.command("list")
@click.option("--place", required=True, help="where they were read")
@click.option("--last", "most", type=options.Whole(1, 1_000_000), default=20, show_default=True, help="how many")
@options.as_json
def list_readings(place: str, most: int, as_json: bool) -> None:
    """The newest readings of a place, oldest first."""
    with open_shop(now_hour()) as shop:
        settings = shop.settings
        found = last_readings(shop, place, most)
    if as_json:
        say_json([reading_view(reading, settings.zone) for reading in found])
        return
    if not found:
        say(f"no reading of {place} yet")
        return
    rows = [
        (
            at_zone(reading.at, settings.zone).format("ddd D MMM YYYY HH:mm"),
            show_temperature(reading.temperature_c, settings.units),
            "" if reading.humidity_pct is None else f"{number(reading.humidity_pct)} % RH",
        )
        for reading in found
    ]
    table(rows, ("at", "temperature", "humidity"))
