"""`finishing record note`."""

from __future__ import annotations

import click

from finishing.cli import options
from finishing.cli.record.after import put
from finishing.shop.notes import add_note


@click.command()
@click.argument("code")
@click.argument("words", nargs=-1, required=True)
@options.as_json
def note(code: str, words: tuple[str, ...], as_json: bool) -> None:
    """Something worth keeping about batch CODE, in WORDS; on a closed batch too."""
    put(code, as_json, lambda shop, now: add_note(shop, code, " ".join(words), now))
