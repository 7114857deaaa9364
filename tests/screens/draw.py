"""Every screen of the invented shop as text, at three sizes, with the clock stopped.

`python -m tests.screens.draw [NAME ...]` writes them anew into `tests/screens/snapshots`, a file a screen; look at the
difference before you keep it. A page or card of your own is drawn as soon as it stands in `walk.py`.
"""

from __future__ import annotations

import asyncio
import sys
import tempfile
from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby
from pathlib import Path

from rich.color import Color, ColorTriplet
from rich.style import Style
from textual.geometry import Region
from textual.screen import ModalScreen, Screen
from textual.scrollbar import ScrollBar
from textual.strip import Strip
from textual.widgets import Input

from finishing.shop.demo import build_demo
from finishing.shop.shop import Shop
from tests.screens.conftest import Seen, running
from tests.screens.walk import CARDS, PAGES, walk
from tests.shop.built import EVENING, ZONE

SIZES = ((80, 24), (120, 36), (160, 48))
FOLDER = Path(__file__).with_name("snapshots")
SEARCHED = ("PlanPage", "BeginCard")
"""Not drawn: of several plans that are as good a search may find one or another."""

DRAWN = {name: keys for name, keys in {**PAGES, **CARDS}.items() if name not in SEARCHED}

MARKS = ("bold", "dim", "reverse", "underline", "italic", "cursor")
"""What is kept of how cells look. Colours are left to the palettes' own tests: no meaning rests on them."""


def drawn(seen: Seen) -> str:
    """The screen in front: its text, then which cells stand out, as lines:first-last. Of a card, the card alone."""
    whole = seen.app.screen
    strips = without_bars(whole)
    area = Region(0, 0, *whole.size)
    if isinstance(whole, ModalScreen):
        area = area.intersection(whole.query_one("#card").region)
    strips = [strip.crop(area.x, area.right) for strip in strips[area.y : area.bottom]]
    cursor = Color.parse(seen.app.theme_variables["block-cursor-background"]).triplet
    lines = [strip.text.rstrip() for strip in strips]
    marks = {mark: together(runs(strips, mark, cursor)) for mark in MARKS}
    return "\n".join([*lines, *(f"{mark}: {' '.join(found)}" for mark, found in marks.items() if found)])


def without_bars(screen: Screen[object]) -> list[Strip]:
    """What the terminal shows, with nothing where scroll bars are."""
    strips = list(screen._compositor.render_strips())
    for widget, (bar, clip) in screen._compositor.visible_widgets.items():
        if isinstance(widget, ScrollBar):
            bar = bar.intersection(clip)
            for y in range(bar.y, bar.bottom):
                left, right = strips[y].crop(0, bar.x), strips[y].crop(bar.right, screen.size.width)
                strips[y] = Strip.join([left, Strip.blank(bar.width), right])
    return strips


def has(style: Style | None, mark: str, cursor: ColorTriplet | None) -> bool:
    """Whether a style has a mark; the cursor's is the colour behind it."""
    if style is None:
        return False
    if mark == "cursor":
        return style.bgcolor is not None and style.bgcolor.triplet == cursor
    return bool(getattr(style, mark))


def runs(strips: Iterable[Strip], mark: str, cursor: ColorTriplet | None) -> Iterator[tuple[int, int, int]]:
    """The runs of cells that have a mark: line, first and last cell, from 1."""
    for y, strip in enumerate(strips, 1):
        x = 0
        for found, cells in groupby(strip, lambda segment: bool(segment.text) and has(segment.style, mark, cursor)):
            width = sum(segment.cell_length for segment in cells)
            if found:
                yield y, x + 1, x + width
            x += width


def together(found: Iterable[tuple[int, int, int]]) -> list[str]:
    """Runs in words, those that stand one below the other as one."""
    columns: dict[tuple[int, int], list[list[int]]] = {}
    for y, first, last in found:
        blocks = columns.setdefault((first, last), [])
        if blocks and blocks[-1][1] == y - 1:
            blocks[-1][1] = y
        else:
            blocks.append([y, y])
    said = sorted((top, first, bottom, last) for (first, last), blocks in columns.items() for top, bottom in blocks)
    return [f"{top}{f'..{bottom}' if bottom > top else ''}:{first}-{last}" for top, first, bottom, last in said]


async def all_drawn(shop: Shop, size: tuple[int, int], names: Iterable[str] = DRAWN) -> dict[str, str]:
    """Screens at one size, by name."""
    found = {}
    async with running(shop, EVENING, size) as seen:
        async for name in walk(seen, {name: DRAWN[name] for name in names}):
            for line in seen.app.screen.query(Input):
                line.cursor_blink = False
            await seen.app.workers.wait_for_complete()
            await seen.pilot.pause(0.2)
            found[name] = drawn(seen).replace(str(Path.home()), "~")
    return found


def in_one(sizes: dict[tuple[int, int], str]) -> str:
    """A screen's file: its three sizes one below the other."""
    return "".join(f"== {width} x {height}\n{text}\n" for (width, height), text in sizes.items())


def main(names: Sequence[str] = ()) -> None:
    """Write the files of the screens named, or of every screen, in a shop that is thrown away."""
    FOLDER.mkdir(exist_ok=True)
    drawings: dict[str, dict[tuple[int, int], str]] = {}
    for size in SIZES:
        with tempfile.TemporaryDirectory() as home:
            shop = build_demo(Path(home), EVENING, zone=ZONE)
            for name, text in asyncio.run(all_drawn(shop, size, names or DRAWN)).items():
                drawings.setdefault(name, {})[size] = text
            shop.close()
    for old in FOLDER.glob("*.txt"):
        if old.stem not in DRAWN:
            old.unlink()
    for name, sizes in drawings.items():
        (FOLDER / f"{name}.txt").write_text(in_one(sizes), "utf-8")
    sys.stdout.write(f"{len(drawings)} screens at {len(SIZES)} sizes in {FOLDER.name}\n")


if __name__ == "__main__":
    main(sys.argv[1:])
