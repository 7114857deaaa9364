"""A batch's record on one page: what it is, every coat with its can and its air, whatever else was done, by whom."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from finishing.exchange.paper.sheet import INK, LINE, SOFT, WOOD, Box, Draw, Pen

MARGIN = 16.0
QR = 26.0
ROW = 4.6
COAT_COLUMNS = (
    ("coat", 0.05), ("finish", 0.23), ("can, lot", 0.14), ("amount", 0.08), ("on", 0.13), ("by", 0.08),
    ("air then", 0.1), ("air while it dried", 0.19),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class RecordSheet:
    """What a record sheet says. facts: name and words; coats: cells by COAT_COLUMNS; others: when, what, who."""

    code: str
    title: str
    facts: tuple[tuple[str, str], ...]
    coats: tuple[tuple[str, ...], ...]
    others: tuple[tuple[str, str, str], ...]
    more: str
    cautions: tuple[str, ...]
    foot: str


def record_sheet(sheet: RecordSheet) -> Draw:
    """The page."""

    def draw(pen: Pen, box: Box) -> None:
        inside = box.inside(MARGIN)
        y = _head(pen, sheet, inside)
        y = _coats(pen, sheet.coats, inside, y)
        foot = inside.bottom - 4
        low = foot - 16 - sum(pen.height(text, inside.w, 7.6) for text in sheet.cautions)
        _others(pen, sheet, Box(inside.x, y, inside.w, low - y))
        y = low
        for text in sheet.cautions:
            y = pen.write(inside.x, y, inside.w, text, 7.6, colour=SOFT)
        for n, words in enumerate(("released by", "on")):
            x = inside.x + n * inside.w * 0.55
            pen.rule(x, foot - 4, inside.w * 0.42, INK, 0.2)
            pen.write(x, foot - 3.6, 60, words, 7.6, colour=SOFT)
        pen.write(inside.x, foot + 1.4, inside.w, sheet.foot, 7.0, colour=SOFT, most=1)

    return draw


def _head(pen: Pen, sheet: RecordSheet, inside: Box) -> float:
    pen.code(inside.right - QR + 2, inside.y - 2, QR, sheet.code)
    width = inside.w - QR - 4
    pen.write(inside.x, inside.y - 2, width, sheet.code, 28 if len(sheet.code) <= 14 else 18, "B", WOOD, most=1)
    y = pen.write(inside.x, inside.y + 10, width, sheet.title, 14, "B", most=2) + 2
    for name, words in sheet.facts:
        pen.write(inside.x, y, 28, name, 9, colour=SOFT)
        y = pen.write(inside.x + 28, y, width - 28, words, 9, most=2) + 0.3
    y = max(y, inside.y + QR) + 2
    pen.rule(inside.x, y, inside.w, WOOD, 0.5)
    return y + 3


def _coats(pen: Pen, coats: Sequence[Sequence[str]], inside: Box, y: float) -> float:
    pen.write(inside.x, y, inside.w, "Coats", 11, "B", WOOD)
    y += 6
    if not coats:
        return pen.write(inside.x, y, inside.w, "none on record", 9, colour=SOFT) + 4
    _line(pen, [name for name, _ in COAT_COLUMNS], inside, y, SOFT)
    y += ROW
    for cells in coats:
        high = max(
            pen.height(cell, inside.w * share - 1.5, 7.8) for cell, (_, share) in zip(cells, COAT_COLUMNS, strict=True)
        )
        pen.rule(inside.x, y - 0.3, inside.w, LINE, 0.15)
        _line(pen, cells, inside, y, INK)
        y += max(min(high, 8.0) + 1.0, ROW)
    return y + 3


def _line(pen: Pen, cells: Sequence[str], inside: Box, y: float, colour: tuple[int, int, int]) -> None:
    x = inside.x
    for cell, (_, share) in zip(cells, COAT_COLUMNS, strict=True):
        pen.write(x, y, inside.w * share - 1.5, cell, 7.8, colour=colour, most=2)
        x += inside.w * share


def _others(pen: Pen, sheet: RecordSheet, room: Box) -> None:
    """As many lines as there is room for; two columns where one will not do."""
    if not sheet.others:
        return
    pen.write(room.x, room.y, room.w, "Everything else", 11, "B", WOOD)
    top, step = room.y + 6, 4.3
    rows = max(int((room.bottom - top - 4) / step), 1)
    columns = 1 if len(sheet.others) <= rows else 2
    shown, width = sheet.others[: rows * columns], room.w / columns
    for n, (when, what, who) in enumerate(shown):
        x, y = room.x + n // rows * width, top + n % rows * step
        pen.write(x, y, 30, when, 7.8, colour=SOFT, most=1)
        pen.write(x + 31, y, width - 33, f"{what}{f', {who}' if who else ''}", 7.8, most=1)
    if len(shown) < len(sheet.others):
        left = len(sheet.others) - len(shown)
        pen.write(room.x, room.bottom - 4, room.w, f"and {left} more: {sheet.more}", 7.8, "I", SOFT)
