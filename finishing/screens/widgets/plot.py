"""Curves over time in characters: lines of braille dots, rings, levels, night and now, on a labelled scale."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from typing import ClassVar

import numpy as np
import numpy.typing as npt
from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.message import Message
from textual.strip import Strip
from textual.widget import Widget

from finishing.screens.widgets.axis import Axis

Array = npt.NDArray[np.float64]

GUTTER = 9
"""Columns at the left for the scale."""

LEAST_WIDTH = 26
"""An axis of ten days has no room for its labels on less."""

STEPS = (1.0, 2.0, 5.0, 10.0, 20.0, 25.0, 50.0, 100.0)
NEAR = 3.0
"""A level this near to the curves stretches the scale until it is in sight."""

RING, LEVEL, NOW, DAY, NIGHT = "∘", "╌", "┃", "─", "▒"
_DOTS = ((0x01, 0x02, 0x04, 0x40), (0x08, 0x10, 0x20, 0x80))
_BRAILLE = 0x2800


class Manner(Enum):
    """How a curve is drawn: a line of dots four to a row, or a ring in each column."""

    LINE = "line"
    RINGS = "rings"


@dataclass(frozen=True, slots=True)
class Curve:
    """Values over hours. sure: drawn unbroken there, and with gaps elsewhere."""

    hours: Array
    values: Array
    sure: npt.NDArray[np.bool_]
    manner: Manner
    style: str


@dataclass(frozen=True, slots=True)
class Level:
    """A value with a name, drawn across."""

    value: float
    words: str


@dataclass(frozen=True, slots=True)
class Foot:
    """A row of numbers under the curves, at the axis' ticks."""

    label: str
    hours: Array
    values: Array


@dataclass(frozen=True, slots=True)
class Chart:
    """What a plot shows. unit stands at the top of the scale. bounds: the scale never goes beyond them."""

    start: float
    span: float
    now: float
    zone: str
    unit: str
    curves: tuple[Curve, ...]
    levels: tuple[Level, ...] = ()
    bounds: tuple[float, float] = (-math.inf, math.inf)
    ruler: bool = True
    foot: Foot | None = None


@dataclass(frozen=True, slots=True)
class Scale:
    """Values from low (bottom row) to high (top row) over so many rows, with a mark every `step`."""

    low: float
    high: float
    step: float
    rows: int

    @classmethod
    def over(cls, low: float, high: float, rows: int, bounds: tuple[float, float] = (-math.inf, math.inf)) -> Scale:
        """The narrowest scale of round numbers that holds low and high, its marks at least two rows apart."""
        for step in STEPS:
            bottom, top = math.floor(low / step) * step, math.ceil(high / step) * step
            if top - bottom < 2 * step:
                top = bottom + 2 * step
            if (top - bottom) / step <= max((rows - 1) / 2, 2):
                break
        if top > bounds[1]:
            top = bounds[1]
            bottom = min(bottom, top - 2 * step)
        return cls(max(bottom, bounds[0]), top, step, rows)

    def dot(self, value: float) -> int:
        """The dot row, four to a row of text, 0 at the top; may lie outside."""
        return round((self.high - value) / (self.high - self.low) * (4 * self.rows - 1))

    def row(self, value: float) -> int:
        """The row of text."""
        return self.dot(value) // 4

    def marks(self) -> dict[int, float]:
        """Values by the row they stand in."""
        count = round((self.high - self.low) / self.step)
        return {self.row(value): value for value in (self.low + n * self.step for n in range(count + 1))}


Cells = list[list[tuple[str, str]]]
"""Glyph and style name of each column of each row."""


