"""The plan page: the plan by day, made while one watches, moved and pinned by hand, kept, and gone on from."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field, replace
from typing import ClassVar

import pendulum
from textual import work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.message import Message
from textual.widgets import Static

from finishing.clock import Clock, hour_of, now_hour
from finishing.errors import FinishingError
from finishing.exchange.plain import plain
from finishing.screens.pages.batch.ask import divide_as
from finishing.screens.pages.page import Page
from finishing.screens.pages.plan import text as words
from finishing.screens.pages.plan.cards import BeginCard
from finishing.screens.pages.plan.help import PLAN_HELP
from finishing.screens.widgets.plan_rows import PlanLine, PlanRows
from finishing.shop.plan import kept, live, move
from finishing.shop.plan.kept import Changes, Pins
from finishing.shop.plan.live import Basis, Stops, Told, Wants
from finishing.shop.plan.make import Made
from finishing.shop.plan.move import Way
from finishing.shop.plan.sheet import Work
from finishing.shop.shop import Shop
from finishing.shop.split import split

NARROWEST = 20
SIDE = {"-wide": 39, "-broad": 53}
"""Cells of the words beside the list."""


@dataclass(eq=False)
class Search:
    """A plan being made in another thread. noted: the record had changed, so what moved is to be said.

    moving: work is being moved, and has not got there yet.
    """

    stops: Stops = field(default_factory=Stops)
    noted: bool = False
    moving: bool = False


class PlanPage(Page):
    """The page. Planning goes on in a thread of its own; a later search ends the one before it."""

    HELP = PLAN_HELP
    CSS_PATH = "plan.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("e", "shift('BEFORE')", "Earlier"),
        Binding("l", "shift('AFTER')", "Later"),
        Binding("t", "at", "Begin at", show=False),
        Binding("p", "pin", "Pin"),
        Binding("d", "divide", "Split"),
        Binding("k", "keep", "Keep"),
        Binding("x", "let_go", "Unkeep", show=False),
        Binding("g", "go_on", "Go on"),
        Binding("a", "afresh", "Afresh"),
        Binding("s", "stop", "Stop"),
        Binding("v", "view", "Dates"),
    ]

    @dataclass
    class Heard(Message):
        """A plan, as far as it has got, of a search."""

        search: Search
        told: Told

    @dataclass
    class Failed(Message):
        """A search ended with a known problem."""

        search: Search
        problem: str

    def __init__(self, shop: Shop, clock: Clock = now_hour) -> None:
        super().__init__(shop, clock)
        self.told: Told | None = None
        self._search: Search | None = None
        self._basis: Basis | None = None
        self._searching = False
        self._pinning: Pins = {}
        self._pressed: list[tuple[str, object]] = []  # moves asked for while one was under way, and of which line

    def body(self) -> ComposeResult:
        """How the plan stands; its days with the chosen line in full; dates and reasons beside."""
        yield Static("planning …", id="standing", markup=False)
        with Horizontal(id="plan"):
            with Vertical(id="left"):
                yield PlanRows(id="days")
                yield Static("", id="about", markup=False)
            with VerticalScroll(id="beside"):
                yield Static("", id="dates", markup=False)

    def on_mount(self) -> None:
        """Begin in the list."""
        self.query_one(PlanRows).focus()

    def on_unmount(self) -> None:
        """Nobody waits for the plan any more."""
        if self._search is not None:
            self._search.stops.gone.set()

    def title_words(self) -> str:
        """How many batches are late."""
        if self.told is None:
            return "plan"
        late, lost = len(self.told.sheet.late), len(self.told.sheet.lost)
        kept_too = self._basis is not None and self._basis.kept_at is not None
        missed = [f"{late} late"] if late or not lost else []
        missed += [f"{lost} without a place"] if lost else []
        return f"plan · {', '.join(missed) if late or lost else 'none late'}{' · kept' if kept_too else ''}"

    def look(self) -> None:
        """Plan when the page opens, and again, moving as little as it must, when what the plan rests on changed."""
        now = self.clock()
        found = live.basis(self.shop, now)
        if self._basis is None:
            self._basis = found
            self._begin(Wants())
        elif not found.same(self._basis):
            own = found.same(replace(self._basis, pins=self._pinning))
            self._basis = found
            if own:
                return
            self._begin(self._on(), noted=True)
        elif self.told is not None:
            self._show()

    # Planning ------------------------------------------------------------------------------------------------------

    def _on(self, pins: Changes | None = None) -> Wants:
        """Going on from what is shown."""
        base = None if self.told is None else live.base_of(self.told)
        return Wants(base=base, pins=pins or {})

    def _begin(self, wants: Wants, *, noted: bool = False) -> None:
        """Plan in another thread, in place of what is being planned there."""
        if self._search is not None:
            self._search.stops.gone.set()
        self._search = Search(noted=noted, moving=bool(wants.pins))
        if not wants.pins:
            self._pressed.clear()
        self._searching = True
        self.refresh_bindings()
        self._plan(self._search, wants, self.clock())

    @work(thread=True)
    def _plan(self, search: Search, wants: Wants, now: float) -> None:
        def tell(told: Told) -> None:
            self.post_message(self.Heard(search, told))

        try:
            live.plan_live(self.shop.store.location, now, wants, tell, search.stops)
        except FinishingError as problem:
            self.post_message(self.Failed(search, str(problem)))

    def on_plan_page_heard(self, message: Heard) -> None:
        """Show the plan, unless another has been asked for since."""
        if message.search is not self._search:
            return
        told, search = message.told, message.search
        self.told = told
        if told.said:
            assert self._basis is not None
            self.shop.forget()
            self._basis = replace(self._basis, pins=told.pins)
            self.notify(plain(told.said), markup=False)
        if search.noted and not told.busy:
            search.noted = False
            count = len(told.sheet.moved)
            self.notify(f"the record moved on: planned again, {count or 'nothing'} moved", markup=False)
        self._searching = told.busy and not search.stops.is_set()
        self.query_one(PlanRows).show(told.sheet, self.shop.settings.units)
        self.refresh_page()
        if told.said:
            search.moving = False
            self._press_again()

    def on_plan_page_failed(self, message: Failed) -> None:
        """Say what is wrong; the plan stays as it was."""
        if message.search is self._search:
            self._searching = message.search.moving = False
            self._pressed.clear()
            self.notify(plain(message.problem), severity="error", timeout=8, markup=False)
            self.refresh_bindings()

    def _show(self) -> None:
        """The words around the list."""
        assert self.told is not None
        self.query_one("#standing", Static).update(words.standing(self.told))
        self.query_one("#dates", Static).update(words.beside(self.told, self._beside_width()))
        self._about(self.query_one(PlanRows).line)
        self.refresh_bindings()

    def _beside_width(self) -> int:
        for name, width in SIDE.items():
            if self.app.screen.has_class(name) or self.has_class(name):
                return width
        return max(self.size.width - 4, NARROWEST)

    def on_resize(self) -> None:
        """The words beside take what width there is."""
        if self.told is not None:
            self._show()

    def on_plan_rows_highlighted(self, message: PlanRows.Highlighted) -> None:
        """The chosen line in full."""
        self._about(message.line)
        self.refresh_bindings()

    def _about(self, line: PlanLine | None) -> None:
        if self.told is not None:
            shown = words.about(line, self.told.sheet, self.shop.settings.units)
            self.query_one("#about", Static).update(shown)

    # Keys ----------------------------------------------------------------------------------------------------------

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Keys only where they do something."""
        if not self.is_mounted:
            return True
        match action:
            case "shift" | "at" | "pin":
                return self.told is not None and self._days_show and bool(self._works)
            case "divide":
                return self._days_show and self._part is not None
            case "keep":
                return self.told is not None
            case "go_on":  # all keys at once have no room on a narrow screen, and a search goes on by itself
                return self.told is not None and not self._searching
            case "let_go":
                return self._basis is not None and self._basis.kept_at is not None
            case "stop":
                return self._searching
            case "view":
                return not (self.has_class("-wide") or self.has_class("-broad"))
        return True

    @property
    def _days_show(self) -> bool:
        """Whether the chosen line is in sight: on a narrow screen dates and reasons may stand in place of the days."""
        return self.query_one("#left").display

    @property
    def _works(self) -> tuple[Work, ...]:
        """What the chosen line would move."""
        line = self.query_one(PlanRows).line
        return () if line is None else line.works

    @property
    def _part(self) -> tuple[str, str, int] | None:
        """What to split next for the chosen line's first work that asks for it: the batch, the part's code, pieces."""
        split = {} if self.told is None else {parts.code: parts for parts in self.told.sheet.splits}
        return next(((w.whole, *split[w.whole].part(w.code)) for w in self._works if w.whole in split), None)

    def action_shift(self, way: str) -> None:
        """Move the chosen work, or the session, one step along, and pin it there."""
        told, works = self.told, self._works
        if told is None or not works:
            return
        if self._search is not None and self._search.moving:
            line = self.query_one(PlanRows).line
            self._pressed.append((way, None if line is None else line.mark))
            return
        self._move(lambda: move.moved(told.made, works, Way[way]))

    def _press_again(self) -> None:
        """The next move that was asked for while one was under way; not of another line than was meant."""
        if self._pressed:
            way, mark = self._pressed.pop(0)
            line = self.query_one(PlanRows).line
            if line is not None and line.mark == mark:
                self.action_shift(way)
            else:
                self._pressed.clear()

    def on_plan_rows_nudged(self, message: PlanRows.Nudged) -> None:
        """A quarter of an hour."""
        self.action_shift("LATER" if message.later else "SOONER")

    def action_at(self) -> None:
        """Begin the chosen work at a time that is typed."""
        told, works = self.told, self._works
        if told is None or not works:
            return
        name = works[0].code if len(works) == 1 else "this session"
        card = BeginCard(name, works[0].begins, self.shop.settings, self.clock())

        def put(hour: float | None) -> None:
            if hour is not None:
                self._move(lambda: move.put_at(told.made, works, hour))

        self.app.push_screen(card, put)

    def on_plan_rows_dropped(self, message: PlanRows.Dropped) -> None:
        """Begin what was dragged where it was dropped."""
        told, works = self.told, message.line.works
        if told is not None and works:
            hour = max(self._hour_of(message.onto), self.clock())
            self._move(lambda: move.put_at(told.made, works, hour))

    def _hour_of(self, line: PlanLine) -> float:
        """When what is dropped on a line is to begin at the soonest."""
        if line.works:
            return line.works[0].begins
        date = line.day.date + dt.timedelta(days=1 if line.night else 0)
        return hour_of(pendulum.datetime(date.year, date.month, date.day, tz=self.shop.settings.zone))

    def action_pin(self) -> None:
        """Hold the chosen work where it is, or let go of it."""
        told, works = self.told, self._works
        if told is not None and works:
            held = all(w.pinned for w in works)
            self._move(lambda: move.free(works) if held else move.here(told.made, works))

    def action_divide(self) -> None:
        """Split off the part that the chosen work is of, or of the batch's own pieces the next one."""
        if self._part is not None:
            whole, part, pieces = self._part
            self.ask(
                lambda: divide_as(self.shop.standing(whole, self.clock()), part, pieces),
                lambda draft: split(self.shop, draft, self.clock()),
                (whole,),
            )

    def _move(self, pins: move.Mover) -> None:
        """Plan with some pins put or let go of; they are on disk before it is said."""
        try:
            found = pins()
        except FinishingError as problem:
            self.notify(plain(str(problem)), severity="warning", timeout=8, markup=False)
        else:
            assert self._basis is not None
            self._pinning = kept.changed(self._basis.pins, found)
            self._begin(self._on(found))

    def action_keep(self) -> None:
        """Go by this plan."""
        if self.told is not None:
            made, now = self.told.made, self.clock()
            self.attempt(lambda: self._kept(made, now))

    def _kept(self, made: Made, now: float) -> str:
        kept.keep(self.shop, made.asked.problem, made.outcome.schedule, now)
        self._basis = live.basis(self.shop, now)
        return "kept: later plans move as little of it as they must"

    def action_let_go(self) -> None:
        """Go by no kept plan."""
        if self._basis is not None and self._basis.kept_at is not None:
            self.attempt(self._forgotten)

    def _forgotten(self) -> str:
        kept.forget(self.shop)
        self._basis = live.basis(self.shop, self.clock())
        return "no plan is kept any more"

    def action_go_on(self) -> None:
        """Plan again from now, moving as little as it must."""
        self._begin(self._on())

    def action_afresh(self) -> None:
        """Plan whatever was planned before."""
        self._begin(Wants(fresh=True))

    def action_stop(self) -> None:
        """Leave it at the best plan so far."""
        if self._search is not None:
            self._search.stops.enough.set()
            self._searching = False
            self.refresh_bindings()

    def action_view(self) -> None:
        """Dates and reasons in place of the days, and back."""
        self.toggle_class("-dates")
        self.refresh_bindings()
        if self.has_class("-dates"):
            self.query_one("#beside").focus()
        else:
            self.query_one(PlanRows).focus()

    def on_plan_rows_chosen(self, message: PlanRows.Chosen) -> None:
        """Open the line's batch."""
        if message.line.works:
            self.post_message(self.OpenBatch(message.line.works[0].whole))
