"""Cards laid on sheets, and the pen they are drawn with. Lengths in millimetres, type in points."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

import segno
from fpdf import FPDF
from fpdf.enums import Align, MethodReturnValue, XPos, YPos

from finishing.exchange.paper.fonts import FAMILY, Type, reads_leftwards

Colour = tuple[int, int, int]

INK: Colour = (38, 34, 31)
SOFT: Colour = (112, 103, 95)
WOOD: Colour = (124, 74, 32)
TINT: Colour = (244, 238, 230)
LINE: Colour = (202, 190, 176)

SIZES = {"A6": (105.0, 148.0), "4x6": (101.6, 152.4)}
SHEETS = {"A4": (210.0, 297.0), "letter": (215.9, 279.4)}

LEADING = 1.22
POINT = 25.4 / 72
MARK = 4.0


@dataclass(frozen=True, slots=True)
class Box:
    """A card's own room on the sheet: left, top, width, height."""

    x: float
    y: float
    w: float
    h: float

    def inside(self, margin: float) -> Box:
        """The room within a margin."""
        return Box(self.x + margin, self.y + margin, self.w - 2 * margin, self.h - 2 * margin)

    @property
    def right(self) -> float:
        """The right edge."""
        return self.x + self.w

    @property
    def bottom(self) -> float:
        """The lower edge."""
        return self.y + self.h


Draw = Callable[["Pen", Box], None]


class Pen:
    """Writes and draws in a document. `cut`: what did not fit, in words."""

    def __init__(self, made: dt.datetime, title: str) -> None:
        self.pdf = FPDF(unit="mm")
        self.pdf.set_auto_page_break(False)
        self.pdf.set_margin(0)
        self.pdf.c_margin = 0
        self.pdf.set_creation_date(made)
        self.pdf.set_producer("finishing")
        self.type = Type(self.pdf)
        self.pdf.set_title(self.type.ready(title))
        self.cut: dict[str, None] = {}
        self._broken: dict[tuple[str, float, float, str], list[str]] = {}

    def font(self, size: float, style: Literal["", "B", "I"] = "", colour: Colour = INK) -> None:
        """The type to write with from now on."""
        self.pdf.set_font(FAMILY, style, size)
        self.pdf.set_text_color(*colour)

    def height(self, text: str, width: float, size: float, style: Literal["", "B", "I"] = "") -> float:
        """How high a text is when set in a width."""
        return len(self._lines(text, width, size, style)) * size * LEADING * POINT

    def _lines(self, text: str, width: float, size: float, style: Literal["", "B", "I"]) -> list[str]:
        """A text in lines. Kept: most texts are measured before they are set, and set on each copy of a card."""
        asked = text, width, size, style
        if asked not in self._broken:
            self._broken[asked] = self._break(*asked)
        return self._broken[asked]

    def _break(self, text: str, width: float, size: float, style: Literal["", "B", "I"]) -> list[str]:
        ready = self.type.ready(text, style)
        self.font(size, style)
        lines = self.pdf.multi_cell(
            width, size * LEADING * POINT, ready, dry_run=True, output=MethodReturnValue.LINES, align=Align.L
        )
        return list(lines) if isinstance(lines, list) else []

    def write(
        self, x: float, y: float, width: float, text: str, size: float, style: Literal["", "B", "I"] = "",
        colour: Colour = INK, *, most: int | None = None, align: Literal["L", "R", "C"] = "L",
    ) -> float:  # fmt: skip
        """Set a text, in lines no wider than the width, and say where it ends. most: no more lines than so many."""
        lines = self._lines(text, width, size, style)
        if most is not None and len(lines) > most:
            self.cut[text] = None
            lines = [*lines[: most - 1], lines[most - 1].rstrip()[:-1] + "…"]
        step, side = size * LEADING * POINT, "R" if align == "L" and reads_leftwards(text) else align
        for line in lines:
            self.pdf.font_family = ""  # so that the font is set anew: another may have stepped in on the line above
            self.font(size, style, colour)
            self.pdf.set_xy(x, y)
            self.pdf.cell(width, step, line, align=side, new_x=XPos.LEFT, new_y=YPos.TOP)
            y += step
        return y

    def rule(self, x: float, y: float, width: float, colour: Colour = LINE, weight: float = 0.25) -> None:
        """A level line."""
        self.pdf.set_draw_color(*colour)
        self.pdf.set_line_width(weight)
        self.pdf.line(x, y, x + width, y)

    def upright(self, x: float, top: float, bottom: float, colour: Colour = LINE, weight: float = 0.25) -> None:
        """A line from top to bottom."""
        self.pdf.set_draw_color(*colour)
        self.pdf.set_line_width(weight)
        self.pdf.line(x, top, x, bottom)

    def panel(self, box: Box, fill: Colour = TINT) -> None:
        """A tinted ground with soft corners."""
        self.pdf.set_fill_color(*fill)
        self.pdf.rect(box.x, box.y, box.w, box.h, style="F", round_corners=True, corner_radius=1.6)

    def tick_box(self, x: float, y: float, side: float, *, done: bool) -> None:
        """An empty box to tick by hand, or one that is ticked."""
        self.pdf.set_fill_color(255, 255, 255)
        self.pdf.set_draw_color(*(WOOD if done else INK))
        self.pdf.set_line_width(0.35)
        self.pdf.rect(x, y, side, side, style="DF")
        if done:
            self.pdf.set_line_width(0.55)
            self.pdf.line(x + 0.18 * side, y + 0.52 * side, x + 0.42 * side, y + 0.78 * side)
            self.pdf.line(x + 0.42 * side, y + 0.78 * side, x + 0.86 * side, y + 0.2 * side)

    def code(self, x: float, y: float, side: float, text: str) -> None:
        """A QR code (ISO/IEC 18004) of a text, with the light border that readers need."""
        rows = list(segno.make(text, error="m", micro=False).matrix_iter(border=3))
        module = side / len(rows)
        self.pdf.set_fill_color(255, 255, 255)
        self.pdf.rect(x, y, side, side, style="F")
        self.pdf.set_fill_color(0, 0, 0)
        for r, row in enumerate(rows):
            start = None
            for c, dark in enumerate([*row, 0]):
                if dark and start is None:
                    start = c
                elif not dark and start is not None:  # a run at once: hairlines between modules confuse readers
                    self.pdf.rect(x + start * module, y + r * module, (c - start) * module, module * 1.02, style="F")
                    start = None

    def bytes(self) -> bytes:
        """The whole document."""
        return bytes(self.pdf.output())


