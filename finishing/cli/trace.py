"""`finishing trace` and `finishing find`."""

from __future__ import annotations

import click

from finishing.cli import options
from finishing.cli.context import open_shop
from finishing.cli.text import cut, say, say_json, table
from finishing.clock import now_hour
from finishing.errors import BadInput
from finishing.shop.find import MOST, SHORTEST, Hit, capped, find, kind_words
from finishing.shop.trace import Recall, trace
from finishing.shop.trace_views import batch_traced_view, recall_view
from finishing.shop.trace_words import trace_lines
from finishing.shop.views import when
from finishing.shop.words import short_time


@click.command("trace")
@click.argument("word", metavar="LOT|CAN|BATCH")
@click.option("--lot", "kind", flag_value="lot", help="it is a lot")
@click.option("--can", "kind", flag_value="can", help="it is a can's number")
@click.option("--batch", "kind", flag_value="batch", help="it is a batch's code")
@options.as_json
def trace_command(word: str, kind: str | None, as_json: bool) -> None:
    """Trace both ways.

    A lot or a can leads to every batch that got it, when, and where that batch is now. A batch leads to its finishes,
    cans and lots, dates, the air they went on and dried in, and who did it.
    """
    now = now_hour()
    with open_shop(now) as shop:
        settings, found = shop.settings, trace(shop, word, now, kind)
    if as_json:
        zone = settings.zone
        say_json(recall_view(found, zone) if isinstance(found, Recall) else batch_traced_view(found, zone))
        return
    for line in trace_lines(found, settings, now):
        say(line)


@click.command("find")
@click.argument("words", nargs=-1, required=True)
@options.as_json
def find_command(words: tuple[str, ...], as_json: bool) -> None:
    """Find any batch by a few letters of it, its woods, place, schedule or finish; a can; a note; or what was done on a
    day, such as 2026-11-25, "24 nov" or yesterday."""
    now, text = now_hour(), " ".join(words)
    if len(text.strip()) < SHORTEST:
        raise BadInput("words", text, f"at least {SHORTEST} letters, or a day such as 24 nov or 2026-11-25")
    with open_shop(now) as shop:
        zone, hits = shop.settings.zone, find(shop, text, now)
    if as_json:
        keys = ("kind", "also", "code", "words", "at", "can")
        rows = [(h.kind, sorted(set(h.also)), h.code or None, h.words, when(h.at, zone), h.can) for h in hits]
        say_json([dict(zip(keys, row, strict=True)) for row in rows])
        return
    if not hits:
        say("nothing found")
        return
    table([_cells(hit, zone, now) for hit in hits], ("FOUND", "", "", ""))
    if capped(hits):
        say(f"no more than {MOST} of a kind are shown; more letters narrow it down")


def _cells(hit: Hit, zone: str, now: float) -> list[str]:
    at = "" if hit.at is None else short_time(hit.at, zone, now)
    return [kind_words(hit), hit.code, cut(hit.words, 200), at]
