"""Where the focus is shows on every page and card, without any colour: by glyphs, weight, underline or reverse.

Source: WCAG 2.2 (W3C), success criteria 2.4.7 (focus visible) and 1.4.1 (not by colour alone). What leaves the program
is read by ECMA-48 (5th edition), section 8.3.117, SGR: 30 to 38, 40 to 48 and 90 to 107 are colours; by the convention
at no-color.org none may where NO_COLOR is set and not empty.
"""

from __future__ import annotations

import re

import pytest
from textual.geometry import Region
from textual.widget import Widget
from textual.widgets import Input

from finishing.shop.shop import Shop
from tests.screens.conftest import Run, Seen
from tests.screens.walk import WALKS, at_rest, walk
from tests.shop.built import EVENING

SGR = re.compile(r"\x1b\[([0-9;]*)m")
PLAIN = {"", "0", "1", "2", "3", "4", "7", "9", "22", "23", "24", "27", "29", "39", "49"}
"""Reset, bold, faint, italic, underlined, reversed, crossed out, their ends, and the terminal's own two colours."""

Cell = tuple[str, tuple[bool, ...]]


def look(seen: Seen, area: Region) -> list[list[Cell]]:
    """The cells of an area as a terminal without colours shows them."""
    rows = []
    for strip in list(seen.app.screen._compositor.render_strips())[area.y : area.bottom]:
        row: list[Cell] = []
        for text, style, _ in strip.crop(area.x, area.right):
            marks = tuple(bool(style and getattr(style, name)) for name in ("bold", "underline", "reverse"))
            row += [(char, marks) for char in text]
        rows.append(row)
    return rows


async def unseen(seen: Seen) -> list[str]:
    """What takes the focus on the screen in front without a sign of it."""
    screen = seen.app.screen
    for field in screen.query(Input):
        field.cursor_blink = False
    taking: list[Widget] = [widget for widget in screen.focus_chain if isinstance(widget, Widget)]
    if len(taking) < 2:
        return []  # it is nowhere else
    found = []
    for widget in taking:
        widget.focus()
        await seen.pilot.pause()
        area = widget.region.intersection(screen.region)
        with_focus = look(seen, area)
        screen.set_focus(None)
        await seen.pilot.pause()
        if look(seen, area) == with_focus:
            found.append(f"{type(widget).__name__} #{widget.id}")
    return found


def colours(seen: Seen) -> set[str]:
    """What of the screen in front reaches the terminal as a colour."""
    sent = "".join(strip.render(seen.app.console) for strip in seen.app.screen._compositor.render_strips())
    assert SGR.search(sent), "nothing stands out at all"
    return {code for codes in SGR.findall(sent) for code in codes.split(";")} - PLAIN


@pytest.mark.parametrize("screens", WALKS, ids=["pages", "cards"])
async def test_focus_shows_without_colour(
    demo: Shop, run: Run, screens: dict[str, tuple[str, ...]], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    problems = []
    async with run(demo, EVENING, (80, 24)) as seen:
        async for name in walk(seen, screens):
            if name == "ComparePage":
                await at_rest(seen)  # until then its list is empty, and there is nothing to stand on
            problems += [f"{name}: {widget}" for widget in await unseen(seen)]
            problems += [f"{name}: colour {code}" for code in colours(seen)]
    assert "\n".join(problems) == ""
