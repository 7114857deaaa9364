"""The app on a shop with a clock of its own, under Textual's pilot."""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import AsyncIterator, Callable, Iterator
from contextlib import AbstractAsyncContextManager, asynccontextmanager, closing
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
from textual.pilot import Pilot

from finishing.screens.app import FinishingApp
from finishing.screens.widgets.rows import BenchRows
from finishing.shop.demo import open_demo
from finishing.shop.shop import Shop
from finishing.store import at_file
from tests.shop.built import EVENING, FILE, NOW, demo_home, small_home

QUICK = (
    "test_axis.py",
    "test_bindings.py",
    "test_connection.py",
    "test_every_screen.py",
    "test_fits.py",
    "test_steady.py",
)
"""Tests of the screens that run with all others."""


@pytest.fixture
def shop(tmp_path_factory: pytest.TempPathFactory, tmp_path: Path) -> Iterator[Shop]:
    """A copy of the small shop: two places, nothing on the bench."""
    shutil.copytree(small_home(tmp_path_factory), tmp_path / "shop")
    opened = Shop.open(NOW, at_file(tmp_path / "shop" / FILE))
    yield opened
    opened.close()


@pytest.fixture
def demo(tmp_path_factory: pytest.TempPathFactory, tmp_path: Path) -> Iterator[Shop]:
    """A copy of the invented shop."""
    shutil.copytree(demo_home(tmp_path_factory), tmp_path / "demo")
    opened = open_demo(tmp_path / "demo", EVENING)
    yield opened
    opened.close()


@dataclass
class Seen:
    """A running app. said: every notification, with the number of entries that were on the file when it came."""

    app: FinishingApp
    pilot: Pilot[None]
    said: list[tuple[str, int]] = field(default_factory=list)

    @property
    def rows(self) -> BenchRows:
        """The list of the bench."""
        return self.app.screen_stack[1].query_one(BenchRows)

    @property
    def code(self) -> str | None:
        """Code of the batch under the cursor."""
        return self.rows.row.code if self.rows.row else None

    @property
    def card(self) -> str:
        """Class of the screen in front."""
        return type(self.app.screen).__name__

    def lines(self) -> list[str]:
        """What the terminal shows, line by line."""
        return [strip.text for strip in self.app.screen._compositor.render_strips()]

    def text(self) -> str:
        """What the terminal shows."""
        return "\n".join(self.lines())

    def list_lines(self) -> list[str]:
        """What the list of the bench shows, line by line, without waiting for the terminal."""
        return [self.rows.render_line(y).text for y in range(self.rows.size.height)]

    async def keys(self, *keys: str) -> None:
        """Press keys and let what they set off happen."""
        await self.pilot.press(*keys)
        await self.pilot.pause()

    async def go_to(self, code: str) -> None:
        """Bring the cursor to a batch, by keys."""
        await self.keys("home")
        for _ in range(60):
            if self.code == code:
                return
            await self.keys("down")
        raise AssertionError(f"no {code} on the bench")


Run = Callable[..., AbstractAsyncContextManager[Seen]]


@pytest.fixture
def run() -> Run:
    """Start the app: `async with run(shop, at) as seen`."""
    return running


@asynccontextmanager
async def running(
    shop: Shop, at: float | Callable[[], float] = NOW, size: tuple[int, int] = (120, 36)
) -> AsyncIterator[Seen]:
    """The app on a shop, its clock at an hour, in a terminal of a size."""
    app = FinishingApp(shop, at if callable(at) else lambda: at)
    async with app.run_test(size=size) as pilot:
        seen = Seen(app, pilot)
        notify = app.notify

        def noted(message: str, **options: Any) -> None:
            seen.said.append((message, count(shop)))
            notify(message, **options)

        app.notify = noted  # type: ignore[method-assign,assignment]
        await pilot.pause()
        yield seen


def count(shop: Shop) -> int:
    """How many entries are on the file, read by a connection of its own; -1 for a server, which may be gone."""
    if shop.store.location.file is None:
        return -1
    with closing(sqlite3.connect(str(shop.store.location.file))) as plain:
        found: int = plain.execute("SELECT count(*) FROM entry").fetchone()[0]
    return found


async def released(pilot: Pilot[None], selector: str) -> None:
    """Wait until a button takes a press again: it takes none for a fifth of a second after one."""
    for _ in range(100):
        if not pilot.app.screen.query_one(selector).has_class("-active"):
            return
        await pilot.pause(0.02)
    raise AssertionError(f"{selector} stays pressed")


async def until(seen: Seen, holds: Callable[[], bool]) -> None:
    """Wait for what work in another thread, or the next drawing, brings about."""
    for _ in range(1500):
        if holds():
            return
        await seen.pilot.pause(0.02)
    raise AssertionError(seen.text())


async def type_in(seen: Seen, text: str) -> None:
    """Type text, a key a character."""
    await seen.keys(*text)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """The tests that drive whole pages take minutes; they have a command of their own (see DEVELOPERS.md)."""
    for item in items:
        if item.path.parent.name == "screens" and item.path.name not in QUICK:
            item.add_marker("pages")
