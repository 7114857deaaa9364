"""The terminal UI, or its first screen as text where nobody is at a terminal."""

from __future__ import annotations

import os
import sys

from finishing.cli.context import open_shop
from finishing.cli.due import print_bench
from finishing.clock import now_hour
from finishing.shop.shop import Shop


def home() -> None:
    """Open the shop and show it."""
    with open_shop(now_hour()) as shop:
        show(shop)


def show(shop: Shop) -> None:
    """The screens on a terminal; elsewhere (a pipe, a dumb terminal) what the first says."""
    if not (sys.stdout.isatty() and sys.stdin.isatty()) or os.environ.get("TERM") == "dumb":
        print_bench(shop, now_hour())
        return
    from finishing.screens.app import FinishingApp

    FinishingApp(shop).run()
