"""`finishing move-to`."""

from __future__ import annotations

import click

from finishing.cli import options
from finishing.cli.context import open_shop
from finishing.cli.text import say, say_json
from finishing.clock import now_hour
from finishing.shop.moving import move_to
from finishing.units import counted


@click.command("move-to")
@click.argument("url")
@options.as_json
def move(url: str, as_json: bool) -> None:
    """Copy the whole record to an empty database, such as postgresql+psycopg://me@server/shop, and compare every row.

    The other way too: sqlite:////home/me/shop.db. While it runs nobody can record; the record here stays as it is.
    Your own finishes, schedules and woods are files: they go along to another folder's finishing.db; else they stay in
    this bench's folder, and each other bench needs a copy in its own.
    """
    now = now_hour()
    with open_shop(now) as shop:
        moved = move_to(shop, url, now)
    if as_json:
        own = {"own_files": list(moved.own), "own_folder": str(moved.folder)}
        say_json({"from": moved.here, "to": moved.there, "rows": moved.rows, **own})
        return
    total = sum(moved.rows.values())
    say(f"{moved.there}: {counted(total, 'row')}, each compared with the one here and equal")
    if moved.copied:
        say(f"from now on set FINISHING_HOME to {moved.folder}; what is recorded here no longer gets there")
    else:
        say("from now on set FINISHING_DATABASE to it, on every bench; what is recorded here no longer gets there")
    if moved.own:
        names = ", ".join(moved.own)
        where = "went along" if moved.copied else f"stay in {moved.folder}; copy them to each other bench's folder"
        say(f"your own {names} {where}")
