"""`finishing cards`."""

from __future__ import annotations

from pathlib import Path

import click

from finishing.cli import options
from finishing.cli.context import open_shop
from finishing.cli.text import say, say_json
from finishing.clock import now_hour
from finishing.shop.card_words import open_date_words
from finishing.shop.cards import KINDS, SHEETS, SIZES, CardDraft, print_cards
from finishing.units import counted


@click.command()
@click.argument("kind", type=options.OneOf(KINDS))
@click.argument("codes", nargs=-1, required=True, metavar="CODE...")
@click.argument("file", type=options.FILE)
@click.option("--size", type=options.OneOf(SIZES), default="A6", show_default=True, help="of one card")
@click.option("--sheet", type=options.OneOf(SHEETS), help="several on a sheet, with marks to cut along")
@click.option("--copies", type=options.Whole(1, 500), default=1, show_default=True, help="of each card")
@options.as_json
def cards(
    kind: str, codes: tuple[str, ...], file: Path, size: str, sheet: str | None, copies: int, as_json: bool
) -> None:
    """Print cards of batches to FILE, a PDF.

    rack: stands at the batch, with its steps to tick, their windows and cautions. care: goes with a piece to whoever
    gets it. record: everything about a batch on one page.
    """
    now = now_hour()
    with open_shop(now) as shop:
        made = print_cards(shop, CardDraft(kind, codes, size, sheet, copies), file, now)
    if as_json:
        say_json(
            {
                "file": str(file),
                "cards": made.cards,
                "pages": made.pages,
                "unprintable": [f"U+{ord(sign):04X}" for sign in made.unprintable],
                "cut": list(made.cut),
                "open_dates": [{"batch": code, "coats_to_come": coats} for code, coats in made.open_dates],
                "dates": [{"batch": code, "not_before": day.isoformat()} for code, day in made.dates],
            }
        )
        return
    say(f"{file}: {counted(made.cards, 'card')} on {counted(made.pages, 'page')}")
    for code, coats in made.open_dates:
        say(f"  {open_date_words(code, coats)}")
    if made.surer:
        say(f"  {made.surer}")
    if made.unprintable:
        signs = ", ".join(f"{sign} (U+{ord(sign):04X})" for sign in made.unprintable)
        say(f"  no font here has {signs}: printed as their numbers")
    for text in made.cut:
        say(f"  too long for its place, cut: {text[:60]}")
