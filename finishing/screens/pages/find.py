"""Find: anything on record by a few letters, or by the day."""

from __future__ import annotations

from typing import ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from finishing.clock import Clock, now_hour
from finishing.exchange.plain import plain
from finishing.screens.pages.page import Page
from finishing.shop.find import Hit, find, kind_words
from finishing.shop.shop import Shop
from finishing.shop.words import short_time

FIND_HELP = """Find

Type a few letters of anything: a batch's code or what it is, a wood, a place, a
schedule, a finish, a can's lot, words of a note; or a day, such as 24 nov,
yesterday or 2026-11-25, for what was recorded on it.

Keys
  down, enter   go to the list, open the batch
  escape        back"""


class FindPage(Page):
    """A line to type in, and what has it."""

    HELP = FIND_HELP
    CSS_PATH = "find.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [Binding("down", "into_list", "To the list", show=False)]

    def __init__(self, shop: Shop, clock: Clock = now_hour) -> None:
        super().__init__(shop, clock)
        self._hits: list[Hit] = []

    def body(self) -> ComposeResult:
        """The line, a count, the list."""
        yield Input(placeholder="code, wood, place, schedule, lot, words of a note, or a day such as 24 nov", id="text")
        yield Static("", id="count", markup=False)
        hits = OptionList(id="hits", markup=False)
        hits.can_focus = False  # nothing to choose from yet
        yield hits

    def on_mount(self) -> None:
        """Begin in the line. Textual calls the base class's handler as well."""
        self.query_one("#text", Input).focus()

    def title_words(self) -> str:
        """The page's name."""
        return "find"

    def look(self) -> None:
        """Nothing to bring up to date: what was found stays until something else is typed."""

    @on(Input.Changed, "#text")
    def search(self) -> None:
        """Show what has the text."""
        now = self.clock()
        self._hits = find(self.shop, self.query_one("#text", Input).value, now)
        hits = self.query_one("#hits", OptionList)
        hits.clear_options()
        hits.add_options([Option(self._line(hit, now)) for hit in self._hits])
        hits.can_focus = bool(self._hits)
        hits.highlighted = 0 if self._hits else None
        typed = bool(self.query_one("#text", Input).value.strip())
        count = f"{len(self._hits)} found" if self._hits else "nothing found" if typed else ""
        self.query_one("#count", Static).update(count)

    def _line(self, hit: Hit, now: float) -> Text:
        when = "" if hit.at is None else short_time(hit.at, self.shop.settings.zone, now)
        line = Text(no_wrap=True, overflow="ellipsis")
        line.append(f"{kind_words(hit):<13} ", style="dim")
        line.append(f"{plain(hit.code):<12} ", style="bold")
        line.append(f"{plain(hit.words)}  ")
        line.append(when, style="dim")
        return line

    @on(Input.Submitted, "#text")
    def action_into_list(self) -> None:
        """From the line to the list."""
        hits = self.query_one("#hits", OptionList)
        if self._hits:
            hits.focus()
            hits.highlighted = 0 if hits.highlighted is None else hits.highlighted

    @on(OptionList.OptionSelected, "#hits")
    def open(self, event: OptionList.OptionSelected) -> None:
        """Open the batch found; a can opens the cans."""
        hit = self._hits[event.option_index]
        self.post_message(self.OpenBatch(hit.code) if hit.code else self.OpenPage("cans"))
