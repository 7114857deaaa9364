"""The terminal UI: the frame that every screen sits in."""

from __future__ import annotations

import os
from typing import ClassVar

from textual.app import App
from textual.binding import Binding, BindingType

from finishing.clock import Clock, now_hour
from finishing.screens.pages.bench import BenchScreen
from finishing.screens.palette import NIGHT_SHOP, THEMES
from finishing.shop.shop import Shop


class FinishingApp(App[None]):
    """Opens on the bench. Screens are pushed over it and come back to it."""

    TITLE = "finishing"
    CSS_PATH = "finishing.tcss"
    ENABLE_COMMAND_PALETTE = True
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (110, "-wide"), (150, "-broad")]  # noqa: RUF012 (as App declares it)
    VERTICAL_BREAKPOINTS = [(0, "-short"), (34, "-tall")]  # noqa: RUF012
    BINDINGS: ClassVar[list[BindingType]] = [Binding("ctrl+q", "quit", "Quit", show=False)]

    def __init__(self, shop: Shop, clock: Clock = now_hour) -> None:
        # With NO_COLOR and an ansi theme Textual draws black on black; the terminal's own two colours are right.
        super().__init__(ansi_color=True if os.environ.get("NO_COLOR") else None)
        self.shop = shop
        self.clock = clock
        for theme in THEMES:
            self.register_theme(theme)
        self.theme = NIGHT_SHOP.name

    def on_mount(self) -> None:
        """Go to the bench."""
        self.push_screen(BenchScreen(self.shop, self.clock))
