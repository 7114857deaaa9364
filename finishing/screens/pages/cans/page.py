"""The cans on the shelf: what is left, how old, how long good, what a litre cost; and what is short."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from finishing.clock import Clock, now_hour
from finishing.screens.pages.cans.cards import EditCan, NewCan, Uses
from finishing.screens.pages.cans.lines import Columns, about, head, needs, row
from finishing.screens.pages.page import Page
from finishing.shop import cans, stock
from finishing.shop.drafts import CanDraft
from finishing.shop.shop import Shop
from finishing.shop.stock import CanFacts, CanLine, Level, Stock

CANS_HELP = """Cans

Every can on the shelf: how full it is as far as amounts were recorded, how long it
has been open (its first coat opens it) and keeps. Past its time: try scrap first.

Below stands what the coats still to come of all open batches take of each finish, at
the finish's own spreading rate, against what is left in cans not past their time:
  !!  short: it can't be done with what is there
  !   low: less than a fifth to spare

Keys
  up, down      choose a can
  b or enter    which batches got this can, and when
  l             its lot called back: every batch that got it, and where that is now
  n             a new can
  o             it was opened today
  e             put right lot, price, day opened, days it keeps
  x             it is empty and leaves the shelf; what came from it stays on record
  u             take back the last o, e or x done here"""
"""The help of the cans page."""


@dataclass(frozen=True, slots=True)
class Taken:
    """A change made here that can be taken back: in words, and how."""

    words: str
    back: Callable[[], str]


class CansPage(Page):
    """The page."""

    HELP = CANS_HELP
    CSS_PATH = "cans.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("n", "new", "New can"),
        Binding("o", "opened", "Opened today"),
        Binding("x", "emptied", "Emptied"),
        Binding("e", "edit", "Edit"),
        Binding("b", "uses", "Batches"),
        Binding("l", "recall", "Recall its lot", show=False),
        Binding("u", "undo", "Undo"),
    ]

    def __init__(self, shop: Shop, clock: Clock = now_hour) -> None:
        super().__init__(shop, clock)
        self.stock: Stock | None = None
        self._taken: list[Taken] = []
        self._want: int | None = None
        self._offered: tuple[bool, ...] = ()

    def body(self) -> ComposeResult:
        """The cans, the chosen one in full, and what is needed."""
        yield Static("", id="head", markup=False)
        yield OptionList(id="cans", markup=False)
        yield Static("", id="can", markup=False)
        with VerticalScroll(id="needs"):
            yield Static("", id="need", markup=False)

    def on_mount(self) -> None:
        """Begin in the list."""
        self.query_one("#cans", OptionList).focus()

    def title_words(self) -> str:
        """How many cans, and how many finishes are short."""
        assert self.stock is not None
        short = sum(need.level is Level.SHORT for need in self.stock.needs)
        return f"cans · {len(self.stock.lines)} on the shelf{f' · {short} short' if short else ''}"

    def look(self) -> None:
        """Read the shelf and the open batches, and show them."""
        found = stock.stock(self.shop, self.clock())
        if found != self.stock:
            keep = self.chosen  # by its number, as places in the list move
            self.stock = found
            self._fill(keep.row.id if keep else None)

    def on_resize(self) -> None:
        """The columns take what width there is."""
        if self.stock is not None:
            keep = self.chosen
            self._fill(keep.row.id if keep else None)

    def _fill(self, keep: int | None) -> None:
        """The list, with the cursor on the can just put there, or on the one it was on."""
        assert self.stock is not None
        listed, settings = self.query_one("#cans", OptionList), self.shop.settings
        chosen, self._want = keep if self._want is None else self._want, None
        keeps = max((len(stock.use_by_words(line)) for line in self.stock.lines), default=0)
        columns = Columns.of(self.size.width - 3, keeps)
        self.query_one("#head", Static).update(Text(head(columns), no_wrap=True))
        listed.clear_options()
        listed.add_options([Option(Text(row(line, columns, settings))) for line in self.stock.lines])
        numbers = [line.row.id for line in self.stock.lines]
        if numbers:
            listed.highlighted = numbers.index(chosen) if chosen in numbers else 0
        else:
            self.query_one("#can", Static).update(Text("no can on the shelf: n puts one there"))
        self.query_one("#need", Static).update(needs(self.stock.needs, settings.units))
        self._offer_keys()

    @property
    def chosen(self) -> CanLine | None:
        """The can under the cursor."""
        at = self.query_one("#cans", OptionList).highlighted
        return self.stock.lines[at] if self.stock and at is not None and at < len(self.stock.lines) else None

    @on(OptionList.OptionHighlighted, "#cans")
    def show_chosen(self) -> None:
        """The chosen can in full."""
        line = self.chosen
        if line is not None:
            self.query_one("#can", Static).update(about(line, self.shop.settings))
        self._offer_keys()

    def _offer_keys(self) -> None:
        """Draw the keys at the foot anew, where others do something now; drawing them takes its time."""
        line = self.chosen
        offered = (line is not None, line is not None and line.opened_on is None, bool(self._taken))
        if offered != self._offered:
            self._offered = offered
            self.refresh_bindings()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Keys only where they do something."""
        if not self.is_mounted or action not in ("opened", "emptied", "edit", "uses", "undo"):
            return True
        if action == "undo":
            return bool(self._taken)
        line = self.chosen
        return line is not None and (action != "opened" or line.opened_on is None)

    def action_new(self) -> None:
        """A can for the shelf, by form."""
        if not self.may_record():
            return
        self.app.push_screen(NewCan(self.shop.library.finishes, self.shop.settings), self._shelve)

    def _shelve(self, draft: CanDraft | None) -> None:
        if draft is not None:
            self.attempt(lambda: self._put(draft))

    def _put(self, draft: CanDraft) -> str:
        self._want = cans.shelve(self.shop, draft, self.clock())
        return f"can {self._want}: on the shelf"

    def action_opened(self) -> None:
        """The chosen can was opened today."""
        line = self.chosen
        if line is not None:
            number = line.row.id
            self._change(line, "opened", lambda: stock.open_can(self.shop, number, self.clock()))

    def action_emptied(self) -> None:
        """The chosen can is empty and leaves the shelf."""
        line = self.chosen
        if line is not None:
            number = line.row.id
            self._change(line, "emptied", lambda: cans.empty_can(self.shop, number, self.clock()))

    def action_edit(self) -> None:
        """Put right what is known of the chosen can."""
        if not self.may_record():
            return
        line = self.chosen
        if line is not None and self.stock is not None:
            card = EditCan(line, self.shop.settings, self.stock.today)
            self.app.push_screen(card, lambda facts: self._put_right(line, facts))

    def _put_right(self, line: CanLine, facts: CanFacts | None) -> None:
        if facts is not None:
            number = line.row.id
            self._change(line, "changed", lambda: stock.put_right(self.shop, number, facts, self.clock()))

    def _change(self, line: CanLine, words: str, act: Callable[[], str]) -> None:
        """Change a can, and remember how to take that back."""
        before = line.row
        if self.attempt(act):
            after = cans.sheet(self.shop, before.id).row
            self._taken.append(Taken(f"can {before.id} {words}", lambda: stock.as_it_was(self.shop, before, after)))
            self._offer_keys()

    def action_undo(self) -> None:
        """Take back the last change made here."""
        if self._taken:
            taken = self._taken.pop()
            self.attempt(lambda: f"undone: {taken.words}; {taken.back()}")
            self._offer_keys()

    @on(OptionList.OptionSelected, "#cans")
    def action_uses(self) -> None:
        """Which batches got the chosen can, and when."""
        line = self.chosen
        if line is not None:
            sheet = cans.sheet(self.shop, line.row.id)
            card = Uses(sheet, line.title, self.shop.settings, self.clock())
            self.app.push_screen(card, self._open)

    def action_recall(self) -> None:
        """Every batch that got the chosen can's lot, and where each is now; that got the can, where it has no lot."""
        line = self.chosen
        if line is not None:
            lot = line.row.can.lot
            self.post_message(self.OpenTrace(lot or str(line.row.id), "lot" if lot else "can"))

    def _open(self, code: str | None) -> None:
        if code is not None:
            self.post_message(self.OpenBatch(code))
