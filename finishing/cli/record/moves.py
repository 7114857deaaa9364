"""`finishing record move`, `release`, `void` and `undo`."""

from __future__ import annotations

import click

from finishing.cli import options
from finishing.cli.context import open_shop
from finishing.cli.record.after import at_hour, put, put_in
from finishing.clock import now_hour
from finishing.cure.terms import Release
from finishing.shop import record
from finishing.shop.drafts import ReleaseDraft


@click.command()
@click.argument("code")
@click.argument("place")
@options.at
@options.as_json
def move(code: str, place: str, at: str | None, as_json: bool) -> None:
    """Batch CODE went to PLACE; the hardening it has done goes along."""
    now = now_hour()
    with open_shop(now) as shop:
        hour = at_hour(shop, at, now)
        put_in(shop, now, code, as_json, lambda s, n: record.move(s, code, place, n, hour))


@click.command()
@click.argument("code")
@click.argument("to", metavar="handle|pack|use", callback=options.one_of(Release))
@options.at
@options.as_json
def release(code: str, to: Release, at: str | None, as_json: bool) -> None:
    """You release batch CODE: to be handled, packed or used."""
    now = now_hour()
    with open_shop(now) as shop:
        draft = ReleaseDraft(code, to, at_hour(shop, at, now), at or "")
        put_in(shop, now, code, as_json, lambda s, n: record.release(s, draft, n))


@click.command()
@click.argument("code")
@click.argument("number", type=options.NUMBER)
@options.as_json
def void(code: str, number: int, as_json: bool) -> None:
    """An entry of batch CODE was wrong: void it by its NUMBER (finishing batch show lists them). Both stay."""
    put(code, as_json, lambda shop, now: record.void(shop, code, number, now))


@click.command()
@click.argument("code")
@options.as_json
def undo(code: str, as_json: bool) -> None:
    """Void the newest entry of batch CODE that holds."""
    put(code, as_json, lambda shop, now: record.undo(shop, code, now))
