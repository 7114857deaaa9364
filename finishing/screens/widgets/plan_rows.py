"""A plan by day: what is done in each session, and the nights between, with a cursor, and work that can be dragged."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar

import pendulum
from rich.cells import cell_len, set_cell_size
from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.binding import Binding
from textual.geometry import Region, Size
from textual.message import Message
from textual.reactive import reactive
from textual.scroll_view import ScrollView
from textual.strip import Strip

from finishing.clock import at_zone
from finishing.exchange.plain import plain
from finishing.shop.plan.sheet import Day, PlanSheet, Session, Work
from finishing.shop.plan.words import night_words
from finishing.units import show_duration, show_work

BAR = 16
"""Cells that show how full a session is."""


@dataclass(frozen=True, slots=True)
class PlanLine:
    """A day's heading, a session, a work in it, or the night after the day: what is not None, the last of them."""

    day: Day
    session: Session | None = None
    work: Work | None = None
    night: bool = False

    @property
    def works(self) -> tuple[Work, ...]:
        """What is moved when this line is."""
        if self.work is not None:
            return (self.work,)
        return () if self.session is None else self.session.works

    @property
    def mark(self) -> tuple[object, ...]:
        """What makes it the same line in another plan."""
        if self.work is not None:
            return ("work", self.work.code, self.work.steps, self.work.number)
        if self.session is not None:
            return ("session", self.session.until)
        return ("night" if self.night else "day", self.day.date)


def lines_of(sheet: PlanSheet) -> list[PlanLine]:
    """A plan line by line."""
    lines = []
    for day in sheet.days:
        lines.append(PlanLine(day))
        for session in day.sessions:
            lines.append(PlanLine(day, session))
            lines += [PlanLine(day, session, work) for work in session.works]
        if day.nights:
            lines.append(PlanLine(day, night=True))
    return lines


