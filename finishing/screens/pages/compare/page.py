"""The compare page: asks in another thread, and puts the best by the maker's wish first."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import ClassVar

from rich.text import Text
from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Container, Vertical, VerticalScroll
from textual.message import Message
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option
from textual.worker import get_current_worker

from finishing.clock import Clock, now_hour
from finishing.errors import FinishingError
from finishing.exchange.plain import plain
from finishing.screens.pages.batch.cards import ChoiceCard
from finishing.screens.pages.compare import text as words
from finishing.screens.pages.compare.cards import AskCard
from finishing.screens.pages.compare.help import COMPARE_HELP
from finishing.screens.pages.page import Page
from finishing.shop.plan import compare as asking
from finishing.shop.plan.compare_words import asked_words
from finishing.shop.plan.compared import Column, Comparison, Wanted, Wish
from finishing.shop.shop import Rack, Shop


class _Gone(Exception):
    """Nobody waits for the answer any more."""


class ComparePage(Page):
    """The page. A later question takes the place of the one before it."""

    HELP = COMPARE_HELP
    CSS_PATH = "compare.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("w", "wish", "Wish"),
        Binding("e", "ask_for", "Ask"),
        Binding("b", "batch", "Batch"),
        Binding("p", "beside", "Beside the plan"),
    ]

    @dataclass
    class Answered(Message):
        """What came of a question; a known problem in words."""

        wanted: Wanted
        found: Comparison | None
        problem: str = ""

    @dataclass
    class Going(Message):
        """How many of the schedules asked about are done."""

        wanted: Wanted
        done: int
        whole: int

    def __init__(self, shop: Shop, clock: Clock = now_hour) -> None:
        super().__init__(shop, clock)
        self.wanted: Wanted | None = None
        self.found: Comparison | None = None
        self._rack: Rack | None = None
        self._lines: tuple[str, ...] = ()

    def body(self) -> ComposeResult:
        """What is asked, the wishes, a line for each schedule, and the chosen one in full."""
        yield Static("", id="asked", markup=False)
        yield Static("", id="wishes", markup=False)
        with Container(id="table"):
            with Vertical(id="left"):
                yield Static("", id="head", markup=False)
                yield OptionList(id="schedules", markup=False)
            with VerticalScroll(id="more"):
                yield Static("", id="about", markup=False)

    def on_mount(self) -> None:
        """Begin in the list."""
        self.query_one("#schedules", OptionList).focus()

    def title_words(self) -> str:
        """How many can make the date."""
        if self.found is None or self.found.wanted.by is None:
            return "compare"
        able = sum(bool(column.makes_it) for column in self.found.columns)
        return f"compare · {able} of {len(self.found.columns)} make the date"

    def look(self) -> None:
        """Ask for the batch that begins next, at first; again when what is planned has changed."""
        now = self.clock()
        rack = self.shop.rack(now)
        if self.wanted is None:
            code = first_batch(rack)
            if code is not None:
                self.wanted = asking.about(self.shop, code, now)
        if self.wanted is None:
            self.query_one("#asked", Static).update("e asks: how many pieces, of what, by when?")
        elif rack is not self._rack and rack.standings != getattr(self._rack, "standings", None):
            self._ask(self.wanted)
        self._rack = rack

    def _ask(self, wanted: Wanted) -> None:
        self.wanted = wanted
        if self.found is None:
            self.query_one("#asked", Static).update("comparing …")
        self._compare(wanted, self.clock())

    @work(thread=True)
    def _compare(self, wanted: Wanted, now: float) -> None:
        worker = get_current_worker()

        def heard(done: int, whole: int) -> None:
            if worker.is_cancelled or wanted is not self.wanted:
                raise _Gone
            self.post_message(self.Going(wanted, done, whole))

        try:
            own = Shop.open(now, self.shop.store.location)
            try:
                found = asking.compare(own, wanted, now, heard)
            finally:
                own.close()
        except _Gone:
            pass
        except FinishingError as problem:
            self.post_message(self.Answered(wanted, None, str(problem)))
        else:
            self.post_message(self.Answered(wanted, found))

    def on_compare_page_going(self, message: Going) -> None:
        """How far it has come, where nothing else is shown yet."""
        if message.wanted is self.wanted and self.found is None:
            self.query_one("#asked", Static).update(f"comparing: {message.done} of {message.whole} schedules …")

    def on_compare_page_answered(self, message: Answered) -> None:
        """Show it, unless something else has been asked since."""
        if message.wanted is not self.wanted:
            return
        if message.found is None:
            self.notify(plain(message.problem), severity="error", timeout=8, markup=False)
            return
        self.found = asking.ranked(message.found, message.wanted.wish)
        self._fill()
        self.refresh_page()
        self.refresh_bindings()

    def _fill(self) -> None:
        """The table, the cursor on the same schedule, or on the best of a new question."""
        found, listed = self.found, self.query_one("#schedules", OptionList)
        assert found is not None
        chosen = self.chosen_name
        widths = words.Widths.of((listed.size.width or self.size.width) - 3, dated=found.wanted.by is not None)
        self.query_one("#asked", Static).update(Text(plain(asked_words(found, self.shop.settings.units)), style="bold"))
        self.query_one("#wishes", Static).update(words.wishes(found))
        self.query_one("#head", Static).update(words.head(widths, found))
        names = tuple(column.schedule for column in found.columns)
        keep = names.index(chosen) if chosen in names and self._lines == names else 0
        self._lines = names
        listed.clear_options()
        listed.add_options([Option(words.row(column, found, widths)) for column in found.columns])
        listed.highlighted = keep if names else None
        self._about()

    @property
    def chosen_name(self) -> str:
        """The schedule under the cursor."""
        at = self.query_one("#schedules", OptionList).highlighted
        return self._lines[at] if at is not None and at < len(self._lines) else ""

    @property
    def chosen(self) -> Column | None:
        """Its answer."""
        columns = () if self.found is None else self.found.columns
        return next((column for column in columns if column.schedule == self.chosen_name), None)

    def on_resize(self) -> None:
        """The bars take what width there is."""
        if self.found is not None:
            self.call_after_refresh(self._fill)

    @on(OptionList.OptionHighlighted, "#schedules")
    def _about(self) -> None:
        """The chosen schedule in full."""
        if self.chosen is not None and self.found is not None:
            shown = words.about(self.chosen, self.found, self.shop.settings.units)
            self.query_one("#about", Static).update(shown)
            self.query_one("#more", VerticalScroll).scroll_home(animate=False)

    # Keys ----------------------------------------------------------------------------------------------------------

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Keys only where they do something."""
        if not self.is_mounted:
            return True
        if action in ("wish", "beside"):
            return self.found is not None
        return action != "batch" or self._rack is None or bool(self._rack.standings)

    def action_wish(self) -> None:
        """The best by another wish first; nothing is worked out anew."""
        if self.found is not None and self.wanted is not None:
            all_ = list(Wish)
            wish = all_[(all_.index(self.wanted.wish) + 1) % len(all_)]
            self.wanted = replace(self.wanted, wish=wish)
            self.found = asking.ranked(self.found, wish)
            self._fill()

    def action_ask_for(self) -> None:
        """Other pieces, woods, size, date or place, by form."""
        places = [place.name for place in self.shop.places()]
        card = AskCard(self.wanted, places, self.shop.settings, self.clock())

        def asked(wanted: Wanted | None) -> None:
            if wanted is not None:
                self._ask(wanted)

        self.app.push_screen(card, asked)

    def action_batch(self) -> None:
        """A batch on the bench."""
        rows = [s.row for s in self.shop.rack(self.clock()).standings.values()]
        card = ChoiceCard("Which batch?", [(r.code, f"{r.code}  {r.what} ×{r.pieces}") for r in rows])

        def chosen(code: str | None) -> None:
            if code is not None:
                wish = Wish.SOONEST if self.wanted is None else self.wanted.wish
                self._ask(asking.about(self.shop, code, self.clock(), wish=wish))

        self.app.push_screen(card, chosen)

    def action_beside(self) -> None:
        """Beside the work already planned, or as if nothing else were."""
        if self.wanted is not None:
            self._ask(replace(self.wanted, busy=not self.wanted.busy))


def first_batch(rack: Rack) -> str | None:
    """A batch without a coat, the one wanted first; any other if all have one."""
    far = float("inf")
    rows = sorted(
        (bool(s.fold.coats), far if s.row.wanted_by is None else s.row.wanted_by, code)
        for code, s in rack.standings.items()
    )
    return rows[0][2] if rows else None
