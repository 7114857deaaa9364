"""The plan page: made while one watches, moved by key and by mouse, kept, and gone on from when the record moves on."""

from __future__ import annotations

import json
import subprocess
import sys

import pytest
from textual.widgets import Input

from finishing.clock import at_zone
from finishing.screens.pages.plan import PlanPage
from finishing.screens.widgets.plan_rows import PlanRows
from finishing.shop import batches, record
from finishing.shop.drafts import NewBatchDraft, StepDraft
from finishing.shop.plan import kept
from finishing.shop.settings import change_setting
from finishing.shop.shop import Shop
from finishing.store.location import Location
from tests.screens.conftest import Run, Seen, type_in, until
from tests.shop.built import EVENING, NOW, ZONE, begin, local

pytestmark = pytest.mark.pages

SIZES = ((80, 24), (120, 36), (160, 48))


async def open_page(seen: Seen) -> PlanPage:
    """Go to the page and wait for a plan."""
    await seen.keys("7")
    page = seen.app.screen
    assert isinstance(page, PlanPage)
    await until(seen, lambda: page.told is not None and not page.told.busy)
    return page


def rows(page: PlanPage) -> PlanRows:
    return page.query_one(PlanRows)


async def go_to(seen: Seen, page: PlanPage, code: str) -> int:
    """Bring the cursor to the first work of a batch, by keys; its line."""
    await seen.keys("home")
    for _ in range(100):
        line = rows(page).line
        if line is not None and line.work is not None and line.work.code == code:
            return rows(page).cursor
        await seen.keys("down")
    raise AssertionError(seen.text())


def begins(page: PlanPage, code: str) -> float:
    """When the first work of a batch begins in the plan shown."""
    return next(line.work.begins for line in rows(page).lines if line.work is not None and line.work.code == code)


def pins(where: Location, at: float = NOW) -> kept.Pins:
    """What is pinned, read by a shop of its own."""
    other = Shop.open(at, where)
    try:
        return kept.pins(other)
    finally:
        other.close()


@pytest.fixture
def two(shop: Shop) -> Shop:
    """Two batches in the loft, four coats each."""
    begin(shop, "A-1", "wiped-varnish-four", wanted_by=local("2026-05-10 08:00"))
    begin(shop, "B-1", "shellac-brushed-two", wanted_by=local("2026-05-10 08:00"))
    return shop


@pytest.mark.parametrize("size", SIZES)
async def test_the_invented_shop_by_day(demo: Shop, run: Run, size: tuple[int, int]) -> None:
    async with run(demo, EVENING, size) as seen:
        await seen.keys("7")
        page = seen.app.screen
        assert isinstance(page, PlanPage)
        await until(seen, lambda: page.told is not None)
        # Proved within seconds where the machine has nothing else to do; told to stop where it hasn't come so far.
        await seen.keys("s")
        await until(seen, lambda: page.told is not None and not page.told.busy)
        await until(seen, lambda: "improving" not in seen.text())
        text = seen.text()
        for said in ("MON 30 NOV", "08:00-", "of work", "~ night: bench room down to 9 °C"):
            assert said in text, said
        assert page.told is not None
        late = len(page.told.sheet.late)
        assert late > 0
        assert f"plan · {late} late" in seen.lines()[0]
        await go_to(seen, page, "T-14")
        assert "have ready 114 mL of Wiping varnish" in seen.text()
        assert "metal can of water for the rags" in seen.text()
        if size[0] < 110:
            assert "DATES" not in seen.text()
            assert " p Pin" in seen.lines()[-1]
            await seen.keys("v")
            assert " p Pin" not in seen.lines()[-1], "the chosen line is out of sight"
        assert "DATES" in seen.text()
        assert "days late" in seen.text()


async def test_why_and_what_would_help_come_by_themselves(demo: Shop, run: Run) -> None:
    async with run(demo, EVENING, (160, 48)) as seen:
        await seen.keys("7")
        page = seen.app.screen
        assert isinstance(page, PlanPage)
        await until(seen, lambda: page.told is not None and page.told.reliefs is not None)
        said = str(page.query_one("#dates").render())
        assert "its coats take too long to be sure" in said
        assert "T-14 into warm cabinet" in said
        assert "chance" in said


async def test_moved_to_the_next_hours_and_pinned_by_key(two: Shop, run: Run) -> None:
    async with run(two) as seen:
        page = await open_page(seen)
        await go_to(seen, page, "B-1")
        before = begins(page, "B-1")
        await seen.keys("l")
        await until(seen, lambda: begins(page, "B-1") > before and bool(seen.said))
        after = begins(page, "B-1")
        assert (at_zone(before, ZONE).hour, at_zone(after, ZONE).hour) == (9, 13)
        assert pins(two.store.location) == {"B-1": {0: after}}
        assert seen.said[-1][0] == f"pinned B-1 to {at_zone(after, ZONE).format('HH:mm')}"
        line = rows(page).line
        assert line is not None
        assert line.work is not None
        assert (line.work.code, line.work.pinned) == ("B-1", True)
        assert "* pinned to this time" in seen.text()
        await seen.keys("p")
        await until(seen, lambda: pins(two.store.location) == {})
        await until(seen, lambda: seen.said[-1][0] == "let go of B-1")


