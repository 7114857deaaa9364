"""The compare page: asked for a described batch and for one on the bench, the best by a wish first."""

from __future__ import annotations

import pytest
from textual.widgets import Input, OptionList

from finishing.cure.terms import Release
from finishing.screens.pages.compare import ComparePage
from finishing.screens.pages.compare.cards import size_words
from finishing.shop.forms import parse_piece_size, parse_woods
from finishing.shop.plan import compare as asking
from finishing.shop.plan.compared import Wanted, Wish
from finishing.shop.settings import change_setting
from finishing.shop.shop import Shop
from tests.screens.conftest import Run, Seen, type_in, until
from tests.shop.built import NOW, begin, local

pytestmark = pytest.mark.pages

SIZES = ((80, 24), (120, 36), (160, 48))


async def open_page(seen: Seen) -> ComparePage:
    await seen.keys("8")
    page = seen.app.screen
    assert isinstance(page, ComparePage)
    return page


async def answered(seen: Seen, page: ComparePage) -> None:
    await until(seen, lambda: page.found is not None and page.found.wanted == page.wanted)
    await seen.pilot.pause()


@pytest.fixture
def one(shop: Shop) -> Shop:
    """A batch on the bench, wanted in eleven days."""
    change_setting(shop, "hourly_rate", "30", NOW)
    begin(shop, "B-1", "waterborne-three", wanted_by=local("2026-03-21 08:00"))
    return shop


@pytest.mark.parametrize("size", SIZES)
async def test_a_batch_on_the_bench(one: Shop, run: Run, size: tuple[int, int]) -> None:
    async with run(one, NOW, size) as seen:
        page = await open_page(seen)
        await answered(seen, page)
        text = " ".join(seen.text().split())
        assert "4 pieces for B-1 of hard maple, 300 mm × 200 mm × 18 mm, in loft, wanted by 21 Mar" in text
        for said in ("hands-on", "ready in", "costs", "begin by", "■", "▸READY SOONEST", "adds to a piece"):
            assert said in text, said
        assert "make the date" in seen.lines()[0]
        listed = page.query_one("#schedules", OptionList)
        assert listed.option_count == len(one.library.schedule_names)
        await seen.keys("end")
        assert "too late" in seen.text()
        assert "misses the date whenever it begins" in seen.text()


async def test_pieces_that_do_not_exist_by_form(shop: Shop, run: Run) -> None:
    async with run(shop, NOW, (80, 24)) as seen:
        page = await open_page(seen)
        assert "e asks: how many pieces, of what, by when?" in seen.text()
        await seen.keys("w", "p")
        await seen.keys("e")
        assert seen.card == "AskCard"
        await type_in(seen, "30")
        await seen.keys("tab")
        await type_in(seen, "hard maple, padauk 20%")
        await seen.keys("tab")
        await type_in(seen, "320x220x12")
        await seen.keys("tab")
        await type_in(seen, "2026-01-19")
        await seen.keys("enter")
        assert "wanted by: got '2026-01-19'" in seen.text()
        seen.app.screen.query_one("#by", Input).value = "2026-03-28"
        await seen.keys("enter")
        await answered(seen, page)
        # the page says what the command would: the same question, asked in this thread
        woods, size = parse_woods("hard maple, padauk 20%"), parse_piece_size("320x220x12")
        alike = asking.compare(shop, Wanted((), 30, woods, size, local("2026-03-28 08:00")), NOW)
        assert page.found is not None
        assert [c.schedule for c in page.found.columns] == [c.schedule for c in alike.columns]
        assert [c.latest for c in page.found.columns] == [c.latest for c in alike.columns]
        assert alike.columns[0].schedule in seen.text()
        await seen.keys("e")
        fields = {name: seen.app.screen.query_one(f"#{name}", Input).value for name in ("pieces", "woods", "size")}
        assert fields == {"pieces": "30", "woods": "hard maple, padauk 20%", "size": "320x220x12mm"}


async def test_each_wish_puts_its_own_first(one: Shop, run: Run) -> None:
    async with run(one, NOW, (120, 36)) as seen:
        page = await open_page(seen)
        await answered(seen, page)
        firsts = {}
        for wish in Wish:
            assert page.found is not None
            assert page.found.wanted.wish is wish
            able = [c for c in page.found.columns if c.makes_it]
            firsts[wish] = able[0]
            key = {
                Wish.SOONEST: lambda c: c.released[Release.PACK],
                Wish.HANDS_ON: lambda c: c.minutes,
                Wish.CHEAPEST: lambda c: (c.cost is None, c.money),
                Wish.TOUGHEST: lambda c: -c.protection,
            }[wish]
            assert key(able[0]) == min(key(c) for c in able)
            assert page.chosen is able[0]
            await seen.keys("w")
        assert page.found is not None
        assert page.found.wanted.wish is Wish.SOONEST
        assert len({c.schedule for c in firsts.values()}) > 1


async def test_another_batch_is_chosen_and_the_plan_left_out(one: Shop, run: Run) -> None:
    begin(one, "C-2", "wiped-varnish-four", what="boxes")
    async with run(one, NOW, (120, 36)) as seen:
        page = await open_page(seen)
        await answered(seen, page)
        await seen.keys("b", "down", "enter")
        await answered(seen, page)
        assert "4 pieces for C-2" in seen.text()
        assert "begin by" not in seen.text()
        await seen.keys("p")
        await answered(seen, page)
        assert page.wanted is not None
        assert not page.wanted.busy


async def test_with_the_mouse_alone(one: Shop, run: Run) -> None:
    async with run(one, NOW, (120, 36)) as seen:
        page = await open_page(seen)
        await answered(seen, page)
        await seen.pilot.click("#schedules", offset=(5, 2))
        await seen.pilot.pause()
        assert page.found is not None
        assert page.chosen is page.found.columns[2]
        await until(seen, lambda: any("Wish" in str(key.render()) for key in page.query("FooterKey")))
        await seen.pilot.click(next(key for key in page.query("FooterKey") if "Wish" in str(key.render())))
        await seen.pilot.pause()
        assert page.found.wanted.wish is Wish.HANDS_ON


@pytest.mark.parametrize("text", ["320x220x12", "round 100x9", "12.5x10x3/4in"])
def test_a_size_reads_back_as_itself(text: str) -> None:
    size = parse_piece_size(text)
    again = parse_piece_size(size_words(size))
    assert again.shape is size.shape
    for name in ("length_mm", "width_mm", "thickness_mm"):
        assert getattr(again, name) == pytest.approx(getattr(size, name))
