"""The cans page: the shelf, what is short, and every change by keys and by mouse, found again on the file."""

from __future__ import annotations

import datetime as dt
import threading
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

import pytest
from textual.widgets import Input, OptionList, Select, Static

from finishing.cure.finish import Finish
from finishing.library import Library
from finishing.screens.app import FinishingApp
from finishing.screens.pages.cans import CansPage
from finishing.screens.pages.page import Page
from finishing.shop import cans
from finishing.shop.drafts import CanDraft
from finishing.shop.shop import Shop
from finishing.store.cans import CanRow
from tests.screens.conftest import Seen, running, type_in
from tests.shop.built import NOW, begin
from tests.shop.doing import coat

VARNISH = "wiping-varnish"


@asynccontextmanager
async def opened(
    shop: Shop, at: float = NOW, size: tuple[int, int] = (120, 36)
) -> AsyncIterator[tuple[Seen, CansPage]]:
    async with running(shop, at, size) as seen:
        page = CansPage(shop, lambda: at)
        seen.app.push_screen(page)
        await seen.pilot.pause()
        yield seen, page


def on_file(shop: Shop, number: int, at: float = NOW) -> CanRow:
    """A can as another program would find it."""
    other = Shop.open(at, shop.store.location)
    try:
        return cans.sheet(other, number).row
    finally:
        other.close()


def row(seen: Seen, number: int) -> str:
    """The line of a can as it is drawn."""
    return next(line for line in seen.lines() if line.strip().startswith(f"{number} "))


def put(shop: Shop, ml: float = 500.0, lot: str = "", days: int | None = None, *, opened: bool = False) -> int:
    return cans.shelve(shop, CanDraft(VARNISH, ml, lot, 20.0, opened, days), NOW)


async def test_the_shelf_and_what_is_short(shop: Shop) -> None:
    number = put(shop, 100.0, "W[7]\x1b[31m", 12, opened=True)
    coat(shop, begin(shop), NOW, 60.0, number)
    async with opened(shop, NOW + 15 * 24, (160, 48)) as (seen, _):
        line = row(seen, number)
        for part in ("Wiping varnish", "W[7]\\x1b[31m", "15 d", "━━━━━━··········", "40 mL", "20.00, 200.00/L"):
            assert part in line
        assert "past: test on scrap" in line
        assert "cans · 1 on the shelf · 1 short" in seen.lines()[0]
        # Three coats to come on 0.552 m² at 25 m²/L: 66 mL.
        assert "short by 66 mL: open batches need 66 mL, 0 mL left and 40 mL past its time (B-1)" in seen.text()
        assert "use by 2026-03-22" in seen.text()


async def test_nothing_is_lost_at_eighty_by_twenty_four(shop: Shop) -> None:
    for _ in range(9):
        put(shop, days=12, opened=True)
    begin(shop)
    async with opened(shop, size=(80, 24)) as (seen, _):
        text = seen.text()
        for part in ("12 d left", "500 mL left of 500 mL", "20.00, 40.00/L", "what open batches still need", "enough:"):
            assert part in text
        await seen.keys("end")
        assert row(seen, 9)