def paint(chart: Chart, scale: Scale, axis: Axis) -> Cells:
    """The rows of the curves: levels below, then lines, rings, the levels' names, and now above all."""
    cells: Cells = [[(" ", "")] * axis.width for _ in range(scale.rows)]
    levels: dict[int, list[str]] = {}
    for level in chart.levels:
        if 0 <= (row := scale.row(level.value)) < scale.rows:
            levels.setdefault(row, []).append(level.words)
            cells[row] = [(LEVEL, "level")] * axis.width
    for curve in chart.curves:
        (_line if curve.manner is Manner.LINE else _rings)(cells, curve, scale, axis)
    above: tuple[int, int] | None = None
    for row, names in sorted(levels.items()):
        words = f" {_joined(names)} "
        if len(words) + 4 < axis.width:
            at = axis.width - 2 - len(words)
            if above is not None and row - above[0] == 1 and at + len(words) > above[1] > len(words) + 1:
                # Right below another name it would read as its second line: it goes to the left of that one.
                at = above[1] - 1 - len(words)
            cells[row][at : at + len(words)] = [(glyph, "level") for glyph in words]
            above = row, at
    if 0 <= (now := axis.column(chart.now)) < axis.width:
        for line in cells:
            line[now] = (NOW, "nowline")
    return cells


def _joined(names: Sequence[str]) -> str:
    """Names of levels in one row, a first word that all share said once: "least 4 °C and 5 °C"."""
    first = names[0].partition(" ")[0] + " "
    shared = first if all(name.startswith(first) for name in names) else ""
    return " and ".join(name.removeprefix(shared) if n else name for n, name in enumerate(names))


def _sampled(curve: Curve, points: Array) -> tuple[Array, npt.NDArray[np.bool_]]:
    """Values at points, NaN where there are none, and whether each is sure."""
    values = np.interp(points, curve.hours, curve.values, left=np.nan, right=np.nan)
    nearest = np.clip(np.searchsorted(curve.hours, points), 0, len(curve.hours) - 1)
    return values, curve.sure[nearest]


