"""The home screen: what can my hands do now, and what next?"""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.screen import Screen
from textual.widgets import Footer, Static

from finishing.clock import at_zone, now_hour
from finishing.cure.terms import StepKind
from finishing.errors import FinishingError
from finishing.exchange.plain import plain
from finishing.screens.pages.new_batch import NewBatch
from finishing.screens.pages.record_step import RecordStep
from finishing.screens.widgets.detail import Detail
from finishing.screens.widgets.masthead import Masthead
from finishing.screens.widgets.rows import BenchRows
from finishing.shop import batches, record
from finishing.shop.bench import Bench, Group, Row
from finishing.shop.drafts import NewBatchDraft, StepDraft
from finishing.shop.shop import Shop

LOOK_EVERY = 1.0
"""Seconds between looks at whether another process changed the record."""

TURN_EVERY = 30.0
"""Seconds between redraws for the passing of time."""

LEGEND = "─ hardens  █ open  ╳ shut  ┄ rests  ▒ may go out  · night  ┃ now"


class BenchScreen(Screen[None]):
    """The bench."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("c", "coat", "Coat"),
        Binding("d", "step", "Do next step"),
        Binding("n", "new", "New batch"),
        Binding("u", "undo", "Undo"),
        Binding("plus,equals_sign", "zoom(-1)", "Closer", show=False),
        Binding("minus", "zoom(1)", "Wider", key_display="+/-"),
        Binding("question_mark", "app.help", "Help", key_display="?"),
        Binding("q", "app.quit", "Quit"),
    ]

    def __init__(self, shop: Shop) -> None:
        super().__init__()
        self.shop = shop
        self.bench: Bench | None = None

    def compose(self) -> ComposeResult:
        """Masthead, rows with their detail, legend and keys."""
        yield Masthead(id="masthead")
        with Horizontal(id="body"):
            yield BenchRows(id="rows")
            with VerticalScroll(id="side", can_focus=False):
                yield Detail(id="detail")
        yield Static(LEGEND, id="legend", markup=False)
        yield Footer(show_command_palette=False)

    def on_mount(self) -> None:
        """First look, and then a look whenever time passes or the record changes."""
        self.look()
        self.query_one(BenchRows).focus()
        self.set_interval(LOOK_EVERY, self._look_if_changed)
        self.set_interval(TURN_EVERY, self.look)

    def _look_if_changed(self) -> None:
        if self.shop.changed():
            self.look()

    def look(self) -> None:
        """Read the shop and show it."""
        now = now_hour()
        self.bench = self.shop.bench(now)
        self.query_one(BenchRows).show(self.bench)
        masthead = self.query_one(Masthead)
        masthead.title = self._title(self.bench)
        masthead.clock = at_zone(now, self.bench.zone).format("ddd D MMM HH:mm")
        masthead.air = self.shop.air_lines(now)

    def _title(self, bench: Bench) -> str:
        hands = len(bench.group(Group.NOW))
        invented = " (invented shop)" if self.shop.invented else ""
        return f"bench{invented}: {hands} for your hands now" if hands else f"bench{invented}: nothing to do now"

    def on_bench_rows_highlighted(self, message: BenchRows.Highlighted) -> None:
        """Show the batch under the cursor beside the list."""
        assert self.bench is not None
        reasons = self.shop.reasons(message.row.code, self.bench.now) if message.row else []
        self.query_one(Detail).show(message.row, reasons, self.bench.zone)

    def on_bench_rows_chosen(self, message: BenchRows.Chosen) -> None:
        """Do the next step of the chosen batch."""
        self._record(message.row)

    def action_coat(self) -> None:
        """Record the next coat of the batch under the cursor, whatever lesser steps come before it."""
        row = self.query_one(BenchRows).row
        if row is None:
            return
        position = next_coat(row)
        if position is None:
            self.notify("every coat of this batch is on", markup=False)
            return
        self._record(row, position)

    def action_step(self) -> None:
        """Record the next step of the batch under the cursor."""
        row = self.query_one(BenchRows).row
        if row is not None:
            self._record(row)

    def _record(self, row: Row, position: int | None = None) -> None:
        at = position if position is not None else row.progress.next.position if row.progress.next else None
        if at is None:
            self.notify(f"{plain(row.code)}: {plain(row.do)}, no step is left", markup=False)
            return
        suggestion = record.suggest(self.shop, row.code, at, now_hour())
        settings = self.shop.settings
        self.app.push_screen(RecordStep(suggestion, zone=settings.zone, system=settings.units), self._save_step)

    def _save_step(self, draft: StepDraft | None) -> None:
        if draft is None:
            return
        self._try(lambda: record.record_step(self.shop, draft, now_hour()))

    def action_new(self) -> None:
        """Add a batch by form."""
        self.app.push_screen(NewBatch(self.shop), self._save_batch)

    def _save_batch(self, draft: NewBatchDraft | None) -> None:
        if draft is not None:
            self._try(lambda: batches.add_batch(self.shop, draft, now_hour()))

    def action_undo(self) -> None:
        """Void the newest entry of the batch under the cursor."""
        row = self.query_one(BenchRows).row
        if row is not None:
            self._try(lambda: record.undo(self.shop, row.code, now_hour()))

    def _try(self, act: Callable[[], str]) -> None:
        """Do something to the record; say what was done once it is on disk, or why it was not."""
        try:
            said = act()
        except FinishingError as problem:
            self.notify(plain(str(problem)), severity="error", timeout=8, markup=False)
        else:
            self.notify(plain(said), markup=False)
        self.look()

    def action_zoom(self, by: int) -> None:
        """Show more or less time along the bars."""
        self.query_one(BenchRows).zoom(by)


def next_coat(row: Row) -> int | None:
    """Position of the first coat not yet on."""
    following = row.progress.next
    if following is None:
        return None
    steps = row.progress.batch.schedule.steps
    return next((i for i in range(following.position, len(steps)) if steps[i].kind is StepKind.COAT), None)
