"""The learning page: what was found, each coat as an interval, and what is said to it by keys, found again on file."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

import pytest
from textual.widgets import OptionList

from finishing.cure.learn.density import Density, even, log_normal_at
from finishing.cure.terms import Stage
from finishing.cure.work import Finding
from finishing.screens.pages.learning import LearningPage
from finishing.screens.pages.learning.drawing import FACTORS, bar, hill, ruler
from finishing.shop import record
from finishing.shop.drafts import TestDraft
from finishing.shop.learning.sheet import sheet
from finishing.shop.shop import Shop
from finishing.store import lessons as stored
from tests.cure.learn.seen import INF, seen
from tests.screens.conftest import Run, Seen, running
from tests.shop.built import EVENING, NOW, begin
from tests.shop.doing import coat

pytestmark = pytest.mark.pages

VARNISH = "wiping-varnish"


@asynccontextmanager
async def opened(shop: Shop, at: float, size: tuple[int, int] = (80, 24)) -> AsyncIterator[tuple[Seen, LearningPage]]:
    async with running(shop, at, size) as run:
        await run.keys("9")
        await run.pilot.pause()
        page = run.app.screen
        assert isinstance(page, LearningPage)
        yield run, page


async def to_handle(run: Seen, shop: Shop) -> None:
    """Choose the stage of handling on the card."""
    coat_laid = shop.standing("B-1", NOW + 0.5).fold.coats[0]
    stages = [stage for stage in Stage if stage in coat_laid.finish.stages]
    await run.keys("home", *["down"] * stages.index(Stage.DRY_TO_HANDLE))


def said_on_file(shop: Shop) -> list[tuple[str, int | None]]:
    """What was said, as another program would find it."""
    with shop.store.read() as r:
        return [(one.kind.value, one.test) for one in stored.all_lessons(r)]


def test_an_interval_stands_where_its_ends_are_on_the_scale() -> None:
    width = 61
    one, two, four = (FACTORS.column(v, width) for v in (1.0, 2.0, 4.0))
    drawn = bar(seen(1.0, 2.0), 4.0, width)
    assert (drawn[one], drawn[two], drawn[four]) == ("├", "┤", "│")
    assert set(drawn[one + 1 : two]) == {"─"}
    assert drawn[:one].strip() == ""
    assert bar(seen(2.0, INF), 4.0, width).rstrip().endswith("▸")
    assert bar(seen(2.0, INF), 4.0, width)[one] == "┆"
    assert bar(seen(0.0, 2.0), 4.0, width)[0] == "◂"
    assert bar(seen(1.0, 1.001), 4.0, width)[one] == "◆"
    labels = ruler(width)
    assert [labels.index(label) for label in ("×1", "×2", "×4")] == [one, two, four]


def test_a_curve_is_highest_at_its_mode_and_as_wide_as_it_is_unsure() -> None:
    at = even(-3, 3, 601)
    wide, narrow = (hill(Density.of_logs(at, log_normal_at(at, sd)), 61) for sd in (0.5, 0.1))
    assert wide[FACTORS.column(1.0, 61)] == narrow[FACTORS.column(1.0, 61)] == "█"
    assert len(narrow.strip()) < len(wide.strip()) / 3
    # Half the height lies 1.1774 standard deviations from the middle (the normal density, OpenStax Introductory
    # Statistics, 6.1).
    half = FACTORS.column(2.718281828 ** (1.1774 * 0.5), 61)
    assert wide[half] in "▃▄▅"


async def test_it_shows_what_was_found_and_from_what_at_the_smallest_size(demo: Shop) -> None:
    found = sheet(demo, VARNISH, EVENING)
    async with opened(demo, EVENING) as (run, page):
        text = run.text()
        assert page.sheet is not None
        assert page.sheet.finish.name == VARNISH
        assert f"×{found.found.middle:.2f}" in text
        assert "before its tests" in text
        assert "after them" in text
        assert "next test: " in text
        assert "promises held" in run.lines()[0]
        for verdict in found.looks:
            assert f"{verdict.observation.batch}/{verdict.observation.coat}" in text
        odd = next(v for v in found.looks if v.surprising)
        line = next(li for li in run.lines() if f"{odd.observation.batch}/{odd.observation.coat}" in li)
        assert "!" in line
        assert "▸" in line
        assert "x leaves it out" in text


async def test_a_coat_is_left_out_and_taken_back_after_it_was_said_what_happens(demo: Shop) -> None:
    before = sheet(demo, VARNISH, EVENING)
    place = next(i for i, v in enumerate(reversed(before.looks)) if v.surprising)
    tests = list(reversed(before.looks))[place].observation.tests
    async with opened(demo, EVENING) as (run, page):
        await run.keys("tab", "home", *["down"] * place, "x")
        assert run.card == "Sure"
        then = before.lessons.shop_factor(before.lessons.observations.index(before.surprising[0].observation)).factor
        flat = " ".join(run.text().replace("│", " ").split())
        assert f"Windows go by ×{before.shop.factor:.2f} and then by ×{then:.2f}." in flat
        await run.keys("escape")
        assert said_on_file(demo) == []
        await run.keys("x", "enter")
        assert said_on_file(demo) == [("exclude", test) for test in tests]
        assert run.said[-1][0].startswith(f"test {tests[0]} left out of learning, on record")
        assert page.sheet is not None
        assert page.sheet.shop.factor == pytest.approx(then, rel=0.01)
        assert "you said: " in page.query_one("#story").render().__str__()  # type: ignore[attr-defined]
        await run.keys("u")
        assert run.card == "Sure"
        await run.keys("enter")
        assert [kind for kind, _ in said_on_file(demo)] == ["exclude", "void"]
        assert page.sheet.found.middle == pytest.approx(before.found.middle, rel=1e-6)


async def test_a_finish_is_begun_afresh(demo: Shop) -> None:
    async with opened(demo, EVENING) as (run, page):
        await run.keys("r")
        flat = " ".join(run.text().replace("│", " ").split())
        assert "is forgotten" in flat
        await run.keys("enter")
        assert [kind for kind, _ in said_on_file(demo)] == ["reset"]
        assert page.sheet is not None
        assert page.sheet.finish.name == VARNISH
        assert page.sheet.looks == ()
        assert "no coat of it was felt yet" in run.text()
        assert not page.query_one("#looks", OptionList).display


async def test_the_test_that_tells_most_is_made_from_here(demo: Shop) -> None:
    async with opened(demo, EVENING) as (run, page):
        assert page.sheet is not None
        assert page.sheet.next.best is not None
        code = page.sheet.next.best.code
        await run.keys("t")
        assert run.card == "TouchTest"
        assert f"{code}: touch test" in run.text()


async def test_enter_on_a_coat_opens_its_batch_and_the_mouse_chooses_finishes(demo: Shop) -> None:
    async with opened(demo, EVENING) as (run, page):
        await run.pilot.click("#finishes", offset=(4, 1))
        await run.pilot.pause()
        assert page.sheet is not None
        assert page.sheet.finish.name == "hard-wax-oil"
        await run.keys("tab", "enter")
        assert run.card == "BatchPage"


async def test_an_empty_shop_says_what_to_do(shop: Shop) -> None:
    async with opened(shop, NOW) as (run, page):
        assert "begin a batch, and feel its coats" in run.text()
        await run.keys("x", "r", "u", "t", "down")
        assert run.card == "LearningPage"
        assert page.sheet is None


async def test_still_tacky_moves_the_hour_and_says_why(demo: Shop, run: Run) -> None:
    """A maker finds a coat still tacky: the hour on the bench moves, and the batch's page says from how many tests."""
    code = "S-22"
    async with run(demo, EVENING, (80, 24)) as seen:
        await seen.go_to(code)
        before = demo.standing(code, EVENING).progress(EVENING).releases
        await seen.keys("t", "t")
        said = [words for words, _ in seen.said][-1]
        assert said.startswith(f"{code}: tacky for ")
        assert "was: " in said
        assert "; now: " in said
        after = demo.standing(code, EVENING).progress(EVENING).releases
        assert all(after[r] > when for r, when in before.items() if when is not None)  # type: ignore[operator]
        if seen.card != "BenchScreen":
            await seen.keys("enter")


