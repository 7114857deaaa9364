"""`finishing backup`, `restore` and `check`."""

from __future__ import annotations

from pathlib import Path

import click

from finishing.cli import options
from finishing.cli.context import open_shop
from finishing.cli.text import say, say_json, table
from finishing.clock import at_zone, now_hour
from finishing.errors import BadInput
from finishing.moments import machine_zone
from finishing.shop import keeping
from finishing.shop.keeping import Soundness
from finishing.units import counted

UNSOUND = 1
"""Exit code of a check that found something wrong."""


@click.command()
@click.argument("file", required=False, type=options.FILE)
@click.option("--list", "listing", is_flag=True, help="only list the backups there are")
@options.as_json
def backup(file: Path | None, listing: bool, as_json: bool) -> None:
    """Copy the whole record to a new FILE, or among your backups without one.

    It is one file, checked, and private to you; others may go on working meanwhile. The program makes one by itself on
    the first start of each day, and one before it changes the layout of the record. Of the daily ones it keeps the
    newest of 7 days, 5 weeks and 12 months; it removes no other. Your own finishes, schedules and woods are in it.
    """
    now = now_hour()
    if listing:
        if file is not None:
            raise BadInput("file", str(file), "no file beside --list")
        _list(as_json)
        return
    with open_shop(now) as shop:
        made = keeping.back_up(shop, file, now)
        zone = shop.settings.zone
    if as_json:
        say_json(keeping.kept_view(made, zone))
    else:
        say(f"{made.file}: the whole record, {_size(made.size)}, checked")


def _list(as_json: bool) -> None:
    found, zone = keeping.backups(), machine_zone()
    if as_json:
        say_json([keeping.kept_view(kept, zone) for kept in found])
        return
    if not found:
        say("no backup yet: finishing backup makes one")
        return
    rows = [
        (at_zone(k.made_at, zone).format("D MMM YYYY HH:mm"), _size(k.size), keeping.why_words(k.why), k.file.name)
        for k in found
    ]
    table(rows, ("made", "size", "why", "file"))


@click.command()
@click.argument("file", type=options.FILE)
@options.as_json
def restore(file: Path, as_json: bool) -> None:
    """Put a backup FILE in the place of your record, and your own finishes, schedules and woods as they were in it.

    What it replaces is kept among the backups; own files that have come since stay.

    FILE may be the name of one that finishing backup --list shows. A backup that fails its check is refused, and so is
    any while the program runs elsewhere on the same record.
    """
    done = keeping.restore(file, now_hour())
    if as_json:
        view = keeping.soundness_view(done.found)
        kept = ("layout", "batches", "entries", "readings")
        replaced = None if done.replaced is None else str(done.replaced)
        counts = {key: view[key] for key in kept}
        gone = {"replaced": replaced, "replaced_entries": done.replaced_entries}
        say_json({"file": view["file"], **gone, **counts, "own_files": list(done.own)})
        return
    say(f"restored {done.found.file}: {_counts(done.found)}")
    for path in done.own:
        say(f"  your own {path}, as it was")
    if done.replaced is not None:
        had = "" if done.replaced_entries is None else f" ({counted(done.replaced_entries, 'entry', 'entries')})"
        say(f"  what it replaced is kept: {done.replaced}{had}")


@click.command()
@click.argument("file", required=False, type=options.FILE)
@options.as_json
def check(file: Path | None, as_json: bool) -> None:
    """Check your record, or a backup FILE, and change nothing.

    Its pages and indexes, that every row points at something that is there, that its tables and the triggers which let
    the record only grow are as this program makes them, and that each entry can be read. Exit code 1 if anything is
    wrong.
    """
    found = keeping.check(file)
    if as_json:
        say_json(keeping.soundness_view(found))
    elif found.sound:
        say(f"{found.file}: sound (layout {found.revision}); {_counts(found)}")
    else:
        say(f"{found.file}: not sound")
        for line in found.problems:
            say(f"! {line}")
        if found.more:
            say(f"! and {found.more:,} more")
        if file is None:
            say("finishing backup --list shows your backups; finishing restore puts one back and keeps this file")
    if not found.sound:
        raise click.exceptions.Exit(UNSOUND)


def _counts(found: Soundness) -> str:
    batches, entries = counted(found.batches, "batch", "batches"), counted(found.entries, "entry", "entries")
    return f"{batches}, {entries}, {counted(found.readings, 'reading')}"


def _size(size: int) -> str:
    return f"{size / 1e6:,.1f} MB" if size >= 100_000 else f"{size / 1e3:,.0f} kB"
