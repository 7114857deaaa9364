"""`finishing batch list`."""

from __future__ import annotations

from typing import Any

import click

from finishing.cli import options
from finishing.cli.context import open_shop
from finishing.cli.text import say, say_json, table, what_words
from finishing.clock import now_hour
from finishing.shop.batches import closed_batches
from finishing.shop.sheets import closed_view, open_view
from finishing.shop.words import short_time


@click.command("list")
@click.option("--all", "everything", is_flag=True, help="closed batches too")
@options.as_json
def list_batches(everything: bool, as_json: bool) -> None:
    """The batches on the bench, nearest first."""
    now = now_hour()
    with open_shop(now) as shop:
        bench = shop.bench(now)
        zone = bench.zone
        rows = [open_view(row, zone) for row in bench.rows]
        closed = closed_batches(shop, now) if everything else ()
        if as_json:
            say_json(rows + [closed_view(row, zone) for row in closed])
            return
        cells = [_cells(view) for view in rows]
        for row in closed:
            assert row.closed_at is not None
            cells.append(
                [row.code, what_words(row.what, row.pieces), "", f"closed {short_time(row.closed_at, zone, now)}"]
            )
    if not cells:
        say("No open batch. Add one: finishing batch add --help")
        return
    table(cells, ("code", "what", "do", "stands"))


def _cells(view: dict[str, Any]) -> list[str]:
    return [view["code"], what_words(view["what"], view["pieces"]), view["do"], view["stands"]]
