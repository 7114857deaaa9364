"""`finishing batch change`."""

from __future__ import annotations

import click

from finishing.cli import options
from finishing.cli.context import open_shop
from finishing.cli.text import say, say_json
from finishing.clock import now_hour
from finishing.errors import BadInput
from finishing.moments import parse_day
from finishing.shop.batches import change_batch
from finishing.shop.drafts import BatchChange
from finishing.shop.forms import parse_priority
from finishing.shop.sheets import batch_view

NEVER = "none"


@click.command()
@click.argument("code")
@click.option("--wanted", "--by", help="when it must be ready: 2026-12-19, or with a time; none for no date")
@click.option("--priority", callback=options.parsed(parse_priority),
              help="how much more than usual a day late counts when planning: 0 to 9")  # fmt: skip
@options.as_json
def change(code: str, wanted: str | None, priority: int | None, as_json: bool) -> None:
    """Change when a batch is wanted, and how much each day late counts when the shop is planned."""
    now = now_hour()
    if wanted is None and priority is None:
        raise BadInput("change", None, "--wanted or --priority")
    with open_shop(now) as shop:
        never = wanted is not None and wanted.strip().lower() == NEVER
        zone, morning = shop.settings.zone, shop.settings.working_hours().morning
        by = None if wanted is None or never else parse_day(wanted, "--wanted", zone, now, morning)
        said = change_batch(shop, code.strip(), BatchChange(wanted is not None, by, priority), now)
        if as_json:
            standing = shop.standing(code.strip(), now)
            say_json(batch_view(standing, shop.reasons(standing.row.code, now), now, shop.settings.zone))
        else:
            say(said)
