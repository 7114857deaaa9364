"""A new maker's first batch, from the welcome to its going out, at 80×24, the README closed: by keys, then by mouse.

Nothing here asks the shop for anything: what is not on the terminal does not exist for the maker.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from textual.widgets import Button, Input, Select

from finishing.cure.work import CloseEntry, CoatEntry, ReleaseEntry, StepEntry, TestEntry
from finishing.screens.pages.batch.widgets import KeyLabel
from finishing.shop.shop import Shop
from finishing.store import at_file
from tests.screens.conftest import Run, Seen, released, type_in
from tests.shop.built import NOW
from tests.shop.doing import on_file

CODE = "26-001"


@pytest.fixture
def empty(tmp_path: Path) -> Iterator[Shop]:
    """A shop nobody has set up."""
    shop = Shop.open(NOW, at_file(tmp_path / "new" / "finishing.db"))
    yield shop
    shop.close()


class Watch:
    """A clock the maker lives by."""

    def __init__(self) -> None:
        self.now = NOW

    def __call__(self) -> float:
        return self.now


def shown(seen: Seen, *words: str) -> None:
    """The words stand on the terminal, whole."""
    for word in words:
        assert word in seen.text(), f"{word!r} not on:\n{seen.text()}"


async def test_by_keys_alone(empty: Shop, run: Run) -> None:
    watch = Watch()
    async with run(empty, watch, (80, 24)) as seen:
        shown(seen, "Welcome", "usual low near dawn", "Begin (enter)")
        await type_in(seen, "19")
        await seen.keys("tab")
        await type_in(seen, "21")
        await seen.keys("enter")

        shown(seen, "Nothing on the bench yet", "n  adds the first batch", "n New")
        await seen.keys("n")
        for text in ("trays", "4", "300x200x18", "maple", ""):
            await type_in(seen, text)
            await seen.keys("tab")
        await seen.keys("enter")
        await type_in(seen, "oil and v")  # the list goes to what is typed
        await seen.keys("enter")
        shown(seen, "Oil and varnish blend")
        await seen.keys("tab", "enter")
        assert seen.card == "BenchScreen"
        shown(seen, CODE, "trays ×4", "NOW · 1", "prepare")

        await seen.keys("d", "enter")
        await seen.keys("c")
        shown(seen, "coat 1 of", "Record (enter)", "Oily rags")
        await seen.keys("enter")
        shown(seen, "wipe off")
        await seen.keys("d", "enter")

        watch.now += 6.0
        await seen.keys("t")
        shown(seen, "touch test", "Tacky (t)", "Dry (d)")
        await seen.keys("t")
        assert "tacky" in seen.said[-1][0]
        watch.now += 200.0
        for _ in range(12):  # whatever else the schedule asks, one key and enter each
            if "no step is left" in seen.said[-1][0]:
                break
            await seen.keys("d", "enter")
            watch.now += 60.0
        shown(seen, "RESTING · 1")
        await seen.keys("o")
        shown(seen, "no step is left: r release, e close")
        await seen.keys("r")
        shown(seen, "you say it")
        await seen.keys("down", "enter")
        assert "released to pack" in seen.said[-1][0]
        await seen.keys("escape")
        shown(seen, "READY TO GO OUT · 1")
        await seen.keys("d")
        shown(seen, "close it, it leaves the bench", "may be used: from")
        await seen.keys("enter")
        assert "closed" in seen.said[-1][0]
        shown(seen, "Nothing on the bench yet")
    kinds = [type(recorded.entry) for recorded in on_file(empty, CODE)]
    assert kinds[:4] == [StepEntry, CoatEntry, StepEntry, TestEntry]
    assert ReleaseEntry in kinds


async def press(seen: Seen, words: str) -> None:
    """Click the button or the key at the foot that says so."""
    await seen.pilot.pause(0.3)
    for button in seen.app.screen.query(Button):
        if words in str(button.label):
            button.scroll_visible(animate=False)
            await seen.pilot.pause()
            await released(seen.pilot, f"#{button.id}")
            await seen.pilot.click(f"#{button.id}")
            await seen.pilot.pause()
            return
    y, line = next((y, line) for y, line in reversed(list(enumerate(seen.lines()))) if words in line)
    await seen.pilot.click(offset=(line.index(words) + 1, y))
    await seen.pilot.pause()


async def test_by_mouse_and_letters(empty: Shop, run: Run) -> None:
    """The mouse for all but the letters of a name or a size, which only a keyboard has."""
    watch = Watch()
    async with run(empty, watch, (80, 24)) as seen:
        seen.app.screen.query_one("#low", Input).value = "19"
        seen.app.screen.query_one("#high", Input).value = "21"
        await press(seen, "Begin")
        await press(seen, "n New")
        card = seen.app.screen
        for field, text in (("what", "trays"), ("pieces", "4"), ("size", "300x200x18"), ("woods", "maple")):
            await seen.pilot.click(f"#{field}")
            card.query_one(f"#{field}", Input).value = text
        card.query_one("#schedule", Select).value = "danish-three"
        await press(seen, "Add batch")
        shown(seen, CODE, "NOW · 1")
        await press(seen, "d Step")
        await press(seen, "Record")
        await press(seen, "c Coat")
        await press(seen, "Record")
        watch.now += 6.0
        await press(seen, "t Test")
        await press(seen, "Tacky")
        assert "tacky" in seen.said[-1][0]
        await press(seen, "o Open")
        assert seen.card == "BatchPage"
        await press(seen, "esc Back")
        assert seen.card == "BenchScreen"
        await press(seen, "u Undo")
        await press(seen, "Void it")
        assert "void, touch test: tacky" in seen.said[-1][0]
        watch.now += 200.0
        for _ in range(12):  # whatever else the schedule asks
            await press(seen, "d Step")
            if "no step is left" in seen.said[-1][0]:
                break
            await press(seen, "Record")
            watch.now += 60.0
        shown(seen, "RESTING · 1", "hardens until")
        await press(seen, "o Open")
        await going_out(seen, "r release")
        await press_in_list(seen, "#choices", 1)
        assert "released to pack" in seen.said[-1][0]
        await going_out(seen, "e close")
        assert seen.card == "NoteCard"
        await press(seen, "Close")
        assert "closed" in seen.said[-1][0]
        await press(seen, "esc Back")
        shown(seen, "Nothing on the bench yet")
    kinds = [type(recorded.entry) for recorded in on_file(empty, CODE)]
    assert kinds[:3] == [StepEntry, CoatEntry, TestEntry]
    assert kinds[-2:] == [ReleaseEntry, CloseEntry]


async def going_out(seen: Seen, words: str) -> None:
    """Click one of the keys that stand over when the pieces may go out."""
    for label in seen.app.screen.query(KeyLabel):
        if str(label.render()).split() == words.split():
            label.scroll_visible(animate=False, immediate=True)
            await seen.pilot.pause(0.3)
            area = label.region
            assert label.screen.get_widget_at(*area.offset)[0] is label, f"under {seen.text()}"
            await seen.pilot.click(offset=area.offset)
            await seen.pilot.pause()
            return
    raise AssertionError(f"no {words} on:\n{seen.text()}")


async def press_in_list(seen: Seen, selector: str, line: int) -> None:
    """Click a line of a list."""
    await seen.pilot.click(selector, offset=(2, line))
    await seen.pilot.pause()
