"""Figures as small pictures in text: low, typical and high on a scale, and how full a can is."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from rich.cells import cell_len, set_cell_size
from rich.console import Console, ConsoleOptions, RenderResult
from rich.text import Text

HOURS = ((0.25, "15m"), (1.0, "1h"), (4.0, "4h"), (24.0, "1d"), (168.0, "1w"), (672.0, "4w"))
"""Where the scale of stage times has its ticks."""

FACTORS = ((1.0, "×1"), (2.0, "×2"), (4.0, "×4"), (10.0, "×10"))
"""Where the scale of a wood's time factors has its ticks."""

FULL, EMPTY = "━", "·"


@dataclass(frozen=True, slots=True)
class Scale:
    """A logarithmic scale from `first` to `last`, with ticks (value, label)."""

    first: float
    last: float
    ticks: Sequence[tuple[float, str]]

    def column(self, value: float, width: int) -> int:
        """The column of a value among `width`, held to the ends."""
        held = min(max(value, self.first), self.last)
        share = math.log(held / self.first) / math.log(self.last / self.first)
        return min(round(share * (width - 1)), width - 1)

    def ruler(self, width: int) -> str:
        """The ticks' labels over their columns, those left out that would touch another."""
        line, end = [" "] * max(width, 0), -1
        for value, label in self.ticks:
            start = min(self.column(value, width), width - len(label)) if width else 0
            if start > end and start >= 0 and start + len(label) <= width:
                line[start : start + len(label)] = label
                end = start + len(label)
        return "".join(line)

    def bar(self, low: float, typical: float, high: float, width: int) -> str:
        """Low to high as a line with the typical value on it: "··├──◆───┤··"."""
        line = ["·"] * width
        a, b, c = (self.column(v, width) for v in (low, typical, high))
        for column in range(a, c + 1):
            line[column] = "─"
        line[a], line[c] = "├", "┤"
        line[b] = "◆"
        return "".join(line)


TIMES = Scale(0.1, 2200.0, HOURS)
"""Six minutes to three months."""

SLOWING = Scale(0.5, 20.0, FACTORS)
"""What a wood's time factor may be."""


@dataclass(frozen=True, slots=True)
class ScaleRow:
    """A line with a name, a bar and a few words; None for the values: the scale's ruler. Takes the width there is."""

    name: str
    scale: Scale
    values: tuple[float, float, float] | None
    words: str = ""
    name_cells: int = 15
    words_cells: int = 8

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        """The line."""
        width = options.max_width - self.name_cells - self.words_cells - 2
        text = Text(no_wrap=True, overflow="ellipsis")
        text.append(set_cell_size(self.name, self.name_cells))
        if width >= 6:
            bar = self.scale.ruler(width) if self.values is None else self.scale.bar(*self.values, width)
            text.append(f" {bar} ", style="dim" if self.values is None else "")
        text.append(self.words, style="bold")
        yield text


def fill(share: float, width: int) -> str:
    """How full something is, 0..1, as a bar; what is there at all shows as one cell at least."""
    held = min(max(share, 0.0), 1.0)
    cells = max(round(held * width), 1 if held > 0.0 else 0)
    return FULL * cells + EMPTY * (width - cells)


def cut(text: str, cells: int) -> str:
    """Text in exactly so many cells, what is left out shown by "…"."""
    if cell_len(text) > cells > 0:
        text = set_cell_size(text, cells - 1).rstrip() + "…"
    return set_cell_size(text, max(cells, 0))