def _line(cells: Cells, curve: Curve, scale: Scale, axis: Axis) -> None:
    points = axis.start + (np.arange(2 * axis.width) + 0.5) * axis.span / (2 * axis.width)
    values, sure = _sampled(curve, points)
    masks = np.zeros((scale.rows, axis.width), dtype=np.int64)
    before: int | None = None
    for x, value in enumerate(values):
        if not math.isfinite(value):
            before = None
            continue
        dot = min(max(scale.dot(float(value)), 0), 4 * scale.rows - 1)
        column = x // 2
        if sure[x] or column % 2 == 0:
            nearer = dot if before is None or before == dot else before + (1 if dot > before else -1)
            for y in range(min(nearer, dot), max(nearer, dot) + 1):
                masks[y // 4, column] |= _DOTS[x % 2][y % 4]
        before = dot
    for row, column in np.argwhere(masks):
        cells[row][column] = (chr(_BRAILLE + int(masks[row, column])), curve.style)


def _rings(cells: Cells, curve: Curve, scale: Scale, axis: Axis) -> None:
    points = axis.start + (np.arange(axis.width) + 0.5) * axis.span / axis.width
    values, sure = _sampled(curve, points)
    for column, value in enumerate(values):
        if math.isfinite(value) and (sure[column] or column % 2 == 0):
            row = scale.row(float(value))
            if 0 <= row < scale.rows:
                cells[row][column] = (RING, curve.style)


class Plot(Widget):
    """A chart at whatever size there is. The wheel moves in time, with control it shows more or less of it."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "plot--scale",
        "plot--level",
        "plot--night",
        "plot--nowline",
        "plot--air",
        "plot--dew",
        "plot--damp",
    }
    DEFAULT_CSS = """
    Plot > .plot--scale { color: $foreground; text-style: dim; }
    Plot > .plot--level { color: $warning; }
    Plot > .plot--night { background: $night; }
    Plot > .plot--nowline { color: $foreground; text-style: bold; }
    Plot > .plot--air { color: $primary; }
    Plot > .plot--dew { color: $secondary; }
    Plot > .plot--damp { color: $success; }
    """

    @dataclass
    class Moved(Message):
        """The maker wants to see another stretch: so many steps later (or, negative, earlier)."""

        by: int

    @dataclass
    class Zoomed(Message):
        """The maker wants to see more (1) or less (-1) time."""

        by: int

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._chart: Chart | None = None
        self._drawn: tuple[int, int, list[Strip]] | None = None

    def show(self, chart: Chart) -> None:
        """Show a chart."""
        self._chart = chart
        self._drawn = None
        self.refresh()

    def notify_style_update(self) -> None:
        """Another palette: draw anew."""
        super().notify_style_update()
        self._drawn = None

    def on_mouse_scroll_down(self, event: events.MouseScrollDown) -> None:
        """Later, or more time."""
        event.stop()
        self.post_message(self.Zoomed(1) if event.ctrl else self.Moved(1))

    def on_mouse_scroll_up(self, event: events.MouseScrollUp) -> None:
        """Earlier, or less time."""
        event.stop()
        self.post_message(self.Zoomed(-1) if event.ctrl else self.Moved(-1))

    def render_line(self, y: int) -> Strip:
        """One row of the picture, drawn whole when the chart or the size is new."""
        width, height = self.size
        if self._drawn is None or self._drawn[:2] != (width, height):
            self._drawn = (width, height, self._draw(width, height))
        rows = self._drawn[2]
        return rows[y] if y < len(rows) else Strip.blank(width, self.rich_style)

    def _draw(self, width: int, height: int) -> list[Strip]:
        chart = self._chart
        if chart is None or width - GUTTER < LEAST_WIDTH:
            return []
        rows = height - 1 - chart.ruler - (chart.foot is not None)
        if rows < 2:
            return []
        axis = Axis(chart.start, chart.span, width - GUTTER, chart.zone)
        scale = scale_of(chart, rows)
        nights = axis.nights()
        strips = self._curve_rows(chart, scale, axis, nights)
        dim = self.rich_style + self._style("scale")
        rule = "".join(NIGHT if dark else DAY for dark in nights)
        strips.append(self._strip(f"{'':{GUTTER - 1}}└", [Segment(rule, dim)]))
        if chart.ruler:
            strips.append(self._strip(" " * GUTTER, [Segment(axis.ruler(), dim)]))
        if chart.foot is not None:
            text = foot_line(chart.foot, axis)
            strips.append(self._strip(chart.foot.label.rjust(GUTTER - 2) + "  ", [Segment(text, self.rich_style)]))
        return strips

    def _curve_rows(self, chart: Chart, scale: Scale, axis: Axis, nights: Sequence[bool]) -> list[Strip]:
        marks = scale.marks()
        top = min(marks)
        base, night = self.rich_style, self.rich_style + self._style("night")
        strips = []
        for row, line in enumerate(paint(chart, scale, axis)):
            label = f"{marks[row]:g}{f' {chart.unit}' if row == top else ''}" if row in marks else ""
            segments = []
            for (glyph, name), dark in zip(line, nights, strict=True):
                style = night if dark else base
                segments.append(Segment(glyph, style + self._style(name) if name else style))
            strips.append(self._strip(label.rjust(GUTTER - 2) + (" ┤" if label else " │"), segments))
        return strips

    def _strip(self, gutter: str, segments: list[Segment]) -> Strip:
        return Strip([Segment(gutter, self.rich_style + self._style("scale")), *segments]).simplify()

    def _style(self, name: str) -> Style:
        return self.get_component_rich_style(f"plot--{name}", partial=True)


def scale_of(chart: Chart, rows: int) -> Scale:
    """The scale that holds what is seen of the curves, and levels near to them."""
    end = chart.start + chart.span
    seen = [c.values[(c.hours >= chart.start) & (c.hours <= end) & np.isfinite(c.values)] for c in chart.curves]
    values = np.concatenate(seen) if seen else np.zeros(0)
    if len(values) == 0:
        return Scale.over(0.0, 10.0, rows, chart.bounds)
    low, high = float(values.min()), float(values.max())
    near = [level.value for level in chart.levels if low - NEAR <= level.value <= high + NEAR]
    return Scale.over(min([low, *near]), max([high, *near]), rows, chart.bounds)


def foot_line(foot: Foot, axis: Axis) -> str:
    """The numbers at the axis' ticks, never touching."""
    line = [" "] * axis.width
    free = 0
    for column, _ in axis.ticks():
        value = float(np.interp(axis.hour(column + 0.5), foot.hours, foot.values, left=np.nan, right=np.nan))
        text = f"{value:.0f}"
        if math.isfinite(value) and column >= free and column + len(text) <= axis.width:
            line[column : column + len(text)] = text
            free = column + len(text) + 1
    return "".join(line)
