"""The terminal UI: the frame that every page sits in."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable
from contextlib import suppress
from importlib import import_module
from typing import ClassVar

from textual.app import App, SystemCommand
from textual.binding import Binding, BindingType
from textual.screen import Screen

from finishing.clock import Clock, now_hour
from finishing.cure.session_run import Run
from finishing.errors import StoreTrouble
from finishing.exchange.plain import plain
from finishing.screens.connection import Steady
from finishing.screens.pages.bench import BenchScreen
from finishing.screens.pages.page import Page
from finishing.screens.pages.pass_guide.look import bell_words
from finishing.screens.themes_more import few_colours, wear
from finishing.screens.widgets.countdown import Bells
from finishing.shop import guide as guides
from finishing.shop.settings import FirstRun, begin_shop, is_new
from finishing.shop.shop import Shop

PAGES: dict[str, tuple[str, str, str]] = {
    "bench": ("1", "The bench", ""),
    "library": ("2", "Finishes, schedules and woods", "finishing.screens.pages.library:LibraryPage"),
    "cans": ("3", "Cans on the shelf", "finishing.screens.pages.cans:CansPage"),
    "climate": ("4", "The air of each place", "finishing.screens.pages.climate:ClimatePage"),
    "settings": ("5", "Settings", "finishing.screens.pages.settings:SettingsPage"),
    "find": ("6", "Find anything on record", "finishing.screens.pages.find:FindPage"),
    "learning": ("9", "What touch tests taught", "finishing.screens.pages.learning:LearningPage"),
    "plan": ("7", "The plan", "finishing.screens.pages.plan:PlanPage"),
    "compare": ("8", "Finishes side by side", "finishing.screens.pages.compare:ComparePage"),
    "records": ("0", "Records: report, trace, cards, calendar", "finishing.screens.pages.records:RecordsPage"),
}
"""Pages by name: the digit that goes there, its words, and where it is, imported when first gone to."""


def by_digit(page: tuple[str, tuple[str, str, str]]) -> int:
    """Where a page stands in the row of digits: 0 last."""
    return int(page[1][0]) or 10


RING_EVERY = 1.0
"""Seconds between looks at whether a bell of a running guide is due."""

OPEN_DEMO = "demo"
"""What the app ends with when the maker would rather look at the invented shop first."""


class FinishingApp(Steady, App[str], inherit_bindings=False):
    """Opens on the bench. Pages are pushed over it, one at a time, and come back to it.

    Textual's own key to quit, control and q, is not taken over: terminals keep it to let held output go on.
    """

    TITLE = "finishing"
    CSS_PATH = "finishing.tcss"
    ENABLE_COMMAND_PALETTE = True
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (110, "-wide"), (150, "-broad")]  # noqa: RUF012 (as App declares it)
    VERTICAL_BREAKPOINTS = [(0, "-flat"), (13, "-low"), (18, "-short"), (34, "-tall")]  # noqa: RUF012
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+c", "help_quit", "How to leave", show=False, system=True),
        *(Binding(key, f"go('{name}')", words, show=False) for name, (key, words, _) in PAGES.items()),
    ]

    def __init__(self, shop: Shop, clock: Clock = now_hour) -> None:
        plain_terminal = bool(os.environ.get("NO_COLOR"))
        if not plain_terminal:  # empty it asks for nothing (no-color.org), but Textual looks whether it is there
            os.environ.pop("NO_COLOR", None)
        # With NO_COLOR and an ansi theme Textual draws black on black; the terminal's own two colours are right.
        super().__init__(ansi_color=True if plain_terminal else None)
        self.shop = shop
        self.clock = clock
        self.bells = Bells()
        self._runs: dict[str, Run] = {}
        wear(self, self.shop.settings.theme)
        self.set_class("TEXTUAL_DRIVER" in os.environ, "-finger")  # set by what serves the screens to a browser

    def on_mount(self) -> None:
        """Go to the bench; in a new shop welcome its maker first."""
        wear(self, self.shop.settings.theme)  # again, now that it is known what the terminal can show
        self.set_class(few_colours(self), "-plain")
        self.shop.listen()
        self.push_screen(BenchScreen(self.shop, self.clock))
        if self.shop.read_only:
            self.notify(plain(self.shop.read_only), severity="warning", timeout=10, markup=False)
        elif is_new(self.shop):
            from finishing.screens.pages.welcome import Welcome

            self.push_screen(Welcome(self.shop, self.clock), self._begin)
        self.set_interval(RING_EVERY, self.ring)

    def ring(self) -> None:
        """Ring what is due in running guides, whatever page is in front; the guide's own page rings for itself."""
        if any(isinstance(page, Page) and page.RINGS for page in self.screen_stack):
            return
        with suppress(StoreTrouble):  # those that ran when it was last in reach ring all the same
            if self.shop.lost is None:
                self._runs = {guide.code: guide.run() for guide in guides.running(self.shop)}
        due = self.bells.due(self._runs, self.clock())
        if due:
            self.bell()
        for code, alarm in due:
            self.notify(plain(bell_words(code, alarm.call, alarm.number)), severity="warning", markup=False)

    def _begin(self, answer: object) -> None:
        """Set the new shop up as its maker said, or end to open the invented one."""
        if isinstance(answer, FirstRun):
            page = self.screen
            assert isinstance(page, Page)
            page.attempt(lambda: begin_shop(self.shop, answer, self.clock()))
        elif answer is not None:
            self.exit(OPEN_DEMO)

    def bell(self) -> None:
        """Ring the terminal, where the maker lets it ring."""
        if self.shop.settings.bell:
            super().bell()

    def action_help_quit(self) -> None:
        """Control and c ends nothing by mistake: it says what does."""
        self.notify("to leave the program: escape until the bench shows, then q", markup=False)

    def action_go(self, name: str) -> None:
        """Go to a page by name. Over a card that waits for an answer nothing happens."""
        if not isinstance(self.screen, Page) or (self.shop.lost is not None and name != "bench"):
            return
        where = PAGES[name][2]
        if not where:
            self._over_bench(None)
            return
        module, _, attribute = where.partition(":")
        self._over_bench(getattr(import_module(module), attribute)(self.shop, self.clock))

    def action_pages(self) -> None:
        """Choose a page from the list of all."""
        from finishing.screens.pages.pages_card import PagesCard

        def go(name: str | None) -> None:
            if name is not None:
                self.action_go(name)

        self.push_screen(PagesCard(dict(sorted(PAGES.items(), key=by_digit))), go)

    def _over_bench(self, page: Page | None) -> None:
        """Show one page over the bench, or the bench itself."""
        while len(self.screen_stack) > 2:
            self.pop_screen()
        if page is not None:
            self.push_screen(page)

    def on_page_open_batch(self, message: Page.OpenBatch) -> None:
        """Go to a batch's page, over whatever asked for it."""
        from finishing.screens.pages.batch.page import BatchPage

        self.push_screen(BatchPage(self.shop, self.clock, message.code))

    def on_page_open_guide(self, message: Page.OpenGuide) -> None:
        """Go to the running guide of a batch's coat, or begin one."""
        from finishing.screens.pages.pass_guide.page import PassGuide

        self.push_screen(PassGuide(self.shop, self.clock, message.code, message.position, self.bells))

    def on_page_open_trace(self, message: Page.OpenTrace) -> None:
        """Go to where a lot, a can or a batch leads, over whatever asked for it."""
        from finishing.screens.pages.records import RecordsPage

        self.push_screen(RecordsPage(self.shop, self.clock, message.word, message.kind))

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
