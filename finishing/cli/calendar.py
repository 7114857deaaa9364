"""`finishing calendar`."""

from __future__ import annotations

from pathlib import Path

import click

from finishing.cli import options
from finishing.cli.context import open_shop
from finishing.cli.text import say, say_json
from finishing.clock import now_hour
from finishing.shop.calendar import export_calendar, samples


@click.command()
@click.argument("file", type=options.FILE)
@click.option("--sample", "keep", metavar="CODE", multiple=True, help="you keep a piece of this batch, to be re-oiled")
@click.option("--no-sample", "drop", metavar="CODE", multiple=True, help="you keep none of this batch any more")
@options.as_json
def calendar(file: Path, keep: tuple[str, ...], drop: tuple[str, ...], as_json: bool) -> None:
    """Write what is to come to FILE, for any calendar program (RFC 5545, .ics).

    Windows that open and shut, wipe-offs of the plan you keep, releases, and the re-oiling of the samples you keep.
    Written again, a calendar program that takes the file in moves what moved and strikes out what is off.
    """
    now = now_hour()
    with open_shop(now) as shop:
        made, own = export_calendar(shop, file, now, keep=keep, drop=drop), samples(shop)
    if as_json:
        counts = {"new": made.new, "changed": made.changed, "cancelled": made.cancelled, "unchanged": made.unchanged}
        say_json({"file": str(file), **counts, "samples": list(own), "notes": list(made.notes)})
        return
    say(f"{file}: {made.new} new, {made.changed} changed, {made.cancelled} cancelled, {made.unchanged} as they were")
    for note in made.notes:
        say(f"  {note}")
