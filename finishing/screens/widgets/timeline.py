"""A batch's coats on a time axis, before the air they stand in: a hill of temperature under a sky with the nights.

Each coat is a line of its own: hardening, open, shut, and a letter where a stage is likely. The chosen coat, or all
where there is room, also has its letters at the three levels of certainty.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar

from rich.cells import set_cell_size
from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.binding import Binding, BindingType
from textual.message import Message
from textual.reactive import reactive
from textual.strip import Strip
from textual.widget import Widget

from finishing.clock import at_zone
from finishing.cure.coat import Coat, StageTime
from finishing.cure.terms import Stage
from finishing.cure.track import Track
from finishing.screens.widgets.axis import SPANS, Axis
from finishing.units import show_temperature

LETTER = {
    Stage.DUST_FREE: "D",
    Stage.TACK_FREE: "K",
    Stage.DRY_TO_TOUCH: "T",
    Stage.DRY_TO_RECOAT: "R",
    Stage.DRY_TO_HANDLE: "H",
    Stage.STACKABLE: "S",
    Stage.CURED: "C",
}

LETTERS = "D dust-free  K tack-free  T touch  R recoat  H handle  S stackable  C cured"
MARKS = "● coat ○ expected ─ hardens ━ open ╳ shut ═ packable ▿ cold ? no date · night"

LABEL = 17
LEVELS = ("could be", "likely", "count on")
EIGHTHS = "▁▁▂▃▄▅▆▇"
LEAST_PLOT = 5


@dataclass(frozen=True, slots=True)
class Lane:
    """One coat. end: when the next coat goes over it. last: no other coat goes over it, so it ends in packing."""

    label: str
    coat: Coat
    end: float | None
    last: bool


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the plot: a coat's bar (level None), or its letters at one level; lane None: air alone."""

    lane: int | None = None
    level: int | None = None


@dataclass
class Cell:
    """One cell of the plot: glyph, the style of the glyph, and what lies behind."""

    glyph: str = " "
    style: str = ""
    behind: str = "sky"


