"""`finishing batch split`."""

from __future__ import annotations

import click

from finishing.cli import options
from finishing.cli.context import open_shop
from finishing.cli.record.after import doubted, put_in
from finishing.clock import now_hour
from finishing.cure.terms import Stage
from finishing.shop import split as splitting
from finishing.shop.forms import parse_pieces


@click.command()
@click.argument("code")
@click.argument("pieces")
@click.option("--code", "new_code", default="", metavar="CODE", help="of the new batch; else the old one's with .2, .3")
@click.option("--tacky", callback=options.one_of(Stage), metavar="STAGE", help="found tacky just now, for this stage")
@options.note
@options.as_json
def split(code: str, pieces: str, new_code: str, tacky: Stage | None, note: str, as_json: bool) -> None:
    """So many PIECES of batch CODE become a batch of their own, which takes the history along.

    Undo it as any other entry: the pieces come together again.
    """
    draft = splitting.SplitDraft(code, parse_pieces(pieces), new_code, tacky, note)
    now = now_hour()
    with open_shop(now) as shop:
        put_in(
            shop, now, code, as_json, lambda s, n: splitting.split(s, draft, n),
            asked=None if tacky is None else lambda: doubted(shop, splitting.newest_part(shop, code, now), now),
        )  # fmt: skip
