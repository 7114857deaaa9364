"""The card that goes with a piece to whoever gets it: what it is, from when to use it, how to look after it."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from finishing.exchange.paper.sheet import INK, POINT, SOFT, WOOD, Box, Draw, Pen

MARGIN = 8.0
HAND, HAND_LINE = 8.5, 58.0
"""Room to write a date in by hand, and how long its line is [mm]; not smaller with the type."""
SCALES = (1.08, 1.0, 0.93, 0.87, 0.81, 0.76, 0.71, 0.66)


@dataclass(frozen=True, slots=True)
class CareCard:
    """What a care card says. until: the one thing that must be read, set large; parts: heading and words.

    by_hand: `until` breaks off before its date, and a line to write it on follows. day: the date in it, if it has one.
    """

    title: str
    woods: str
    until: str
    parts: tuple[tuple[str, str], ...]
    foot: str
    by_hand: bool = False
    day: dt.date | None = None


def care_card(card: CareCard) -> Draw:
    """The card; smaller type where there is much to say."""

    def draw(pen: Pen, box: Box) -> None:
        inside = box.inside(MARGIN)
        scale = next((s for s in SCALES if _flow(pen, card, inside, s, dry=True) <= inside.h - 6), None)
        if scale is None:
            pen.cut[f"care card of {card.title}"] = None
            scale = SCALES[-1]
        _grain(pen, box)
        _flow(pen, card, inside, scale)
        pen.write(inside.x + 2, inside.bottom - 3.2, inside.w - 2, card.foot, 7.0, colour=SOFT, most=1)

    return draw


def _grain(pen: Pen, box: Box) -> None:
    """A few lines along the left edge, as the grain of a board runs."""
    for n, weight in enumerate((1.1, 0.5, 0.25)):
        pen.upright(box.x + 3.0 + n * 1.15, box.y + MARGIN, box.bottom - MARGIN, WOOD, weight)


def _flow(pen: Pen, card: CareCard, inside: Box, scale: float, *, dry: bool = False) -> float:
    """Set everything one under the other; how high it is. dry: only measure."""
    x, width, y = inside.x + 2.0, inside.w - 2.0, inside.y

    def text(words: str, size: float, style: str = "", colour: tuple[int, int, int] = INK, after: float = 0.0) -> None:
        nonlocal y
        face = "B" if style == "B" else "I" if style == "I" else ""
        if dry:
            y += pen.height(words, width, size * scale, face)  # type: ignore[arg-type]
        else:
            y = pen.write(x, y, width, words, size * scale, face, colour)  # type: ignore[arg-type]
        y += after * scale

    text(card.title, 19, "B", WOOD, 0.2)
    text(card.woods, 10.5, "I", SOFT, 2.2)
    high = pen.height(card.until, width - 6, 11.5 * scale, "B") + 4 * scale + (HAND if card.by_hand else 0.0)
    if not dry:
        pen.panel(Box(x, y, width, high))
        end = pen.write(x + 3, y + 2 * scale, width - 6, card.until, 11.5 * scale, "B")
        if card.by_hand:
            _line_to_write_on(pen, x + 3, end + HAND - 1.0, 11.5 * scale)
    y += high + 3 * scale
    for heading, words in card.parts:
        text(heading, 9.2, "B", WOOD)
        text(words, 9.6, after=1.9)
    return y - inside.y


def _line_to_write_on(pen: Pen, x: float, y: float, size: float) -> None:
    """With the full stop of the sentence that it ends."""
    pen.rule(x, y, HAND_LINE, INK, 0.3)
    pen.write(x + HAND_LINE + 0.8, y - size * 1.0 * POINT, 4.0, ".", size, "B")
