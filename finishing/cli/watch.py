"""`finishing due --watch`: the bench printed anew whenever it changes, with word of what came up."""

from __future__ import annotations

import time
from collections.abc import Callable

import click

from finishing.cli import desktop
from finishing.cli.due import print_bench
from finishing.cli.text import complain, say
from finishing.clock import Clock, at_zone, now_hour
from finishing.exchange.plain import plain
from finishing.shop.bench import Group
from finishing.shop.reminders import news, standing_of
from finishing.shop.shop import Shop

EVERY_SECONDS = 1.0
"""Between looks at whether another bench recorded something."""

Wait = Callable[[float], object]


def watch(shop: Shop, *, notify: bool, clock: Clock = now_hour, wait: Wait = time.sleep) -> None:
    """Print the bench, then again whenever its groups or its work change, until stopped.

    notify: also on the desktop. Without a connection it says so once, and goes on when it is back.
    """
    shop.listen()
    if shop.read_only:
        complain(shop.read_only)
    before: dict[str, tuple[Group, str]] | None = None
    lost = False
    while True:
        now = clock()
        bench = shop.bench(now)
        if (shop.lost is not None) != lost:
            lost = shop.lost is not None
            words = (
                "the connection is back" if shop.lost is None else f"{shop.lost.said}; what stands above is as it was"
            )
            click.echo(f"{at_zone(now, bench.zone).format('HH:mm')} {plain(words)}", err=True)
        standing = standing_of(bench)
        if standing != before:
            say()
            print_bench(shop, now)
            for reminder in [] if before is None else news(before, bench):
                _tell(shop, reminder.code, reminder.words, notify)
            before = standing
        wait(EVERY_SECONDS)


def _tell(shop: Shop, code: str, words: str, notify: bool) -> None:
    bell = "\a" if shop.settings.bell else ""
    click.echo(f"{bell}> {plain(code)}: {plain(words)}")
    if notify:
        desktop.notify(f"finishing: {code}", words)
