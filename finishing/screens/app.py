"""The terminal UI: the frame that every page sits in."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable
from importlib import import_module
from typing import ClassVar

from textual.app import App, SystemCommand
from textual.binding import Binding, BindingType
from textual.screen import Screen

from finishing.clock import Clock, now_hour
from finishing.screens.pages.bench import BenchScreen
from finishing.screens.pages.page import Page
from finishing.screens.palette import NIGHT_SHOP, THEMES
from finishing.shop.shop import Shop

PAGES: dict[str, tuple[str, str, str]] = {
    "bench": ("1", "The bench", ""),
    "find": ("6", "Find anything on record", "finishing.screens.pages.find:FindPage"),
}
"""Pages by name: the digit that goes there, its words, and where it is, imported when first gone to."""


class FinishingApp(App[None]):
    """Opens on the bench. Pages are pushed over it, one at a time, and come back to it."""

    TITLE = "finishing"
    CSS_PATH = "finishing.tcss"
    ENABLE_COMMAND_PALETTE = True
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (110, "-wide"), (150, "-broad")]  # noqa: RUF012 (as App declares it)
    VERTICAL_BREAKPOINTS = [(0, "-short"), (34, "-tall")]  # noqa: RUF012
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+q", "quit", "Quit", show=False),
        *(Binding(key, f"go('{name}')", words, show=False) for name, (key, words, _) in PAGES.items()),
    ]

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

    def action_go(self, name: str) -> None:
        """Go to a page by name. Over a card that waits for an answer nothing happens."""
        if not isinstance(self.screen, Page):
            return
        while len(self.screen_stack) > 2:
            self.pop_screen()
        where = PAGES[name][2]
        if where:
            module, _, attribute = where.partition(":")
            self.push_screen(getattr(import_module(module), attribute)(self.shop, self.clock))

    def on_page_open_page(self, message: Page.OpenPage) -> None:
        """A page asked for another."""
        self.action_go(message.name)

    def get_system_commands(self, screen: Screen[object]) -> Iterable[SystemCommand]:
        """Every page, and every key of the page in front, by words."""
        for name, (key, words, _) in PAGES.items():
            yield SystemCommand(words, f"key {key}", self._going(name))
        for active in screen.active_bindings.values():
            binding = active.binding
            if binding.description and active.enabled and active.node is screen:
                yield SystemCommand(binding.description, f"key {binding.key}", self._doing(screen, binding.action))

    def _going(self, name: str) -> Callable[[], None]:
        return lambda: self.action_go(name)

    def _doing(self, screen: Screen[object], action: str) -> Callable[[], None]:
        async def act() -> None:
            await self.run_action(action, screen)

        def later() -> None:
            self.call_later(act)

        return later
