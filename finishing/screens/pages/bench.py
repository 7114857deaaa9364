"""The home screen: what can my hands do now, and what next?"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Static

from finishing.clock import Clock, now_hour
from finishing.cure.terms import StepKind
from finishing.cure.work import Entry
from finishing.exchange.plain import plain
from finishing.screens.pages.filter import Filter, FilterCard
from finishing.screens.pages.page import Page
from finishing.screens.pages.record_step import RecordStep
from finishing.screens.widgets.detail import Detail
from finishing.screens.widgets.rows import BenchRows
from finishing.shop import guide as guides
from finishing.shop import record, several
from finishing.shop.allowed import gap
from finishing.shop.bench import Bench, Group, Row
from finishing.shop.drafts import NewBatchDraft, StepDraft, Suggestion
from finishing.shop.shop import Shop
from finishing.shop.suggest import suggest

LEGEND = "─ hardens   ━ open   ╳ shut   ┄ rests   ═ may go out   · night   ┃ now"


EMPTY = """Nothing on the bench yet.
n  adds the first batch: what it is, how many, of which wood, by which schedule
2  shows the schedules and finishes; ? explains this page"""


BENCH_HELP = """The bench

Batches stand under what your hands can do now, later today, or later; what only
rests; and what is ready to go out. Within a group the one that shuts or opens
first stands first.

The bar is time, the night dotted:
  ─  the last coat hardens: wait
  ━  the next step is open: do it
  ╳  the recoat window has shut: abrade first, then coat
  ┄  the last coat is on and rests
  ═  it may be packed and go out
  ┃  now
A » before the code: its pass guide runs, g goes back to it. A ! after it: it
misses the date it is wanted by, even with each step at its earliest in your
hours, or has no date; the plan (7) says what would help.

Keys
  up, down      choose a batch
  c             record its next coat; enter again puts it on record
  space         mark it: then c records the same coat for all that are marked
  g             pass guide: coat, wipe and turn piece by piece, with a bell
  t             touch test: record what the finger found
  o             open its page: steps, windows, record
  f, /          show only some batches; find anything on record
  d or enter    record its next step, whatever it is; what is ready goes out
  n             add a batch
  u             undo its newest entry (the entry stays, marked void)
  + and -       show less or more time along the bars
  p             every other page: library, cans, climate, plan, records; from
                anywhere the digits go there, 1 comes back to the bench
  q             leave