async def test_a_quarter_of_an_hour_by_the_arrows(two: Shop, run: Run) -> None:
    async with run(two) as seen:
        page = await open_page(seen)
        await go_to(seen, page, "A-1")
        before = begins(page, "A-1")
        await seen.keys("right")
        await until(seen, lambda: begins(page, "A-1") != before)
        assert begins(page, "A-1") == before + 0.25
        await seen.keys("left")
        await until(seen, lambda: begins(page, "A-1") == before)
        assert pins(two.store.location) == {"A-1": {0: before}}


async def test_presses_in_quick_succession_all_count(two: Shop, run: Run) -> None:
    async with run(two) as seen:
        page = await open_page(seen)
        await go_to(seen, page, "A-1")
        before = begins(page, "A-1")
        for _ in range(3):
            page.action_shift("LATER")
        await until(seen, lambda: begins(page, "A-1") == before + 0.75)
        await until(seen, lambda: pins(two.store.location) == {"A-1": {0: before + 0.75}})


async def test_what_cannot_be_is_refused_in_words(two: Shop, run: Run) -> None:
    async with run(two) as seen:
        page = await open_page(seen)
        await go_to(seen, page, "A-1")
        await seen.keys("e")
        assert seen.said[-1][0] == "A-1: no working hours before that"
        coats = [(i, x.work) for i, x in enumerate(rows(page).lines) if x.work and x.work.code == "A-1"]
        rows(page).cursor = next(i for i, work in coats if "coat 2/4" in work.brief)
        soon = next(work.ends for _, work in coats if "coat 1/4" in work.brief) + 0.5
        await seen.keys("t")
        seen.app.screen.query_one("#begins", Input).value = at_zone(soon, ZONE).format("YYYY-MM-DD HH:mm")
        await seen.keys("enter")
        await until(seen, lambda: "A-1: not before " in seen.said[-1][0])
        assert "dry enough" in seen.said[-1][0]
        assert pins(two.store.location) == {}


async def test_a_time_is_typed(two: Shop, run: Run) -> None:
    async with run(two) as seen:
        page = await open_page(seen)
        await go_to(seen, page, "B-1")
        await seen.keys("t")
        assert seen.card == "BeginCard"
        await type_in(seen, "2026-03-01 10:00")
        await seen.keys("enter")
        assert "expected a date or time" in seen.text()
        seen.app.screen.query_one("#begins", Input).value = "thursday 14:30"
        await seen.keys("enter")
        await until(seen, lambda: begins(page, "B-1") == local("2026-03-12 14:30"))
        assert pins(two.store.location) == {"B-1": {0: local("2026-03-12 14:30")}}


async def test_a_session_is_moved_as_a_whole(two: Shop, run: Run) -> None:
    async with run(two) as seen:
        page = await open_page(seen)
        first = next(i for i, line in enumerate(rows(page).lines) if line.session and not line.work)
        rows(page).cursor = first
        session = rows(page).lines[first].session
        assert session is not None
        moved = {w.code for w in session.works}
        await seen.keys("l")
        await until(seen, lambda: {*pins(two.store.location)} == moved)
        await until(seen, lambda: all(at_zone(begins(page, code), ZONE).hour >= 13 for code in moved))


async def test_dragged_with_the_mouse(two: Shop, run: Run) -> None:
    async with run(two, size=(120, 48)) as seen:
        page = await open_page(seen)
        at = await go_to(seen, page, "B-1")
        lines = rows(page).lines
        second_day = next(
            i
            for i, line in enumerate(lines)
            if line.session is None and not line.night and line.day is not lines[0].day
        )
        top = rows(page).scroll_offset.y
        planned = at_zone(begins(page, "B-1"), ZONE).date()
        await seen.pilot.mouse_down("#days", offset=(8, at - top))
        await seen.pilot.hover("#days", offset=(8, second_day - top))
        assert "◂" in seen.text()
        await seen.pilot.mouse_up("#days", offset=(8, second_day - top))
        await until(seen, lambda: at_zone(begins(page, "B-1"), ZONE).date() != planned)
        assert at_zone(begins(page, "B-1"), ZONE).date() == lines[second_day].day.date
        assert [*pins(two.store.location)] == ["B-1"]


async def test_keys_at_the_foot_are_clicked(two: Shop, run: Run) -> None:
    async with run(two) as seen:
        page = await open_page(seen)
        await go_to(seen, page, "B-1")
        key = next(key for key in page.query("FooterKey") if "Keep" in str(key.render()))
        await seen.pilot.click(key)
        await seen.pilot.pause()
        other = Shop.open(NOW, two.store.location)
        known = kept.plan(other)
        other.close()
        assert known is not None
        assert known.begins["B-1"]["0"] == begins(page, "B-1")
        assert "kept" in seen.lines()[0]
        await seen.keys("x")
        assert kept.plan(two) is None


