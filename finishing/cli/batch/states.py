"""`finishing batch hold` and `close`."""

from __future__ import annotations

import click

from finishing.cli import options
from finishing.cli.record.after import put
from finishing.shop import record


@click.command()
@click.argument("code")
@click.option("--off", is_flag=True, help="take it off hold")
@options.as_json
def hold(code: str, off: bool, as_json: bool) -> None:
    """Put a batch on hold, or take it off."""
    put(code, as_json, lambda shop, now: record.hold(shop, code, now, on=not off))


@click.command()
@click.argument("code")
@options.note
@options.as_json
def close(code: str, note: str, as_json: bool) -> None:
    """A batch leaves the bench: sent out, kept or given up. Its record stays."""
    put(code, as_json, lambda shop, now: record.close(shop, code, now, note))
