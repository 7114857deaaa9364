"""What is drawn can be read, in every look: contrast of each pair of colours that any screen puts on the terminal.

Source: WCAG 2.2 (W3C): relative luminance and contrast ratio by their definitions; success criteria 1.4.3 (text at
4.5:1), 1.4.6 (at 7:1) and 1.4.11 (marks at 3:1). Of 16 colours each terminal has its own, so of them less is asked:
text at 3:1, marks at 2:1.
"""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from rich.color import Color, ColorSystem, ColorTriplet
from textual.screen import ModalScreen
from textual.strip import Strip

from finishing.screens.themes_more import ALL_THEMES, HIGH_CONTRAST, OF_16
from finishing.shop.shop import Shop
from tests.screens.conftest import Run, Seen
from tests.screens.draw import without_bars
from tests.screens.walk import CARDS, PAGES, walk
from tests.shop.built import EVENING

MARK = re.compile(r"[^\w!?×+▸●○»]+")
"""Drawn, not written: lines, bars and dots."""

FAINT = re.compile(r"[\s─│╭╮╰╯┃_·]+")
"""Frames and rules, which tell nothing, and the dots of the night, which stand on a ground of their own."""


def luminance(colour: ColorTriplet) -> float:
    """Relative luminance, 0 to 1."""
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in colour.normalized]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: ColorTriplet, other: ColorTriplet) -> float:
    """Contrast ratio, 1 to 21."""
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def test_the_ratio_is_that_of_the_standard() -> None:
    """Black on white is its own extreme, 21:1; #767676 on white just passes 4.5 and #949494 just passes 3, both from
    memory of its explanatory notes."""
    white = ColorTriplet(255, 255, 255)
    assert contrast(ColorTriplet(0, 0, 0), white) == pytest.approx(21.0)
    assert 4.5 <= contrast(ColorTriplet(0x76, 0x76, 0x76), white) < 4.6
    assert 3.0 <= contrast(ColorTriplet(0x94, 0x94, 0x94), white) < 3.1


def in_front(seen: Seen) -> list[Strip]:
    """What the terminal shows; of a card, the card alone: the page behind it is veiled on purpose."""
    screen = seen.app.screen
    strips = without_bars(screen)
    if not isinstance(screen, ModalScreen):
        return strips
    card = screen.query_one("#card").region
    return [strip.crop(card.x, card.right) for strip in strips[card.y : card.bottom]]


def of_16(colour: Color) -> ColorTriplet:
    """What a terminal of 16 colours makes of a colour: rich's choice, drawn in its own terminal theme."""
    return colour.downgrade(ColorSystem.STANDARD).get_truecolor(foreground=False)


def of_all(colour: Color) -> ColorTriplet:
    """A colour as it is."""
    return colour.get_truecolor(foreground=False)


def faint(
    seen: Seen, least_text: float, least_mark: float = 3.0, drawn: Callable[[Color], ColorTriplet] = of_all
) -> dict[str, str]:
    """Pairs of colours in front that are too near to each other, with a word that is drawn so."""
    found = {}
    for y, strip in enumerate(in_front(seen)):
        for segment in strip:
            style, text = segment.style, segment.text.strip()
            if not text or FAINT.fullmatch(text) or style is None or style.color is None or style.bgcolor is None:
                continue
            ink, ground = drawn(style.color), drawn(style.bgcolor)
            if style.reverse:
                ink, ground = ground, ink
            least = least_mark if MARK.fullmatch(text) else least_text
            ratio = contrast(ink, ground)
            if ratio < least:
                found[f"{ink.hex} on {ground.hex}"] = f"{ratio:.2f}, line {y + 1}: {text[:40]!r}"
    return found


async def test_every_screen_is_legible_in_every_look(demo: Shop, run: Run) -> None:
    problems = {}
    async with run(demo, EVENING, (120, 36)) as seen:
        async for name in walk(seen, {**PAGES, **CARDS}):
            await seen.app.workers.wait_for_complete()
            for theme in (*ALL_THEMES, *OF_16.values()):
                seen.app.theme = theme.name
                await seen.pilot.pause()
                found = {} if theme in OF_16.values() else faint(seen, 7.0 if theme is HIGH_CONTRAST else 4.5)
                if theme.name not in OF_16:
                    seen.app.set_class(True, "-plain")  # as where there are 16 colours
                    await seen.pilot.pause()
                    found |= {f"{pair}, of 16": said for pair, said in faint(seen, 3.0, 2.0, of_16).items()}
                    seen.app.set_class(False, "-plain")
                for pair, where in found.items():
                    problems[theme.name, pair] = f"{theme.name}, {name}: {pair}: {where}"
    assert not problems, "\n".join(problems.values())