async def test_an_entry_of_another_process_moves_what_follows_it_alone(two: Shop, run: Run) -> None:
    """A-1 is prepared late, from another terminal: what follows it moves, B-1 stays, and the page says what moved."""
    late = NOW + 26.0
    at = [NOW]
    async with run(two, lambda: at[0], (120, 48)) as seen:
        page = await open_page(seen)
        assert page.told is not None
        second = next(line.work for line in rows(page).lines if line.work and line.work.code == "B-1")
        program = (
            "import sys; from finishing.shop.shop import Shop; from finishing.store import at_file;"
            "from pathlib import Path; from finishing.shop import record; from finishing.shop.drafts import StepDraft;"
            "file, at = sys.argv[1], float(sys.argv[2]); shop = Shop.open(at, at_file(Path(file)));"
            "record.record_step(shop, StepDraft('B-1', 0, at=at), at); shop.close()"
        )
        at[0] = second.ends
        done = subprocess.run(
            [sys.executable, "-c", program, str(two.store.location.file), json.dumps(at[0])], capture_output=True
        )
        assert done.returncode == 0, done.stderr
        old = page.told
        page._look_if_changed()
        await until(seen, lambda: page.told is not old and page.told is not None and not page.told.busy)
        assert page.told is not None
        assert page.told.sheet.kept_at is not None
        assert any("planned again" in words for words, _ in seen.said)
        assert "WHAT MOVED" in str(page.query_one("#dates").render())
        assert not any(m.code == "B-1" for m in page.told.sheet.moved)
        # a day on, with nothing done on A-1: going on moves it, and says so
        at[0] = late
        record.record_step(two, StepDraft("A-1", 0, at=late), late)
        old = page.told
        page.refresh_page()
        await until(seen, lambda: page.told is not old and page.told is not None and not page.told.busy)
        said = str(page.query_one("#dates").render())
        assert "A-1 " in said
        assert "→" in said


@pytest.fixture
def thirty(shop: Shop) -> Shop:
    """Thirty trays in hours of an hour, too short for a coat on all of them, and a batch beside them."""
    change_setting(shop, "hours", "mon-sun 18:00-19:00", NOW)
    draft = NewBatchDraft("trays", 30, "waterborne-three", "loft", (("hard maple", 1.0),), None, "B-1")
    batches.begin_batch(shop, draft, NOW)
    begin(shop, "A-1", "shellac-brushed-two")
    return shop


async def test_a_batch_planned_in_parts_is_split_by_key(thirty: Shop, run: Run) -> None:
    async with run(thirty, size=(80, 24)) as seen:
        page = await open_page(seen)
        assert "! B-1 is planned as split into 15 and 15: d on its lines" in seen.text()
        await go_to(seen, page, "A-1")
        assert " d Split" not in seen.lines()[-1]
        await seen.keys("d")
        assert seen.card == "PlanPage"
        await go_to(seen, page, "B-1.2")
        assert " d Split" in seen.lines()[-1]
        before = [(w.code, w.begins) for line in rows(page).lines if (w := line.work) is not None]
        await seen.keys("l")
        await until(seen, lambda: bool(pins(thirty.store.location)))
        pinned = pins(thirty.store.location)
        assert [*pinned] == ["B-1.2"]
        old = page.told
        await seen.keys("d")
        assert seen.card == "SplitCard"
        assert [field.value for field in seen.app.screen.query(Input)][:2] == ["15", "B-1.2"]
        await seen.keys("enter")
        await until(seen, lambda: page.told is not old and page.told is not None and not page.told.busy)
        assert seen.said[-1][0].startswith("the record moved on: planned again")
        assert ("B-1: 15 of 30 pieces are now B-1.2, on record") in [said for said, _ in seen.said]
        assert page.told is not None
        assert page.told.sheet.splits == ()
        assert "planned as split" not in seen.text()
        assert pins(thirty.store.location) == pinned
        after = [(w.code, w.begins) for line in rows(page).lines if (w := line.work) is not None]
        assert {code for code, _ in after} == {code for code, _ in before}
        assert begins(page, "B-1.2") == pinned["B-1.2"][0]


async def test_the_next_part_is_split_off_with_the_mouse(thirty: Shop, run: Run) -> None:
    async with run(thirty) as seen:
        page = await open_page(seen)
        await go_to(seen, page, "B-1")
        key = next(key for key in page.query("FooterKey") if "Split" in str(key.render()))
        await seen.pilot.click(key)
        await until(seen, lambda: seen.card == "SplitCard")
        await seen.pilot.click("#done")
        await until(seen, lambda: thirty.standing("B-1", NOW).row.pieces == 15)
        assert thirty.standing("B-1.2", NOW).row.pieces == 15


async def test_an_empty_shop(shop: Shop, run: Run) -> None:
    async with run(shop, size=(80, 24)) as seen:
        page = await open_page(seen)
        assert page.told is not None
        assert "nothing for the hands to plan" in seen.text()
        await seen.keys("l", "p", "t", "right")
        assert seen.card == "PlanPage"


async def test_enter_opens_the_batch(two: Shop, run: Run) -> None:
    async with run(two) as seen:
        page = await open_page(seen)
        await go_to(seen, page, "B-1")
        await seen.keys("enter")
        await seen.pilot.pause()
        assert seen.card == "BatchPage"