async def test_a_surprising_answer_is_asked_about(shop: Shop, run: Run) -> None:
    begin(shop)
    coat(shop, "B-1", NOW)
    async with run(shop, NOW + 0.5, (80, 24)) as seen:
        await seen.keys("t")
        await to_handle(seen, shop)
        await seen.keys("d")
        assert seen.card == "ChoiceCard"
        card = seen.app.screen.query_one("#card").region
        lines = [line[card.x : card.right] for line in seen.lines()[card.y : card.bottom]]
        flat = " ".join(" ".join(lines).replace("│", " ").split())
        assert "B-1: dry, are you sure?" in flat
        assert "or another coat than you meant?" in flat
        number = record.undoable(shop.standing("B-1", NOW + 0.5)).number  # type: ignore[union-attr]
        await seen.keys("down", "enter")
        assert said_on_file(shop) == [("exclude", number)]
        assert "left out of learning" in seen.said[-1][0]


async def test_a_slip_is_voided_from_the_question(shop: Shop, run: Run) -> None:
    begin(shop)
    coat(shop, "B-1", NOW)
    async with run(shop, NOW + 0.5, (80, 24)) as seen:
        await seen.keys("t")
        await to_handle(seen, shop)
        await seen.keys("d", "end", "enter")
        assert shop.standing("B-1", NOW + 0.5).fold.coats[0].tests == ()
        assert said_on_file(shop) == []


async def test_a_test_that_goes_with_the_others_is_not_asked_about(shop: Shop, run: Run) -> None:
    begin(shop)
    coat(shop, "B-1", NOW)
    stated = shop.library.finish(VARNISH).stages[Stage.DRY_TO_RECOAT].typical
    record.touch_test(shop, TestDraft("B-1", Stage.DRY_TO_RECOAT, Finding.TACKY), NOW + stated * 0.9)
    async with run(shop, NOW + stated * 1.1, (80, 24)) as seen:
        await seen.keys("t", "d")
        assert seen.card == "BenchScreen"
