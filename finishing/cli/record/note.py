"""`finishing record note`."""

from __future__ import annotations

import click

from finishing.cli import options
from finishing.cli.context import open_shop
from finishing.cli.record.after import at_hour, put_in
from finishing.clock import now_hour
from finishing.shop.notes import add_note


@click.command()
@click.argument("code")
@click.argument("words", nargs=-1, required=True)
@click.option("--at", metavar="TIME", help='when it was so: 18:30, "yesterday 18:30"; now without it')
@options.as_json
def note(code: str, words: tuple[str, ...], at: str | None, as_json: bool) -> None:
    """Something worth keeping about batch CODE, in WORDS; on a closed batch too."""
    now = now_hour()
    with open_shop(now) as shop:
        hour = at_hour(shop, at, now)
        put_in(shop, now, code, as_json, lambda s, n: add_note(s, code, " ".join(words), n, hour))
