"""The records page, and the ways to it from a batch and a can: what the commands do, done by keys."""

from __future__ import annotations

import threading
from pathlib import Path

import pypdf
import pytest
import vobject
from textual.widgets import Input, Select

from finishing.screens.pages.records.cards import PrintCard
from finishing.shop import calendar, cans, cards
from finishing.shop.cards import Printed, Progress, Worded
from finishing.shop.drafts import CanDraft
from finishing.shop.shop import Shop
from tests.screens.conftest import Run, Seen, until
from tests.shop.built import EVENING, NOW, begin
from tests.shop.doing import coat


async def typed(seen: Seen, field: str, text: str) -> None:
    """Put text in a field, as by hand."""
    entry = seen.app.screen.query_one(f"#{field}", Input)
    entry.focus()
    entry.value = text
    await seen.pilot.pause()


@pytest.mark.parametrize("size", [(80, 24), (120, 36), (160, 48)])
async def test_a_month_and_the_months_before(demo: Shop, run: Run, size: tuple[int, int]) -> None:
    async with run(demo, EVENING, size) as seen:
        await seen.keys("0")
        assert seen.card == "RecordsPage"
        assert "November 2026" in seen.text()
        assert "wiped-varnish-sealed" in seen.text()
        await seen.keys("full_stop")  # nothing is known of the month to come
        assert "November 2026" in seen.text()
        await seen.keys("comma")
        assert "October 2026" in seen.text()
        assert "nothing was recorded" in seen.text()
        await seen.keys("m")
        assert "November 2026" in seen.text()


async def test_trace_by_key(shop: Shop, run: Run) -> None:
    number = cans.shelve(shop, CanDraft("wiping-varnish", 500.0, "W[7]"), NOW)
    coat(shop, begin(shop), NOW, 60.0, number)
    async with run(shop, NOW) as seen:
        await seen.keys("0", "t")
        assert seen.card == "TraceCard"
        await typed(seen, "word", "W[7]")
        await seen.keys("enter")
        assert "1 batch, 4 pieces" in seen.text()
        assert "on the rack, loft" in seen.text()
        await seen.keys("t")
        await typed(seen, "word", "no such lot")
        await seen.keys("enter")
        assert "expected a known lot, can or batch" in seen.text()


async def test_a_lot_from_the_cans_and_a_batch_from_its_page(shop: Shop, run: Run) -> None:
    number = cans.shelve(shop, CanDraft("wiping-varnish", 500.0, "W7"), NOW)
    coat(shop, begin(shop), NOW, 60.0, number)
    async with run(shop, NOW) as seen:
        await seen.keys("3", "l")
        assert seen.card == "RecordsPage"
        assert "B-1" in seen.text()
        await seen.keys("escape", "escape")
        await seen.keys("o", "i")
        assert "COAT 1" in seen.text()
        assert "lot W7" in seen.text()


async def test_cards_from_the_batch_page(shop: Shop, run: Run, tmp_path: Path) -> None:
    begin(shop)
    async with run(shop, NOW) as seen:
        await seen.keys("o", "p")
        assert seen.card == "PrintCard"
        assert isinstance(seen.app.screen, PrintCard)
        assert seen.app.screen.query_one("#codes", Input).value == "B-1"
        seen.app.screen.query_one("#kind", Select).value = "care"
        await typed(seen, "file", str(tmp_path / "care.pdf"))
        await seen.keys("enter")
        await until(seen, lambda: seen.card == "BatchPage")
        assert "1 card on 1 page" in seen.said[-1][0]
    assert "No hot mugs" in " ".join(pypdf.PdfReader(tmp_path / "care.pdf").pages[0].extract_text().split())


async def test_printing_goes_on_beside_the_screen_and_stops_when_asked(
    shop: Shop, run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    begin(shop)
    held, draw = threading.Event(), cards.draw_cards

    def slow(worded: Worded, file: Path, progress: Progress) -> Printed:
        def tell(done: int, total: int) -> None:
            if done == 2:
                held.wait(10)
            progress(done, total)

        return draw(worded, file, tell)

    monkeypatch.setattr(cards, "draw_cards", slow)
    async with run(shop, NOW) as seen:
        await seen.keys("o", "p")
        await typed(seen, "copies", "4")
        await typed(seen, "file", str(tmp_path / "rack.pdf"))
        await seen.keys("enter")
        await until(seen, lambda: seen.card == "WorkCard" and "25%" in seen.text())
        await seen.keys("question_mark", "escape")
        held.set()
        await until(seen, lambda: seen.card == "BatchPage")
        assert seen.said[-1][0] == "stopped: nothing was printed"
    assert list(tmp_path.glob("*.pdf*")) == []


async def test_files_from_the_page(demo: Shop, run: Run, tmp_path: Path) -> None:
    async with run(demo, EVENING) as seen:
        await seen.keys("0", "k")
        await typed(seen, "file", str(tmp_path / "shop.ics"))
        await seen.keys("enter")
        await until(seen, lambda: seen.card == "RecordsPage")
        assert " new, 0 changed" in seen.said[-1][0]
        await seen.keys("w")
        await typed(seen, "file", str(tmp_path / "all.json"))
        await seen.keys("enter")
        await until(seen, lambda: seen.card == "RecordsPage")
        assert "rows of" in seen.said[-1][0]
        await seen.keys("k")
        await typed(seen, "file", str(tmp_path / "all.json"))
        await seen.keys("enter")
        await until(seen, lambda: seen.card == "RecordsPage")
        assert "holds something else" in seen.said[-1][0]
    assert vobject.readOne((tmp_path / "shop.ics").read_text("utf-8")).contents["vevent"]
    assert (tmp_path / "all.json").stat().st_size > 1000


async def test_the_calendar_is_written_beside_the_screen(
    demo: Shop, run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """While a slow disk is waited for, the screen answers."""
    held, write = threading.Event(), calendar.write_ahead

    def slow(shop: Shop, ahead: calendar.Ahead, file: Path, now: float) -> calendar.CalendarMade:
        held.wait(10)
        return write(shop, ahead, file, now)

    monkeypatch.setattr(calendar, "write_ahead", slow)
    async with run(demo, EVENING) as seen:
        await seen.keys("0", "k")
        await typed(seen, "file", str(tmp_path / "shop.ics"))
        await seen.keys("enter")
        await until(seen, lambda: seen.card == "WorkCard" and "0%" in seen.text())
        await seen.keys("question_mark")
        assert seen.card == "WorkCard"
        held.set()
        await until(seen, lambda: seen.card == "RecordsPage")
        assert " new, 0 changed" in seen.said[-1][0]
    assert vobject.readOne((tmp_path / "shop.ics").read_text("utf-8")).contents["vevent"]