Times are when a step can be counted on at your level of certainty (80 % unless
you changed it). "Could be", "likely" and "count on" are 20, 50 and 90 in a
hundred. A finger on the film always knows better: record what it found."""
"""The help of the bench."""


class BenchScreen(Page):
    """The bench."""

    HELP = BENCH_HELP
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("c", "coat", "Coat"),
        Binding("d", "step", "Step"),
        Binding("n", "new", "New"),
        Binding("g", "guide", "Guide"),
        Binding("t", "touch", "Test"),
        Binding("o", "open", "Open"),
        Binding("f", "filter", "Filter"),
        Binding("slash", "find", "Find", key_display="/", show=False),
        Binding("u", "undo", "Undo"),
        Binding("p", "app.pages", "Pages"),
        Binding("plus,equals_sign", "zoom(-1)", "Closer", show=False),
        Binding("minus", "zoom(1)", "Wider", show=False),
        Binding("q", "app.quit", "Quit"),
        Binding("escape", "back", "Back", show=False),
    ]

    def __init__(self, shop: Shop, clock: Clock = now_hour) -> None:
        super().__init__(shop, clock)
        self.bench: Bench | None = None
        self.filter = Filter()

    def body(self) -> ComposeResult:
        """Rows with the chosen one's detail, and the legend."""
        with Horizontal(id="body"):
            yield BenchRows(id="rows")
            with VerticalScroll(id="side", can_focus=False):
                yield Detail(id="detail")
        yield Static(LEGEND, id="legend", markup=False)

    def look(self) -> None:
        """Read the shop and show it."""
        whole = self.shop.bench(self.clock())
        self.bench = replace(whole, rows=tuple(row for row in whole.rows if self.filter.keeps(row)))
        running = {guide.code: guide.run().phase.value for guide in guides.running(self.shop)}
        self.query_one(BenchRows).show(self.bench, running)

    def title_words(self) -> str:
        """How many batches want hands now."""
        hands = len(self.bench.group(Group.NOW)) if self.bench else 0
        name = "" if self.shop.invented else "bench · "
        only = f" · only {plain(self.filter.words)}" if self.filter.words else ""
        late = sum(promise.late for _, promise in self.bench.wanted) if self.bench else 0
        late_words = f" · {late} late" if late else ""
        return (f"{name}{hands} now" if hands else f"{name}nothing now") + late_words + only

    def on_bench_rows_highlighted(self, message: BenchRows.Highlighted) -> None:
        """Show the batch under the cursor beside the list."""
        assert self.bench is not None
        reasons = self.shop.reasons(message.row.code, self.bench.now) if message.row else []
        empty = "No batch here is what you asked for.\nf shows others" if self.filter.words else EMPTY
        self.query_one(Detail).show(message.row, reasons, self.bench.zone, self.shop.settings.units, empty=empty)

    def on_bench_rows_chosen(self, message: BenchRows.Chosen) -> None:
        """Do the next step of the chosen batch."""
        self._record(message.row)

    def action_coat(self) -> None:
        """Record the next coat of the batch under the cursor, or of all that are marked."""
        rows = self.query_one(BenchRows)
        assert self.bench is not None
        if rows.marked:
            self._coat_all([row for row in self.bench.rows if row.code in rows.marked])
        elif rows.row is not None:
            position = coat_to_record(rows.row)
            if position is None:
                self.notify("every coat of this batch is on", markup=False)
            else:
                self._record(rows.row, position)

    def _coat_all(self, chosen: list[Row]) -> None:
        """The same coat for several batches: one card, then an entry for each."""
        positions = {row.code: coat_to_record(row) for row in chosen}
        done = [code for code, position in positions.items() if position is None]
        finishes = {
            row.progress.batch.schedule.steps[position].finish
            for row in chosen
            if (position := positions[row.code]) is not None
        }
        if done or len(finishes) != 1:
            why = f"every coat is on: {', '.join(done)}" if done else "their next coats are of different finishes"
            self.notify(plain(f"not one coat for all: {why}"), severity="warning", markup=False)
            return
        going = {code: position for code, position in positions.items() if position is not None}
        self.ask(
            lambda: self._step_card(several.suggest_all(self.shop, going, self.clock())),
            lambda draft: self._save_all(draft, going),
            list(going),
        )

    def _step_card(self, suggestion: Suggestion) -> RecordStep:
        settings = self.shop.settings
        return RecordStep(suggestion, zone=settings.zone, system=settings.units, clock=self.clock)

    def _save_all(self, draft: StepDraft, positions: Mapping[str, int]) -> str:
        said = several.record_all(self.shop, draft, positions, self.clock())
        self.query_one(BenchRows).unmark()
        return said

    def action_step(self) -> None:
        """Record the next step of the batch under the cursor."""
        row = self.query_one(BenchRows).row
        if row is not None:
            self._record(row)

    def _record(self, row: Row, position: int | None = None) -> None:
        if position is None and row.progress.next is None and not self._wipe_left(row):
            self._send_out(row)
            return
        self.ask(
            lambda: self._step_card(suggest(self.shop, row.code, position, self.clock())),
            lambda draft: record.record_step(self.shop, draft, self.clock()),
            [row.code],
        )

    def _wipe_left(self, row: Row) -> bool:
        """Whether the last coat, still fresh, has its wiping off to be recorded."""
        now = self.clock()
        return row.group is not Group.READY and record.late_wipe(self.shop.standing(row.code, now), now) is not None

    def _send_out(self, row: Row) -> None:
        """With no step left: close a batch that may be packed; of another say that it rests."""
        if row.group is not Group.READY:
            said = f"{row.code}: {row.do}, no step is left (o, then r, releases it early)"
            self.notify(plain(said), markup=False)
            return
        from finishing.screens.pages.batch import ask
        from finishing.screens.pages.batch.look import look

        self.ask(
            lambda: ask.leave(look(self.shop, row.code, self.clock())),
            lambda note: record.close(self.shop, row.code, self.clock(), note),
            [row.code],
        )

    def action_open(self) -> None:
        """Go to the page of the batch under the cursor."""
        row = self.query_one(BenchRows).row
        if row is not None:
            self.post_message(self.OpenBatch(row.code))

    def action_guide(self) -> None:
        """Go to the pass guide of the batch under the cursor."""
        row = self.query_one(BenchRows).row
        if row is not None:
            self.post_message(self.OpenGuide(row.code, next_coat(row)))

    def action_touch(self) -> None:
        """Record a touch test of the batch under the cursor."""
        row = self.query_one(BenchRows).row
        if row is not None:
            from finishing.screens.pages.felt import feel

            feel(self, row.code)

    def action_find(self) -> None:
        """Go to the page that finds anything."""
        self.post_message(self.OpenPage("find"))

    def action_filter(self) -> None:
        """Choose which batches are shown."""
        self.app.push_screen(FilterCard(self.shop.bench(self.clock()).rows, self.filter), self._apply_filter)

    def _apply_filter(self, chosen: Filter | None) -> None:
        if chosen is not None:
            self.filter = chosen
            self.refresh_page()

    def action_new(self) -> None:
        """Add a batch by form."""
        if not self.may_record():
            return
        from finishing.screens.pages.new_batch import NewBatch

        self.app.push_screen(NewBatch(self.shop, self.clock), self._save_batch)

    def _save_batch(self, draft: NewBatchDraft | None) -> None:
        if draft is not None:
            from finishing.shop import batches

            added: list[str] = []

            def add() -> str:
                added.append(batches.begin_batch(self.shop, draft, self.clock()))
                return batches.added_words(draft, added[0])

            if self.attempt(add):
                self.query_one(BenchRows).go_to(added[0])  # the next key is for it: its first step, most often

    def action_undo(self) -> None:
        """Void the newest entry of the batch under the cursor, after saying which."""
        row = self.query_one(BenchRows).row
        if row is None:
            return
        from finishing.screens.pages.batch import ask
        from finishing.screens.pages.batch.look import look

        entry: list[Entry] = []

        def card() -> ModalScreen[bool | None]:
            found = look(self.shop, row.code, self.clock())
            entry.append(ask.undo(found))
            return ask.taken_back(found, entry[0])

        self.ask(card, lambda _: record.take_back(self.shop, row.code, entry[0].number, self.clock()), [row.code])

    def action_zoom(self, by: int) -> None:
        """Show more or less time along the bars."""
        self.query_one(BenchRows).zoom(by)


def coat_to_record(row: Row) -> int | None:
    """Position of the coat to record: one that is missing below another, else the first not yet on."""
    missing = gap(row.progress)
    return next_coat(row) if missing is None else missing


def next_coat(row: Row) -> int | None:
    """Position of the first coat not yet on."""
    following = row.progress.next
    if following is None:
        return None
    steps = row.progress.batch.schedule.steps
    return next((i for i in range(following.position, len(steps)) if steps[i].kind is StepKind.COAT), None)