class PlanRows(ScrollView, can_focus=True):
    """The plan. Up and down choose a line; a work or a session is dragged to where it is to begin."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "plan--day",
        "plan--session",
        "plan--code",
        "plan--dim",
        "plan--late",
        "plan--cursor",
        "plan--night",
        "plan--drop",
    }
    BINDINGS: ClassVar[list[Binding | tuple[str, str] | tuple[str, str, str]]] = [
        Binding("up", "move(-1)", "Up", show=False),
        Binding("down", "move(1)", "Down", show=False),
        Binding("pageup", "move(-10)", "Page up", show=False),
        Binding("pagedown", "move(10)", "Page down", show=False),
        Binding("home", "move(-9999)", "First", show=False),
        Binding("end", "move(9999)", "Last", show=False),
        Binding("left", "nudge(False)", "Sooner", show=False),
        Binding("right", "nudge(True)", "Later", show=False),
        Binding("enter", "choose", "Open the batch", show=False),
    ]

    cursor: reactive[int] = reactive(0)

    @dataclass
    class Highlighted(Message):
        """Another line came under the cursor (None: there is none)."""

        line: PlanLine | None

    @dataclass
    class Chosen(Message):
        """The maker wants to see the line's batch."""

        line: PlanLine

    @dataclass
    class Nudged(Message):
        """What is on the chosen line is to begin a little sooner or later."""

        later: bool

    @dataclass
    class Dropped(Message):
        """A line was dragged onto another."""

        line: PlanLine
        onto: PlanLine

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._lines: list[PlanLine] = []
        self._sheet: PlanSheet | None = None
        self._units = "metric"
        self._late: frozenset[str] = frozenset()
        self._held: int | None = None
        self._over: int | None = None

    @property
    def line(self) -> PlanLine | None:
        """The line under the cursor."""
        return self._lines[self.cursor] if self._lines else None

    @property
    def lines(self) -> Sequence[PlanLine]:
        """Every line."""
        return self._lines

    def show(self, sheet: PlanSheet, units: str) -> None:
        """Show a plan, the cursor on the same line where there still is one; at first on the first work."""
        old, first = self.line, self._sheet is None
        self._sheet, self._units = sheet, units
        self._late = frozenset(line.code for line in sheet.missed)
        self._lines = lines_of(sheet)
        self._held = self._over = None
        marks = [line.mark for line in self._lines]
        if old is not None and old.mark in marks:
            at = marks.index(old.mark)
        elif first:
            at = next((i for i, line in enumerate(self._lines) if line.work is not None), 0)
        else:
            at = min(self.cursor, len(self._lines) - 1)
        self.set_reactive(PlanRows.cursor, max(at, 0))
        self._fit()
        self._follow()
        self.refresh()
        self.post_message(self.Highlighted(self.line))

    def watch_cursor(self) -> None:
        """Keep the chosen line in sight and tell whoever listens."""
        self._follow()
        self.refresh()
        self.post_message(self.Highlighted(self.line))

    def action_move(self, by: int) -> None:
        """Move the cursor by so many lines."""
        if self._lines:
            self.cursor = min(max(self.cursor + by, 0), len(self._lines) - 1)

    def action_choose(self) -> None:
        """Ask for the chosen line's batch."""
        if self.line is not None:
            self.post_message(self.Chosen(self.line))

    def action_nudge(self, later: bool) -> None:
        """Ask for the chosen line to be moved a little."""
        if self.line is not None and self.line.works:
            self.post_message(self.Nudged(later))

    def on_mouse_down(self, event: events.MouseDown) -> None:
        """Choose the line, and take hold of what is on it."""
        index = self._at(event)
        if index is None:
            return
        self.cursor = index
        if self._lines[index].works:
            self._held = index
            self.capture_mouse()

    def on_mouse_move(self, event: events.MouseMove) -> None:
        """Show where it would be dropped."""
        if self._held is not None:
            over = self._at(event)
            over = None if over == self._held else over
            if over != self._over:
                self._over = over
                self.refresh()

    def on_mouse_up(self, event: events.MouseUp) -> None:
        """Drop it on another line."""
        held, over = self._held, self._at(event)
        self._held = self._over = None
        self.release_mouse()
        self.refresh()
        if held is not None and over is not None and over != held:
            self.post_message(self.Dropped(self._lines[held], self._lines[over]))

    def on_click(self, event: events.Click) -> None:
        """A second click on a line opens its batch."""
        if event.chain == 2 and self._at(event) == self.cursor:
            self.action_choose()

    def _at(self, event: events.MouseEvent) -> int | None:
        index = int(event.y) + self.scroll_offset.y
        return index if 0 <= event.y < self.size.height and index < len(self._lines) else None

    def on_resize(self) -> None:
        """The columns take what width there is."""
        self._fit()

    def _fit(self) -> None:
        self.virtual_size = Size(self.scrollable_content_region.width, len(self._lines))

    def _follow(self) -> None:
        above = 1 if self.cursor else 0
        self.scroll_to_region(Region(0, self.cursor - above, 1, 1 + above), animate=False, force=True)

    def render_line(self, y: int) -> Strip:
        """One line."""
        index = y + self.scroll_offset.y
        width, base = self.scrollable_content_region.width, self.rich_style
        if self._sheet is None or index >= len(self._lines):
            return Strip.blank(width, base)
        line = self._lines[index]
        chosen, over = index == self.cursor, index == self._over
        if chosen:
            base += self._style("cursor")
        elif over:
            base += self._style("drop")
        elif line.night:
            base += self._style("night")
        pointer = "▸ " if chosen else "◂ " if over else "  "
        segments = [Segment(pointer, base), *self._words(line, base, width - 2)]
        return Strip(segments).adjust_cell_length(width, base)

    def _style(self, name: str) -> Style:
        return self.get_component_rich_style(f"plan--{name}", partial=True)

    def _words(self, line: PlanLine, base: Style, width: int) -> list[Segment]:
        assert self._sheet is not None
        if line.work is not None:
            return self._work(line.work, base, width)
        if line.session is not None:
            return self._session(line.session, base, width)
        if line.night:
            said = night_words(line.day.nights, self._units)
            return [Segment(_cut(plain(f"   ~ night: {said}"), width), base + self._style("dim"))]
        date = line.day.date
        words = pendulum.date(date.year, date.month, date.day).format("ddd D MMM").upper()
        rest = "" if line.day.sessions else "  no work"
        return [Segment(words, base + self._style("day")), Segment(rest, base + self._style("dim"))]

    def _session(self, session: Session, base: Style, width: int) -> list[Segment]:
        free = session.until - session.ends
        left = f", {show_duration(free)} left" if free >= 0.25 else ""
        left = ", outside your hours" if session.outside else left
        head = f"{self._clock(session.begins)}-{self._clock(session.ends)}  "
        words = f"{filled(session)}  {show_work(session.minutes)} of work{left}"
        return [Segment(head, base + self._style("session")), Segment(_cut(words, width - len(head)), base)]

    def _work(self, work: Work, base: Style, width: int) -> list[Segment]:
        code = min(max((cell_len(plain(w.code)) for line in self._lines for w in line.works), default=4), 12) + 1
        pieces = f"×{work.of}" if work.pieces == work.of else f"{work.pieces} of {work.of}"
        what = 24 if width >= 76 else 20
        name = _cut(plain(work.what), what - 2 - cell_len(pieces)) + f" {pieces}"
        late = work.code in self._late
        mark = "*" if work.pinned else " "
        head = f" {self._clock(work.begins)}{mark}{show_work(work.minutes):>7} "
        return [
            Segment(head, base),
            Segment("!" if late else " ", base + self._style("late")),
            Segment(set_cell_size(_cut(plain(work.code), code - 1), code), base + self._style("code")),
            Segment(set_cell_size(name, what), base),
            Segment(_cut(plain(work.brief), max(width - len(head) - 1 - code - what, 4)), base),
        ]

    def _clock(self, hour: float) -> str:
        assert self._sheet is not None
        return at_zone(hour, self._sheet.zone).format("HH:mm")


def filled(session: Session, cells: int = BAR) -> str:
    """How much of a session's hours is worked, as a bar."""
    room = (session.until - session.begins) * 60.0
    full = cells if room <= 0 else min(round(cells * session.minutes / room), cells)
    return "▬" * full + "·" * (cells - full)


def _cut(text: str, width: int) -> str:
    """Text in at most so many cells, the cut shown."""
    return text if cell_len(text) <= width else set_cell_size(text, max(width - 1, 0)).rstrip() + "…"
