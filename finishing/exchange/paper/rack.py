"""The card that stands at a batch on the rack: its steps down a line with boxes to tick, and when each is due."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from finishing.exchange.paper.sheet import INK, LINE, SOFT, WOOD, Box, Draw, Pen

MARGIN = 6.5
QR = 23.0
ROW, LOW_ROW, LEAST_ROW = 8.4, 7.2, 4.6
"""Height of a step: at most, with its time under it at least, and with its time beside it at least."""

BOX = 3.5
TITLE_LINES = 4
FOOT = 8.0
SCALES = (1.0, 0.94, 0.88, 0.82)


@dataclass(frozen=True, slots=True)
class StepLine:
    """A step: what, when it is due or was done, in words; whether it was."""

    words: str
    when: str
    done: bool


@dataclass(frozen=True, slots=True)
class RackCard:
    """What a rack card says. facts: short lines under the title; cautions: (text, urgent); foot: when printed."""

    code: str
    title: str
    facts: tuple[str, ...]
    steps: tuple[StepLine, ...]
    cautions: tuple[tuple[str, bool], ...]
    foot: str


def rack_cards(pen: Pen, card: RackCard, height: float, width: float) -> list[Draw]:
    """One card, or as many as the steps need."""
    inside = Box(0, 0, width, height).inside(MARGIN)
    room = inside.h - _head(pen, card, inside, dry=True) - FOOT
    fits = {s: max(int((room - _cautions_height(pen, card, inside.w, s)) / LEAST_ROW + 1e-9), 1) for s in SCALES}
    # as few cards as can be, and on those the largest type
    scale = min(SCALES, key=lambda s: (-(-len(card.steps) // fits[s]), -s))
    parts = -(-len(card.steps) // fits[scale])
    each = -(-len(card.steps) // parts)
    cards = []
    for n in range(parts):
        steps = card.steps[n * each : (n + 1) * each]
        foot = card.foot if parts == 1 else f"card {n + 1} of {parts}. {card.foot}"
        cards.append(_drawing(replace(card, steps=steps, foot=foot), scale))
    return cards


def _drawing(card: RackCard, scale: float) -> Draw:
    def draw(pen: Pen, box: Box) -> None:
        inside = box.inside(MARGIN)
        top = _head(pen, card, inside)
        foot = inside.bottom - 3.4
        pen.write(inside.x, foot, inside.w, card.foot, 6.6, colour=SOFT, most=1)
        high = _cautions_height(pen, card, inside.w, scale)
        _cautions(pen, card, Box(inside.x, foot - 1.5 - high, inside.w, high), scale)
        _steps(pen, card.steps, Box(inside.x, top, inside.w, foot - 3.0 - high - top))

    return draw


def _head(pen: Pen, card: RackCard, inside: Box, *, dry: bool = False) -> float:
    """Code, title, facts and the QR code; where it ends. dry: only say how high it is."""
    width = inside.w - QR - 3
    if dry:
        titles = min(pen.height(card.title, width, 12, "B"), 12 * TITLE_LINES * 0.43)
        facts = sum(min(pen.height(fact, width, 8.6), 8.6 * 2 * 0.43) for fact in card.facts)
        return max(9.5 + titles + facts + 3.0, QR + 3.0)
    pen.code(inside.right - QR + 2, inside.y - 2, QR, card.code)
    pen.write(inside.x, inside.y - 1.8, width, card.code, 25 if len(card.code) <= 12 else 16, "B", WOOD, most=1)
    y = pen.write(inside.x, inside.y + 9.0, width, card.title, 12, "B", most=TITLE_LINES)
    for fact in card.facts:
        y = pen.write(inside.x, y, width, fact, 8.6, colour=SOFT, most=2)
    y = max(y + 1.5, inside.y + QR - 0.5)
    pen.rule(inside.x, y, inside.w, WOOD, 0.5)
    return y + 2.2


def _steps(pen: Pen, steps: Sequence[StepLine], room: Box) -> None:
    row = min(ROW, room.h / max(len(steps), 1))
    middle = room.x + BOX / 2
    if len(steps) > 1:
        pen.upright(middle, room.y + row / 2, room.y + row * (len(steps) - 0.5), LINE, 0.6)
    for n, step in enumerate(steps):
        y = room.y + n * row
        pen.tick_box(room.x, y + (row - BOX) / 2, BOX, done=step.done)
        x = room.x + BOX + 3
        if row >= LOW_ROW:
            pen.write(x, y, room.right - x - 26, step.words, 9.6, "" if step.done else "B", most=1)
            pen.write(x, y + 3.9, room.right - x - 26, step.when, 7.4, colour=SOFT, most=1)
            if not step.done:
                pen.rule(room.right - 24, y + row - 2.0, 24, LINE, 0.2)
        else:
            split = (room.right - x) * 0.42
            pen.write(x, y + (row - 3.8) / 2, split - 1, step.words, 8.8, "" if step.done else "B", most=1)
            pen.write(x + split, y + (row - 3.1) / 2, room.right - x - split, step.when, 7.2, colour=SOFT, most=1)


def _cautions_height(pen: Pen, card: RackCard, width: float, scale: float) -> float:
    if not card.cautions:
        return 0.0
    return 3.2 + sum(pen.height(text, width - 9, 7.8 * scale) + 0.7 for text, _ in card.cautions)


def _cautions(pen: Pen, card: RackCard, room: Box, scale: float) -> None:
    if not card.cautions:
        return
    pen.panel(room)
    y = room.y + 1.6
    for text, urgent in card.cautions:
        pen.write(room.x + 2.2, y, 4, "!" if urgent else "·", 7.8 * scale, "B", WOOD if urgent else INK)
        y = pen.write(room.x + 5.6, y, room.w - 9, text, 7.8 * scale, "B" if urgent and scale == 1.0 else "") + 0.7