async def test_a_can_is_put_on_the_shelf_by_keys(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    readers = []
    read = Library.finishes

    def reading(library: Library) -> list[Finish]:
        readers.append(threading.current_thread())
        return read(library)

    monkeypatch.setattr(Library, "finishes", reading)
    async with opened(shop, size=(80, 24)) as (seen, page):
        assert "no can on the shelf" in seen.text()
        await seen.keys("n", "tab")
        await seen.app.workers.wait_for_complete()
        assert [reader is threading.main_thread() for reader in readers] == [False]  # a quarter of a second of files
        await type_in(seen, "950 mL")
        await seen.keys("enter")
        assert "finish: got nothing, expected a finish from the list" in seen.text()
        assert seen.app.focused is seen.app.screen.query_one("#finish", Select)  # where it is put right
        await seen.keys("enter", "end", "enter", "tab", "tab")
        await type_in(seen, "W-8")
        await seen.keys("tab")
        await type_in(seen, "24.50")
        await seen.keys("tab")
        await type_in(seen, "180")
        await seen.keys("enter")
        assert seen.card == "CansPage"
        can = on_file(shop, 1).can
        assert (can.finish, can.volume_ml, can.lot, can.price) == (VARNISH, 950.0, "W-8", 24.5)
        assert (can.opened_on, can.use_within_days, can.bought_on) == (None, 180, dt.date(2026, 3, 10))
        assert page.chosen is not None
        assert page.chosen.row.id == 1
        assert "180 d once open" in row(seen, 1)


async def test_opened_emptied_and_taken_back_by_keys(shop: Shop) -> None:
    number = put(shop, days=30)
    async with opened(shop) as (seen, _):
        assert "sealed" in row(seen, number)
        await seen.keys("u")
        assert seen.said == []  # nothing was done here yet
        await seen.keys("o")
        assert on_file(shop, number).can.opened_on == dt.date(2026, 3, 10)
        assert "30 d left" in row(seen, number)
        await seen.keys("x")
        assert on_file(shop, number).emptied_at is not None
        assert "no can on the shelf" in seen.text()
        await seen.keys("u")
        assert seen.said[-1][0] == f"undone: can {number} emptied; can {number}: as it was before"
        assert on_file(shop, number).emptied_at is None
        await seen.keys("u")
        assert on_file(shop, number).can.opened_on is None
        assert "sealed" in row(seen, number)


async def test_what_is_known_is_put_right_by_keys(shop: Shop) -> None:
    number = put(shop, lot="W7")
    async with opened(shop) as (seen, _):
        await seen.keys("e")
        for field, text in (("lot", "W8"), ("price", "12,50"), ("opened", "2026-03-11"), ("keeps", "60")):
            seen.app.screen.query_one(f"#{field}", Input).focus()
            await seen.keys(*["backspace"] * 12)
            await type_in(seen, text)
        await seen.keys("enter")
        assert "opened on: got '2026-03-11', expected a day that has come" in seen.text()
        assert on_file(shop, number).can.lot == "W7"
        seen.app.screen.query_one("#opened", Input).value = "2026-03-01"
        await seen.keys("enter")
        can = on_file(shop, number).can
        assert (can.lot, can.price, can.opened_on, can.use_within_days) == ("W8", 12.5, dt.date(2026, 3, 1), 60)
        assert "51 d left" in row(seen, number)


async def test_which_batches_got_a_can(shop: Shop) -> None:
    number = put(shop)
    coat(shop, begin(shop), NOW, 30.0, number)
    coat(shop, "B-1", NOW + 20, None, number)
    put(shop)
    async with opened(shop, NOW + 24) as (seen, _):
        await seen.keys("enter")
        assert seen.card == "Uses"
        lines = [" ".join(line.split()) for line in seen.lines() if "B-1 " in line]
        assert any("B-1 yesterday 09:00 30 mL" in line for line in lines)
        assert any("amount not said" in line for line in lines)
        await seen.keys("escape", "down", "b")
        assert "no coat came from it so far" in seen.text()


async def test_choosing_a_batch_asks_for_its_page(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    number = put(shop)
    coat(shop, begin(shop), NOW, 30.0, number)
    asked: list[str] = []

    def note(_app: FinishingApp, message: Page.OpenBatch) -> None:
        asked.append(message.code)

    monkeypatch.setattr(FinishingApp, "on_page_open_batch", note, raising=False)
    async with opened(shop) as (seen, _):
        await seen.keys("b", "down", "enter")
        await seen.pilot.pause()
    assert asked == ["B-1"]


async def test_another_program_s_can_shows_by_itself(shop: Shop) -> None:
    put(shop)
    async with opened(shop) as (seen, page):
        other = Shop.open(NOW, shop.store.location)
        cans.shelve(other, CanDraft("tung-oil", 250.0), NOW)
        other.close()
        page._look_if_changed()
        await seen.pilot.pause()
        assert "250 mL" in row(seen, 2)
        assert page.chosen is not None
        assert page.chosen.row.id == 1  # the cursor stays with its can


async def test_everything_with_the_mouse_alone(shop: Shop) -> None:
    put(shop)
    second = put(shop)
    async with opened(shop) as (seen, page):
        await seen.pilot.click("#cans", offset=(5, 1))
        await seen.pilot.pause()
        if seen.card == "Uses":
            await seen.keys("escape")
        assert page.chosen is not None
        assert page.chosen.row.id == second
        await press(seen, "Opened today")
        assert on_file(shop, second).can.opened_on == dt.date(2026, 3, 10)
        await press(seen, "Undo")
        assert on_file(shop, second).can.opened_on is None
        await press(seen, "New can")
        assert seen.card == "NewCan"
        await seen.app.workers.wait_for_complete()
        seen.app.screen.query_one("#finish", Select).value = "tung-oil"
        seen.app.screen.query_one("#volume", Input).value = "250"
        seen.app.screen.query_one("#opened", Select).value = True
        await seen.pilot.pause()
        await seen.pilot.click("#done")
        await seen.pilot.pause()
        assert on_file(shop, 3).can.opened_on == dt.date(2026, 3, 10)
        assert str(page.query_one("#can", Static).render()).startswith("can 3")
        assert page.query_one("#cans", OptionList).option_count == 3


async def press(seen: Seen, words: str) -> None:
    """Click a key at the foot."""
    key = next(key for key in seen.app.screen.query("FooterKey") if words in str(key.render()))
    await seen.pilot.click(key)
    await seen.pilot.pause()
