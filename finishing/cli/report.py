"""`finishing report`."""

from __future__ import annotations

import click

from finishing.cli import options
from finishing.cli.context import open_shop
from finishing.cli.text import say, say_json
from finishing.clock import now_hour
from finishing.shop.report import report
from finishing.shop.report_view import report_view
from finishing.shop.report_words import report_lines


@click.command("report")
@click.option("--month", metavar="YYYY-MM", help="such as 2026-11; this month without it")
@options.as_json
def report_command(month: str | None, as_json: bool) -> None:
    """A month of the shop: pieces finished, hours, finish used and its cost by schedule, and promises kept."""
    now = now_hour()
    with open_shop(now) as shop:
        found, settings = report(shop, month, now), shop.settings
    if as_json:
        say_json(report_view(found, settings))
        return
    for line in report_lines(found, settings):
        say(line)
