"""The settings page: every setting with its value, changed one at a time and kept at once."""

from __future__ import annotations

from functools import partial
from typing import ClassVar

from rich.cells import set_cell_size
from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from finishing.clock import Clock, now_hour
from finishing.exchange.plain import plain
from finishing.screens.pages.page import Page
from finishing.screens.pages.settings.cards import card_for
from finishing.screens.pages.settings.items import ITEMS, Item, words
from finishing.screens.themes_more import wear
from finishing.shop.settings import change_setting, setting_text, zone_words
from finishing.shop.shop import Shop

LABEL = 21

SETTINGS_HELP = """Settings

Each setting is kept as soon as you change it, and holds for the screens, the
commands and every other terminal of this shop.

Keys
  up, down      choose a setting
  enter         change it (a click does both)
  u             undo the last change made on this page
  escape        back

Hours are written 8:00-12:00 13:00-17:00 or 8-12 13-17. Dates are written
2026-12-24, and from one to another 2026-12-24..2027-01-01."""


class SettingsList(OptionList):
    """The list, with its key said at the foot of the page."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("enter", "select", "Change")]


class SettingsPage(Page):
    """A list; enter changes what is chosen."""

    HELP = SETTINGS_HELP
    CSS_PATH = "settings.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [Binding("u", "undo", "Undo")]

    def __init__(self, shop: Shop, clock: Clock = now_hour) -> None:
        super().__init__(shop, clock)
        self._before: list[tuple[Item, str]] = []
        """Settings changed on this page, and what they were."""

    def body(self) -> ComposeResult:
        """The list, and what the chosen one does."""
        yield SettingsList(*(Option(item.label, id=item.key) for item in ITEMS), id="items", markup=False)
        yield Static("", id="explain", markup=False)

    def on_mount(self) -> None:
        """Begin in the list."""
        self.query_one("#items", OptionList).focus()

    def title_words(self) -> str:
        """The page's name."""
        return "settings"

    def look(self) -> None:
        """The values anew."""
        options, settings = self.query_one("#items", OptionList), self.shop.settings
        for item in ITEMS:
            line = Text(no_wrap=True, overflow="ellipsis")
            line.append(set_cell_size(item.label, LABEL), style="bold")
            line.append(plain(words(item, settings)))
            options.replace_option_prompt(item.key, line)

    @on(OptionList.OptionHighlighted, "#items")
    def explain(self, event: OptionList.OptionHighlighted) -> None:
        """What the setting under the cursor does."""
        self.query_one("#explain", Static).update(Text(ITEMS[event.option_index].explain))

    @on(OptionList.OptionSelected, "#items")
    def open(self, event: OptionList.OptionSelected) -> None:
        """Change the setting that was chosen."""
        if not self.may_record():
            return
        item = ITEMS[event.option_index]
        value = setting_text(self.shop.settings, item.key)
        self.app.push_screen(card_for(item, value), partial(self._keep, item, value))

    def _keep(self, item: Item, before: str, text: str | None) -> None:
        if text is not None and self._change(item, text):
            self._before.append((item, before))

    def _change(self, item: Item, text: str) -> bool:
        """Keep a value, say what it now is, and put a new look on."""

        def act() -> str:
            zone = self.shop.settings.zone
            change_setting(self.shop, item.key, text, self.clock())
            heed = zone_words(self.shop, zone, self.shop.settings.zone)
            return f"{item.label}: {words(item, self.shop.settings)}{f'; {heed}' if heed else ''}"

        done = self.attempt(act)
        if done and item.key == "theme":
            wear(self.app, text)
        return done

    def action_undo(self) -> None:
        """Put back what the last change on this page changed."""
        if not self._before:
            self.notify("nothing was changed on this page", markup=False)
        elif self._change(*self._before[-1]):
            self._before.pop()
