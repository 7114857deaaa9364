"""The screens of the invented shop, and the keys that go to each from the bench."""

from __future__ import annotations

from collections.abc import AsyncIterator

import pytest

from tests.screens.conftest import Seen

PAGES: dict[str, tuple[str, ...]] = {
    "BenchScreen": (),
    "FindPage": ("slash",),
    "BatchPage": ("o",),
    "PassGuide": ("g",),
    "LibraryPage": ("2",),
    "CansPage": ("3",),
    "ClimatePage": ("4",),
    "SettingsPage": ("5",),
    "LearningPage": ("9",),
    "PlanPage": ("7",),
    "RecordsPage": ("0",),
    "ComparePage": ("8",),
}
"""Pages."""

CARDS: dict[str, tuple[str, ...]] = {
    "HelpScreen": ("question_mark",),
    "RecordStep": ("c",),
    "NewBatch": ("n",),
    "PagesCard": ("p",),
    "FilterCard": ("f",),
    "Sure": ("u",),
    "TouchTest": ("o", "t"),
    "AbradeCard": ("o", "a"),
    "ChoiceCard": ("o", "m"),
    "PutRight": ("o", "f"),
    "ChangeCard": ("o", "b"),
    "SplitCard": ("o", "s"),
    "NoteCard": ("o", "o"),
    "CopyCard": ("2", "y"),
    "LabelCard": ("2", "l"),
    "NewCan": ("3", "n"),
    "EditCan": ("3", "e"),
    "Uses": ("3", "b"),
    "DayCard": ("4", "t"),
    "PlaceCard": ("4", "n"),
    "ImportCard": ("4", "i"),
    "LeaveOutCard": ("4", "x"),
    "LeaveLogCard": ("4", "x", "ctrl+l"),
    "ZoneCard": ("5", "down", "enter"),
    "BeginCard": ("7", "t"),
    "TraceCard": ("0", "t"),
    "PrintCard": ("0", "p"),
    "FileCard": ("0", "k"),
    "AskCard": ("8", "e"),
}
"""Cards over them."""

WALKS = [PAGES, pytest.param(CARDS, marks=pytest.mark.pages)]
"""Both, as a test's parameters: the cards take a quarter of a minute."""


async def walk(seen: Seen, screens: dict[str, tuple[str, ...]]) -> AsyncIterator[str]:
    """Open one screen after the other; each is closed again before the next. Gives its name."""
    for name, keys in screens.items():
        await seen.keys(*keys[:-1])
        if len(keys) > 1:
            await at_rest(seen)
        await seen.keys(*keys[-1:])
        for _ in range(100):
            await seen.pilot.pause(0.1)
            if seen.card == name:
                break
        assert seen.card == name, f"{keys} lead to {seen.card}, not to {name}"
        yield name
        for _ in range(3):
            if seen.card != "BenchScreen":
                await seen.keys("escape")
        assert seen.card == "BenchScreen"


async def at_rest(seen: Seen, seconds: float = 30.0) -> None:
    """Wait until the page has worked out what it shows, so that its keys have something to act on."""
    for _ in range(int(seconds * 10)):
        await seen.pilot.pause(0.1)
        if all(worker.is_finished for worker in seen.app.workers):
            return
