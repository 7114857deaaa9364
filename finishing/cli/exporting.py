"""`finishing export` and `finishing import`."""

from __future__ import annotations

from pathlib import Path

import click

from finishing.cli import options
from finishing.cli.context import open_shop
from finishing.cli.text import say, say_json
from finishing.clock import now_hour
from finishing.shop.exporting import FORMATS, bring_in, export
from finishing.units import counted


@click.command("export")
@click.argument("target", type=options.FILE, metavar="FOLDER|FILE.json")
@click.option("--format", "form", type=options.OneOf(FORMATS), help="csv, or json where the name ends so")
@options.as_json
def export_command(target: Path, form: str | None, as_json: bool) -> None:
    """Write everything on record, and your own finishes, schedules and woods: a folder of CSV files, or one JSON file.

    Cells that a spreadsheet would take for formulas get an apostrophe before them; `finishing import` takes it off.
    """
    chosen = form or ("json" if target.suffix.lower() == ".json" else "csv")
    now = now_hour()
    with open_shop(now) as shop:
        counts = export(shop, target, chosen, now)
    _say("target", target, counts, as_json)


@click.command("import")
@click.argument("source", type=options.FILE, metavar="FOLDER|FILE.json")
@options.as_json
def import_command(source: Path, as_json: bool) -> None:
    """Put an export into a shop with nothing on record, all of it or nothing, row by row as it was.

    FINISHING_HOME names the folder of the new shop. Your own finishes, schedules and woods come along; one that is
    there already and is other stops the import.
    """
    with open_shop(now_hour()) as shop:
        counts = bring_in(shop, source)
    _say("source", source, counts, as_json)


def _say(key: str, path: Path, counts: dict[str, int], as_json: bool) -> None:
    if as_json:
        say_json({key: str(path), "tables": counts})
        return
    rows = sum(counts.values())
    say(f"{path}: {counted(rows, 'row')} of {len(counts)} tables")
