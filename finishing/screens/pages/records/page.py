"""Looking back: a month's report, or where a lot, a can or a batch leads; and what goes out on paper or as a file."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import ClassVar

import pendulum
from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widgets import Static

from finishing.clock import Clock, at_zone, now_hour
from finishing.errors import FinishingError
from finishing.exchange.plain import plain
from finishing.screens.pages.page import Page
from finishing.screens.pages.records.cards import FileCard, Print, PrintCard, TraceCard
from finishing.screens.pages.working import Tell
from finishing.shop import calendar, cards, exporting
from finishing.shop.card_words import open_date_words
from finishing.shop.cards import Printed
from finishing.shop.report import report
from finishing.shop.report_words import report_lines
from finishing.shop.shop import Shop
from finishing.shop.trace import trace
from finishing.shop.trace_words import trace_lines
from finishing.units import counted

RECORDS_HELP = """Records

A month of the shop: pieces finished, hours, finish used and what it cost, and how many
of the promised dates were kept. Hours are as the pass guide timed them, else at the pace
learned of your hands, else as the schedule states.

Trace goes both ways. A lot or a can leads to every batch that got it or may have, and
where that is now; a batch leads to its cans and lots, its air, and who did it.

Keys
  m          this month's report
  comma      the month before
  .          the month after
  t          trace a lot, a can or a batch
  p          print cards for the rack or the customer, or a batch's record, as PDF
  k          write what is to come as a calendar; written again, it updates
  w          write everything on record as CSV, or as JSON where the name ends so
Files are for your eyes alone; send them on as you like."""
"""The help of the records page."""


class RecordsPage(Page):
    """The page. word: what to trace at once, kind: which of lot, can and batch it is; without, the month's report."""

    HELP = RECORDS_HELP
    CSS_PATH = "records.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("t", "trace", "Trace"),
        Binding("m", "month", "Month"),
        Binding("comma", "turn(-1)", "Month before", show=False),
        Binding("full_stop", "turn(1)", "Month after", show=False),
        Binding("p", "print", "Print"),
        Binding("k", "calendar", "Calendar"),
        Binding("w", "write", "Write out"),
    ]

    def __init__(self, shop: Shop, clock: Clock = now_hour, word: str = "", kind: str | None = None) -> None:
        super().__init__(shop, clock)
        self._word, self._kind = word, kind
        self._month: str | None = None

    def body(self) -> ComposeResult:
        """What was found."""
        with VerticalScroll(id="found"):
            yield Static("", id="lines", markup=False)

    def on_mount(self) -> None:
        """Begin where it scrolls."""
        self.query_one("#found").focus()

    def title_words(self) -> str:
        """What is shown."""
        return f"records · trace of {plain(self._word)}" if self._word else "records · a month"

    def look(self) -> None:
        """Read it anew, and show it."""
        now = self.clock()
        try:
            if self._word:
                lines = trace_lines(trace(self.shop, self._word, now, self._kind), self.shop.settings, now)
            else:
                lines = report_lines(report(self.shop, self._month, now), self.shop.settings)
        except FinishingError as problem:
            lines = [str(problem)]
        shown = Text("\n".join(plain(line) for line in lines))
        shown.stylize("bold", 0, len(plain(lines[0])) if lines else 0)  # what it is of, seen first
        self.query_one("#lines", Static).update(shown)

    def action_trace(self) -> None:
        """Ask what to trace, and show it."""

        def asked(word: str | None) -> None:
            if word is not None:
                self._word, self._kind = word, None
                self._anew()

        self.app.push_screen(TraceCard(), asked)

    def action_month(self) -> None:
        """This month's report."""
        self._word, self._month = "", None
        self._anew()

    def action_turn(self, by: int) -> None:
        """The report of a month earlier or later, no later than this one."""
        this = at_zone(self.clock(), self.shop.settings.zone)
        shown = this if self._month is None else pendulum.from_format(self._month, "YYYY-MM")
        other = pendulum.date(shown.year, shown.month, 1).add(months=by)
        if (1970, 1) <= (other.year, other.month) <= (this.year, this.month):
            self._word, self._month = "", other.format("YYYY-MM")
            self._anew()

    def _anew(self) -> None:
        self.refresh_page()
        self.query_one("#found").scroll_home(animate=False)

    def action_print(self) -> None:
        """Ask for cards, and write them."""
        print_on(self)

    def action_calendar(self) -> None:
        """Ask for a file, and write the calendar."""
        said = "Windows, planned wipe-offs, releases, and when to re-oil samples you keep."
        card = FileCard("What is to come, as a calendar", "Write it", "file", "shop.ics", said)
        self.app.push_screen(card, lambda file: None if file is None else self._calendar(file))

    def _calendar(self, file: Path) -> None:
        """What is to come is worked out at once, and written in a thread."""
        now = self.clock()
        try:
            ahead = calendar.look_ahead(self.shop, now)
        except FinishingError as problem:
            self.notify(plain(str(problem)), severity="error", timeout=8, markup=False)
            return

        def write(tell: Tell) -> str:
            tell(0, len(ahead.happenings))
            made = calendar.write_ahead(self.shop, ahead, file, now)
            notes = "".join(f"; {note}" for note in made.notes)
            return f"{file}: {made.new} new, {made.changed} changed, {made.cancelled} cancelled{notes}"

        self.work_at(f"Writing what is to come to {file}", write, "no calendar was written")

    def action_write(self) -> None:
        """Ask for a folder or file, and write everything."""
        said = "A folder of CSV files; a name that ends in .json: one JSON file."
        title = "Everything on record, written out"
        card = FileCard(title, "Write it", "folder or file", "everything", said)
        self.app.push_screen(card, lambda target: None if target is None else self._write(target))

    def _write(self, target: Path) -> None:
        form, now = "json" if target.suffix.lower() == ".json" else "csv", self.clock()

        def write(tell: Tell) -> str:
            counts = exporting.export(self.shop, target, form, now, tell)
            return f"{target}: {counted(sum(counts.values()), 'row')} of {len(counts)} tables"

        self.work_at(f"Writing everything to {target}", write, "nothing was written")


def print_on(page: Page, codes: Sequence[str] = ()) -> None:
    """Ask for cards and print them: what they say is worked out at once, and drawn in a thread."""

    def asked(wanted: Print | None) -> None:
        if wanted is None:
            return
        try:
            worded = cards.word_cards(page.shop, wanted.draft, page.clock())
        except FinishingError as problem:
            page.notify(plain(str(problem)), severity="error", timeout=8, markup=False)
        else:
            drawn = f"Printing {counted(len(worded.contents) * wanted.draft.copies, 'card')} to {wanted.file}"
            page.work_at(
                drawn, lambda tell: _printed(cards.draw_cards(worded, wanted.file, tell)), "nothing was printed"
            )

    page.app.push_screen(PrintCard(codes), asked)


def _printed(made: Printed) -> str:
    """Where the cards are, and what could not be printed."""
    said = f"{made.file}: {counted(made.cards, 'card')} on {counted(made.pages, 'page')}"
    said += "".join(f"; {open_date_words(code, coats)}" for code, coats in made.open_dates)
    said += f"; {made.surer}" if made.surer else ""
    if made.unprintable:
        said += f"; no font has {', '.join(f'U+{ord(sign):04X}' for sign in made.unprintable)}"
    return said + (f"; too long, cut: {', '.join(text[:40] for text in made.cut)}" if made.cut else "")