def lay(
    pen: Pen,
    cards: Callable[[], Sequence[Draw]],
    size: tuple[float, float],
    sheet: tuple[float, float] | None,
    progress: Callable[[int, int], None] | None = None,
) -> int:
    """Every card on a page of its own size, or as many on a sheet as fit, with marks to cut along. How many cards.

    cards: asked for when the first page lies there, as a text can be measured only then. progress: called with cards
    drawn and in all.
    """
    w, h = size
    page = sheet or size
    across, down = max(math.floor(page[0] / w + 1e-9), 1), max(math.floor(page[1] / h + 1e-9), 1)
    left, top = (page[0] - across * w) / 2, (page[1] - down * h) / 2
    pen.pdf.add_page(format=page)
    drawn = cards()
    for i, draw in enumerate(drawn):
        place = i % (across * down)
        if place == 0:
            if i > 0:
                pen.pdf.add_page(format=page)
            if sheet is not None:
                _marks(pen, Box(left, top, across * w, down * h), w, h)
        draw(pen, Box(left + place % across * w, top + place // across * h, w, h))
        if progress is not None:
            progress(i + 1, len(drawn))
    return len(drawn)


def _marks(pen: Pen, whole: Box, w: float, h: float) -> None:
    """Short crosses where cards meet."""
    pen.pdf.set_draw_color(*LINE)
    pen.pdf.set_line_width(0.15)
    for c in range(round(whole.w / w) + 1):
        for r in range(round(whole.h / h) + 1):
            x, y = whole.x + c * w, whole.y + r * h
            pen.pdf.line(x - MARK / 2, y, x + MARK / 2, y)
            pen.pdf.line(x, y - MARK / 2, x, y + MARK / 2)
