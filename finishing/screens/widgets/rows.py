"""The rows of the bench: five groups of batches, each with its step, how it stands, and its bar on a shared axis."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import ClassVar

from rich.cells import cell_len, set_cell_size
from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.binding import Binding, BindingType
from textual.geometry import Region, Size
from textual.message import Message
from textual.reactive import reactive
from textual.scroll_view import ScrollView
from textual.strip import Strip

from finishing.exchange.plain import plain
from finishing.screens.widgets.axis import GLYPH, SPANS, Axis
from finishing.shop.bench import Bench, Group, Mark, Row


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the list: a heading, or a row."""

    heading: Group | None
    row: Row | None
    count: int = 0


@dataclass(frozen=True, slots=True)
class Columns:
    """Widths in cells. long_when: there is room to say when in full."""

    code: int
    what: int
    step: int
    when: int
    long_when: bool
    bar: int


class BenchRows(ScrollView, can_focus=True):
    """The list of batches. Up and down choose, enter does the next step."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "rows--heading",
        "rows--code",
        "rows--dim",
        "rows--when",
        "rows--now",
        "rows--cursor",
        "rows--night",
        "rows--hardening",
        "rows--open",
        "rows--shut",
        "rows--resting",
        "rows--free",
        "rows--nowline",
    }
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up,k", "move(-1)", "Up", show=False),
        Binding("down,j", "move(1)", "Down", show=False),
        Binding("pageup", "move(-8)", "Page up", show=False),
        Binding("pagedown", "move(8)", "Page down", show=False),
        Binding("home", "move(-9999)", "First", show=False),
        Binding("end", "move(9999)", "Last", show=False),
        Binding("enter", "choose", "Do next step", show=False),
        Binding("space", "mark", "Mark", show=False),
    ]

    cursor: reactive[int] = reactive(0)
    span: reactive[int] = reactive(1)

    @dataclass
    class Highlighted(Message):
        """Another row came under the cursor (None: there is none)."""

        row: Row | None

    @dataclass
    class Chosen(Message):
        """The maker wants to do the row's next step."""

        row: Row

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._bench: Bench | None = None
        self._lines: list[Line] = []
        self.marked: set[str] = set()
        """Codes of the batches marked to be done together."""
        self._guided: Mapping[str, str] = {}

    @property
    def row(self) -> Row | None:
        """The row under the cursor."""
        rows = self._rows()
        return rows[self.cursor] if rows else None

    def show(self, bench: Bench, running: Mapping[str, str] = MappingProxyType({})) -> None:
        """Show a bench, keeping the cursor on the same batch where it is still there.

        running: how far the pass guides that run are, in a word, by code.
        """
        self._guided = running
        code = self.row.code if self.row else None
        self._bench = bench
        self._lines = []
        for group in Group:
            rows = bench.group(group)
            if rows:
                self._lines.append(Line(group, None, len(rows)))
                self._lines += [Line(None, row) for row in rows]
        codes = [row.code for row in bench.rows]
        self.marked &= set(codes)
        self.set_reactive(BenchRows.cursor, codes.index(code) if code in codes else min(self.cursor, len(codes) - 1))
        self.set_reactive(BenchRows.cursor, max(self.cursor, 0))
        self._fit()
        self._follow()
        self.refresh()
        self.post_message(self.Highlighted(self.row))

    def go_to(self, code: str) -> None:
        """Put the cursor on a batch, if it is shown."""
        codes = [row.code for row in self._rows()]
        if code in codes:
            self.cursor = codes.index(code)

    def _rows(self) -> tuple[Row, ...]:
        return self._bench.rows if self._bench else ()

    def _line_of_cursor(self) -> int:
        row = self.row
        return next((i + 1 for i, line in enumerate(self._lines) if line.row is row), 0)

    def _follow(self) -> None:
        y = self._line_of_cursor()
        above = 2 if y >= 2 else 0
        self.scroll_to_region(Region(0, max(y - above, 0), 1, 1 + above), animate=False, force=True)

    def watch_cursor(self) -> None:
        """Keep the chosen row in sight and tell whoever listens."""
        self._follow()
        self.refresh()
        self.post_message(self.Highlighted(self.row))

    def watch_span(self) -> None:
        """Draw the bars anew over another stretch of time."""
        self.refresh()

    def action_move(self, by: int) -> None:
        """Move the cursor by so many rows."""
        last = len(self._rows()) - 1
        if last >= 0:
            self.cursor = min(max(self.cursor + by, 0), last)

    def action_choose(self) -> None:
        """Ask for the chosen row's next step."""
        if self.row is not None:
            self.post_message(self.Chosen(self.row))

    def action_mark(self) -> None:
        """Mark the chosen row, or take the mark off, and go on to the next."""
        if self.row is not None:
            self.marked ^= {self.row.code}
            self.refresh()
            self.action_move(1)

    def unmark(self) -> None:
        """Take every mark off."""
        self.marked.clear()
        self.refresh()

    def zoom(self, by: int) -> None:
        """Show more (1) or less (-1) time."""
        self.span = min(max(self.span + by, 0), len(SPANS) - 1)

    def on_click(self, event: events.Click) -> None:
        """A click chooses a row; a second click on it does its next step."""
        index = event.y + self.scroll_offset.y - 1
        if not 0 <= index < len(self._lines):
            return
        row = self._lines[index].row
        if row is None:
            return
        position = self._rows().index(row)
        if event.chain == 2 and position == self.cursor:
            self.action_choose()
        self.cursor = position

    def on_resize(self) -> None:
        """The bars take what width there is."""
        self._fit()

    def _fit(self) -> None:
        self.virtual_size = Size(self.scrollable_content_region.width, len(self._lines) + 1)

    def _widths(self) -> Columns:
        """Columns for the width there is: the bar takes what the words leave."""
        width = self.size.width
        code = min(max((cell_len(plain(row.code)) for row in self._rows()), default=4), 12) + 4
        what, step, brief = (26, 17, 14) if width >= 110 else (20, 16, 13) if width >= 76 else (17, 14, 13)
        stands = 34 if width >= 140 else 0
        bar = max(width - code - what - step - (stands or brief), 6)
        return Columns(code, what, step, stands or brief, bool(stands), bar)

    def render_line(self, y: int) -> Strip:
        """The axis stays on top; the rest scrolls beneath it."""
        if self._bench is None:
            return Strip.blank(self.size.width, self.rich_style)
        axis = Axis.around(self._bench.now, SPANS[self.span], self._widths().bar, self._bench.zone)
        if y == 0:
            return self._ruler(axis)
        index = y + self.scroll_offset.y - 1
        if index >= len(self._lines):
            return Strip.blank(self.size.width, self.rich_style)
        line = self._lines[index]
        if line.row is None:
            return self._heading(line, axis)
        return self._row(line.row, axis)

    def _style(self, name: str) -> Style:
        return self.get_component_rich_style(f"rows--{name}", partial=True)

    def _ruler(self, axis: Axis) -> Strip:
        left = self.size.width - axis.width
        base = self.rich_style
        text = set_cell_size("", left)
        return Strip([Segment(text, base), Segment(axis.ruler(), base + self._style("dim"))]).adjust_cell_length(
            self.size.width, base
        )

    def _heading(self, line: Line, axis: Axis) -> Strip:
        assert line.heading is not None
        base = self.rich_style
        left = self.size.width - axis.width
        words = f" {line.heading.heading.upper()} · {line.count}"
        heading = self._style("now") if line.heading is Group.NOW else self._style("heading")
        segments = [Segment(set_cell_size(words, left), base + heading)]
        return Strip(segments + self._bar_segments((None,) * axis.width, axis, base)).adjust_cell_length(
            self.size.width, base
        )

    def _row(self, row: Row, axis: Axis) -> Strip:
        chosen = row is self.row
        base = self.rich_style
        if chosen:
            base += self._style("cursor")
        columns = self._widths()
        phase = self._guided.get(row.code)
        pointer = ("▸" if chosen else " ") + ("+" if row.code in self.marked else " " if phase is None else "»")
        pieces = f" ×{row.pieces}"
        late = "!" if row.promise is not None and row.promise.late else ""
        name = _cut(plain(row.what), columns.what - 2 - cell_len(pieces)) + pieces
        code = base + self._style("code")
        bold = Style(bold=row.group is Group.NOW)
        when = row.stands if columns.long_when else row.brief
        if phase is not None:
            when = f"guide runs: {phase}" if columns.long_when else "guide runs"
        segments = [
            Segment(set_cell_size(f"{pointer}{_cut(plain(row.code), columns.code - 4)}{late}", columns.code), code),
            Segment(set_cell_size(name, columns.what), base),
            Segment(set_cell_size(_cut(plain(row.brief_do), columns.step - 1), columns.step), base + bold),
            Segment(set_cell_size(_cut(plain(when), columns.when - 1), columns.when), base + self._style("when")),
        ]
        segments += self._bar_segments(tuple(axis.bar(row.stretches)), axis, base)
        return Strip(segments).adjust_cell_length(self.size.width, base)

    def _bar_segments(self, marks: tuple[Mark | None, ...], axis: Axis, base: Style) -> list[Segment]:
        assert self._bench is not None
        now = axis.column(self._bench.now)
        night = self._style("night")
        segments = []
        for column, (mark, dark) in enumerate(zip(marks, axis.nights(), strict=True)):
            style = base + night if dark else base
            glyph = " "
            if mark is not None:
                glyph = GLYPH[mark]
                style += self._style(mark.value)
            elif dark:
                glyph = "·"
                style += self._style("dim")
            if column == now:
                glyph = "┃"
                style += self._style("nowline")
            segments.append(Segment(glyph, style))
        return segments


def _cut(text: str, width: int) -> str:
    """Text in at most so many cells, the cut shown."""
    return text if cell_len(text) <= width else set_cell_size(text, max(width - 1, 0)).rstrip() + "…"
