"""The terminal UI, or its first screen as text where nobody is at a terminal."""

from __future__ import annotations

import gc
import os
import sys

from finishing.cli.context import open_shop
from finishing.cli.due import print_bench
from finishing.cli.text import complain
from finishing.clock import now_hour
from finishing.shop.shop import Shop


def home() -> None:
    """Open the shop and show it; the invented one where its maker would rather look at that first."""
    with open_shop(now_hour(), stays=True) as shop:
        look_around = show(shop)
    if look_around:
        from finishing.cli.demo import show_demo

        show_demo()


def show(shop: Shop) -> bool:
    """The screens on a terminal; elsewhere (a pipe, a dumb terminal) what the first says.

    Returns whether the maker asked for the invented shop.
    """
    in_browser = "TEXTUAL_DRIVER" in os.environ  # set by what serves the screens to one
    if not in_browser and (not (sys.stdout.isatty() and sys.stdin.isatty()) or os.environ.get("TERM") == "dumb"):
        print_bench(shop, now_hour())
        if shop.read_only:
            complain(shop.read_only)
        return False
    from finishing.screens.app import OPEN_DEMO, FinishingApp

    gc.freeze()  # the libraries stay: the collector need not go over them again while the first frame is drawn
    return FinishingApp(shop).run() == OPEN_DEMO