class Timeline(Widget, can_focus=True):
    """`show` fills it. Left and right move along the time and read off the air; up and down choose a coat."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        f"timeline--{name}"
        for name in (
            *("sky", "night", "hill", "edge", "dim", "star", "cold", "hardening", "open", "shut", "free"),
            *("letter", "chosen", "now", "cursor"),
        )
    }
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("left", "step(-1)", "Earlier", show=False),
        Binding("right", "step(1)", "Later", show=False),
        Binding("shift+left,pageup", "pan(-0.5)", "Earlier by half", show=False),
        Binding("shift+right,pagedown", "pan(0.5)", "Later by half", show=False),
        Binding("up", "choose(-1)", "Coat before", show=False),
        Binding("down", "choose(1)", "Coat after", show=False),
        Binding("home", "here", "Back to now", show=False),
    ]

    span: reactive[int] = reactive(1, init=False)
    cursor: reactive[float | None] = reactive(None, init=False)
    """The hour that is read off."""

    @dataclass
    class CoatChosen(Message):
        """Another coat was chosen, by its place in the list."""

        lane: int

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._lanes: Sequence[Lane] = ()
        self._track: Track | None = None
        self._now, self._zone, self._system = 0.0, "UTC", "metric"
        self._away = 0.0
        self._room = LEAST_PLOT
        self.chosen = 0
        self._lines: list[Line] = []
        self._grid: list[list[Cell]] | None = None
        self._scale = (0, 1)

    def show(self, lanes: Sequence[Lane], track: Track, now: float, zone: str, system: str) -> None:
        """Show these coats, in order, and the air along the batch's track."""
        self._lanes, self._track, self._now, self._zone, self._system = lanes, track, now, zone, system
        self.chosen = min(self.chosen, max(len(lanes) - 1, 0))
        self._lay_out()

    def choose(self, lane: int) -> None:
        """Choose a coat by its place in the list."""
        if self._lanes and lane != self.chosen:
            self.chosen = min(max(lane, 0), len(self._lanes) - 1)
            self._away = 0.0
            self._lay_out()
            self.post_message(self.CoatChosen(self.chosen))

    def give_room(self, rows: int) -> None:
        """How many rows the plot may take."""
        if rows != self._room:
            self._room = rows
            self._lay_out()

    def _lay_out(self) -> None:
        lanes = self._lanes_shown()
        every = 2 + 4 * len(lanes) <= self._room
        one = 2 + len(lanes) + 3 <= self._room
        lines = [Line()]
        for i in lanes:
            lines.append(Line(i))
            if every or (one and i == self.chosen):
                lines += [Line(i, level) for level in range(3)]
        lines += [Line()] * max(LEAST_PLOT - len(lines), 1)
        self._lines = lines
        self.styles.height = len(lines) + 3
        self._grid = None
        self.refresh()

    def _lanes_shown(self) -> range:
        """The coats there is room for, the chosen one among them."""
        most = max(self._room - 2, 3)
        first = min(max(self.chosen - most // 2, 0), max(len(self._lanes) - most, 0))
        return range(first, min(first + most, len(self._lanes)))

    @property
    def axis(self) -> Axis:
        """The stretch of time that is shown."""
        span, width = SPANS[self.span], max(self.size.width - LABEL - 1, 30)
        return Axis(self._start(span) + self._away, span, width, self._zone)

    def _start(self, span: float) -> float:
        """Now a sixth of the way along, or further where the chosen coat would be out of sight."""
        start = self._now - span / 6
        if self._lanes:
            at = self._lanes[self.chosen].coat.at
            start = min(start, at - span / 20)
            if at > start + span * 0.8:
                start = at - span * 0.6
        return start

    def watch_span(self) -> None:
        """Another scale."""
        self._grid = None
        self.refresh()

    def watch_cursor(self) -> None:
        """Bring the hour that is read off into sight."""
        axis = self.axis
        if self.cursor is not None and not axis.start <= self.cursor < axis.start + axis.span:
            self._away += (-0.5 if self.cursor < axis.start else 0.5) * axis.span
        self._grid = None
        self.refresh()

    def on_resize(self) -> None:
        """Another width."""
        self._grid = None

    def widen_to(self, since: float) -> None:
        """Show enough time to have both an hour and now in sight."""
        wide = (i for i, span in enumerate(SPANS) if i > 0 and span * 0.7 >= self._now - since)
        self.span = next(wide, len(SPANS) - 1)

    def zoom(self, by: int) -> None:
        """Show more (1) or less (-1) time."""
        self.span = min(max(self.span + by, 0), len(SPANS) - 1)

    def action_step(self, by: int) -> None:
        """Read off the air a column further on, or back."""
        axis = self.axis
        self.cursor = (self._now if self.cursor is None else self.cursor) + by * axis.span / axis.width

    def action_pan(self, share: float) -> None:
        """Look further ahead or back."""
        self._away += share * SPANS[self.span]
        self._grid = None
        self.refresh()

    def action_choose(self, by: int) -> None:
        """Choose another coat."""
        self.choose(self.chosen + by)

    def action_here(self) -> None:
        """Back to now, and read off nothing."""
        self._away = 0.0
        self.cursor = None
        self._grid = None
        self.refresh()

    def on_click(self, event: events.Click) -> None:
        """A click chooses the coat of the line, and reads off the air at the hour."""
        index = event.y - 1
        if 0 <= index < len(self._lines):
            lane = self._lines[index].lane
            if lane is not None:
                self.choose(lane)
            if event.x >= LABEL:
                self.cursor = self.axis.hour(event.x - LABEL + 0.5)

    def render_line(self, y: int) -> Strip:
        """Ruler, plot, letters, marks or what is read off."""
        if self._track is None:
            return Strip.blank(self.size.width, self.rich_style)
        axis = self.axis
        if self._grid is None or (self._grid and len(self._grid[0]) != axis.width):
            self._grid = self._paint(axis)
        if y == 0:
            return self._text(" " * LABEL + axis.ruler(), "dim")
        if y <= len(self._lines):
            return self._plot_line(y - 1, axis)
        if y == len(self._lines) + 1:
            return self._text(" " + LETTERS, "dim")
        said = self.reading()
        return self._text(" " + (said or MARKS), "letter" if said else "dim")

    def _text(self, text: str, style: str) -> Strip:
        base = self.rich_style
        return Strip([Segment(text, base + self._style(style))]).adjust_cell_length(self.size.width, base)

    def _style(self, name: str) -> Style:
        return self.get_component_rich_style(f"timeline--{name}", partial=True) if name else Style()

    def _plot_line(self, index: int, axis: Axis) -> Strip:
        assert self._grid is not None
        base, line = self.rich_style, self._lines[index]
        chosen = line.lane == self.chosen and line.lane is not None and line.level is None
        label = base + self._style("chosen" if chosen else "dim")
        segments = [Segment(set_cell_size(self._label(index), LABEL), label)]
        read = None if self.cursor is None else axis.column(self.cursor)
        styles: dict[tuple[str, str], Style] = {}  # few on a line, and dear to ask for a cell at a time
        for column, cell in enumerate(self._grid[index]):
            key = (cell.behind, cell.style)
            if key not in styles:
                styles[key] = base + self._style(cell.behind) + self._style(cell.style)
            style = styles[key]
            segments.append(Segment(cell.glyph, style + self._style("cursor") if column == read else style))
        return Strip(segments).adjust_cell_length(self.size.width, base).simplify()

    def _label(self, index: int) -> str:
        line = self._lines[index]
        if line.lane is None:
            low, high = self._scale
            scale = {0: high, len(self._lines) - 1: low}.get(index)
            return "" if scale is None else f"{show_temperature(scale, self._system):>{LABEL - 1}}"
        if line.level is not None:
            return f"    {LEVELS[line.level]}"
        return f"{'▸' if line.lane == self.chosen else ' '}{self._lanes[line.lane].label}"

    def reading(self) -> str:
        """What the air is at the hour that is read off; "" when nothing is."""
        if self.cursor is None or self._track is None:
            return ""
        place = self._track.place_at(self.cursor)
        warmth, damp = place.at(self.cursor)
        how = "read" if place.measured_at(self.cursor) else "expected" if self.cursor > self._now else "supposed"
        said = f"{at_zone(self.cursor, self._zone).format('ddd D MMM HH:mm')}: "
        said += f"{show_temperature(warmth, self._system)}, {damp:.0f} % RH, {how}"
        least = self._least()
        if least is not None and warmth < least:
            said += f"; below {show_temperature(least, self._system)} nothing hardens"
        return said

    def _least(self) -> float | None:
        """The chosen coat's finish stands still below this [°C]."""
        return self._lanes[self.chosen].coat.finish.limits.minimum_c if self._lanes else None

    def _paint(self, axis: Axis) -> list[list[Cell]]:
        assert self._track is not None
        warmth = [self._track.air_at(axis.hour(c + 0.5))[0] for c in range(axis.width)]
        grid = [[Cell() for _ in range(axis.width)] for _ in self._lines]
        least = self._least()
        self._hill(grid, warmth, axis.nights(), least)
        for row, line in enumerate(self._lines):
            if line.lane is not None:
                lane = self._lanes[line.lane]
                if line.level is None:
                    _bar(grid[row], lane, axis, warmth)
                    if not self._opened(line.lane):
                        _letters(grid[row], lane, axis, 1)
                else:
                    _letters(grid[row], lane, axis, line.level)
        now = axis.column(self._now)
        for cells in grid:
            if 0 <= now < axis.width and cells[now].style != "letter":
                cells[now].glyph, cells[now].style = "┃", "now"
        return grid

    def _opened(self, lane: int) -> bool:
        return any(line.lane == lane and line.level is not None for line in self._lines)

    def _hill(
        self, grid: list[list[Cell]], warmth: Sequence[float], nights: Sequence[bool], least: float | None
    ) -> None:
        """The temperature as a hill that rises from the bottom; stars above it at night; the minimum marked."""
        height = len(grid)
        known = [*warmth, *((least,) if least is not None else ())]
        low, high = math.floor(min(known)) - 1, math.ceil(max(known)) + 1
        self._scale = (low, high)
        up = [(t - low) / (high - low) * height for t in warmth]
        mark = None if least is None else height - 1 - int((least - low) / (high - low) * height)
        for row in range(height):
            for column, top in enumerate(up):
                cell, filled = grid[row][column], top - (height - 1 - row)
                cell.behind = "hill" if filled >= 0.5 else "night" if nights[column] else "sky"
                if 0.0 < filled < 1.0:
                    cell.behind = "night" if nights[column] else "sky"
                    cell.glyph, cell.style = EIGHTHS[int(filled * 8)], "edge"
                elif row == mark and column % 2:
                    cell.glyph, cell.style = "_", "cold"
                elif filled <= 0.0 and nights[column] and (column + 2 * row) % 4 == 0:
                    cell.glyph, cell.style = "·", "star"


def _bar(cells: list[Cell], lane: Lane, axis: Axis, warmth: Sequence[float]) -> None:
    """A coat from when it is put on until the next goes over it: hardening, open, shut; or until it may be packed."""
    coat, least = lane.coat, lane.coat.finish.limits.minimum_c
    ends = axis.start + axis.span if lane.end is None else lane.end
    opens, shuts = _window(lane)
    for column in range(max(axis.column(coat.at), 0), min(axis.column(ends) + 1, axis.width)):
        hour = axis.hour(column + 0.5)
        if opens is None or hour < opens:
            glyph, style = "╌" if coat.expected else "─", "hardening"
            if coat.undated and column % 6 == 3:
                glyph = "?"
            elif warmth[column] < least:
                glyph, style = "▿", "cold"
        elif shuts is not None and hour >= shuts:
            glyph, style = "╳", "shut"
        else:
            glyph = "═" if lane.last else "╍" if coat.expected else "━"
            style = "free" if lane.last else "open"
        cells[column].glyph, cells[column].style = glyph, style
    begun = axis.column(coat.at)
    if 0 <= begun < axis.width:
        cells[begun].glyph, cells[begun].style = "○" if coat.expected else "●", "letter"


def _window(lane: Lane) -> tuple[float | None, float | None]:
    """From when to when the next coat may go on; of the last coat, from when it may be packed."""
    if not lane.last:
        return lane.coat.window.opens, lane.coat.window.shuts
    time = lane.coat.stages.get(Stage.STACKABLE)
    return (None if time is None else time.at_level), None


def _letters(cells: list[Cell], lane: Lane, axis: Axis, level: int) -> None:
    """A stage's letter where it comes at one level; those of one column stand side by side."""
    coming = [(hour, stage) for stage, time in lane.coat.stages.items() if (hour := at_level(time, level)) is not None]
    free = 0
    for hour, stage in sorted(coming, key=lambda pair: (pair[0], list(Stage).index(pair[1]))):
        if lane.end is not None and hour > lane.end:
            continue
        column = max(axis.column(hour), free)
        if axis.hour(0) <= hour and column < axis.width:
            if cells[column].style == "letter":
                column += 1  # beside the mark of the coat itself
            if column < axis.width:
                cells[column].glyph, cells[column].style = LETTER[stage], "letter"
                free = column + 1


def at_level(time: StageTime | None, level: int) -> float | None:
    """When a stage comes at one of the three levels of certainty."""
    return None if time is None else (time.could_be, time.likely, time.count_on)[level]
