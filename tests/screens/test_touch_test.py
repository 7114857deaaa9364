"""The touch test: which stage it begins on, how it says to test, and what one key hands back."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

import pytest
from textual.widgets import Input, OptionList

from finishing.cure.terms import Face, Stage
from finishing.cure.work import Finding
from finishing.errors import BadInput
from finishing.screens.pages.touch_test import HOW, TouchTest, in_doubt, stage_words, worth_most
from finishing.shop import record
from finishing.shop.drafts import TestDraft
from finishing.shop.shop import Shop
from tests.screens.conftest import Seen, released, running
from tests.shop.built import NOW, ZONE, begin
from tests.shop.doing import coat, do

NOTHING = object()


class Asked:
    """A card in front, and what it handed back."""

    def __init__(self, seen: Seen) -> None:
        self.seen = seen
        self.answer: object = NOTHING

    @property
    def stage(self) -> str:
        """The highlighted line."""
        stages = self.seen.app.screen.query_one("#stages", OptionList)
        assert stages.highlighted is not None
        return str(stages.options[stages.highlighted].prompt)

    @property
    def how(self) -> str:
        """How to test it."""
        return str(self.seen.app.screen.query_one("#how").render())


@asynccontextmanager
async def asked(shop: Shop, code: str, at: float, size: tuple[int, int] = (100, 34)) -> AsyncIterator[Asked]:
    async with running(shop, at, size) as seen:
        card = Asked(seen)
        seen.app.push_screen(
            TouchTest(shop.standing(code, at), zone=ZONE, clock=lambda: at),
            lambda given: setattr(card, "answer", given),
        )
        await seen.pilot.pause()
        yield card


def test_each_stage_is_tested_in_the_terms_of_the_standard() -> None:
    """FED-STD-141D, method 4061.3 (22 March 2001), 4.6.3, 4.7.2 and 4.7.3; ISO 9117-1 and 9117-2 by their scopes.

    A 6.2 lb cylinder of 2 in: 6.2 · 0.45359237 kg and 50.8 mm.
    """
    assert set(HOW) == set(Stage)
    assert all(how.source and how.words.endswith(".") for how in HOW.values())
    tack = HOW[Stage.TACK_FREE].words
    assert f"{6.2 * 0.45359237:.1f} kg" in tack
    assert f"{50.8 / 10:.0f} cm" in tack
    assert all(words in tack for words in ("Kraft paper", "5 seconds", "10 seconds"))
    assert all(words in HOW[Stage.DRY_TO_TOUCH].words for words in ("finger", "rub lightly", "does not rub up"))
    through = HOW[Stage.DRY_TO_HANDLE].words
    assert all(words in through for words in ("Thumb", "full pressure", "90°", "loosens", "wrinkles"))
    assert "cotton" in HOW[Stage.DUST_FREE].words
    assert all(words in HOW[Stage.STACKABLE].words for words in ("paper", "no print"))


def test_it_begins_on_what_the_next_step_waits_for(shop: Shop) -> None:
    begin(shop)
    coat(shop, "B-1", NOW)
    batch = shop.standing("B-1", NOW)
    (laid,) = batch.fold.coats
    stages = tuple(laid.finish.stages)
    recoat, touch = laid.stages[Stage.DRY_TO_RECOAT], laid.stages[Stage.DRY_TO_TOUCH]
    assert recoat is not None
    assert recoat.could_be is not None
    assert recoat.count_on is not None
    assert touch is not None
    assert touch.could_be is not None
    assert worth_most(batch, laid, stages, (recoat.could_be + recoat.count_on) / 2) is Stage.DRY_TO_RECOAT
    # Before that could be: the softest stage that is in doubt; before any: the first.
    early = worth_most(batch, laid, stages, touch.could_be + 0.01)
    assert in_doubt(laid, early, touch.could_be + 0.01)
    assert stages.index(early) <= stages.index(Stage.DRY_TO_TOUCH)
    assert worth_most(batch, laid, stages, NOW) is stages[0]
    assert stage_words(laid, Stage.DRY_TO_RECOAT, NOW, ZONE).startswith("too early: could be from ")
    assert stage_words(laid, Stage.DRY_TO_RECOAT, recoat.could_be, ZONE).startswith("worth testing now")
    assert stage_words(laid, Stage.DRY_TO_RECOAT, recoat.count_on, ZONE).startswith("should be, since ")
    record.touch_test(shop, TestDraft("B-1", Stage.DRY_TO_RECOAT, Finding.DRY), NOW + 5)
    found = shop.standing("B-1", NOW + 5).fold.coats[0]
    assert stage_words(found, Stage.DRY_TO_RECOAT, NOW + 5, ZONE) == "found dry 14:00"
    assert not in_doubt(found, Stage.DRY_TO_RECOAT, NOW + 5)


@pytest.mark.parametrize(("key", "finding"), [("t", Finding.TACKY), ("d", Finding.DRY)])
async def test_one_key_says_what_the_finger_found(shop: Shop, key: str, finding: Finding) -> None:
    begin(shop)
    coat(shop, "B-1", NOW)
    async with asked(shop, "B-1", NOW + 5, (80, 24)) as card:
        assert "dry to recoat" in card.stage
        assert "P320" in card.how
        await card.seen.keys("down")
        assert "dry to handle" in card.stage
        assert "turn the thumb by 90°" in card.how
        assert "Thumb on the film" in card.seen.text()
        await card.seen.keys(key)
        assert card.answer == TestDraft("B-1", Stage.DRY_TO_HANDLE, finding, Face.BOTH)
        assert card.seen.said == []  # it hands back, and records nothing itself


async def test_the_same_by_mouse_and_at_a_time_of_its_own(shop: Shop) -> None:
    begin(shop)
    coat(shop, "B-1", NOW)
    async with asked(shop, "B-1", NOW + 5) as card:
        pilot = card.seen.pilot
        await pilot.click("#stages", offset=(4, 2))
        assert "dry to touch" in card.stage
        card.seen.app.screen.query_one("#at", Input).value = "18:30"
        await pilot.click("#dry")
        await pilot.pause()
        assert card.answer is NOTHING
        assert "felt at: got '18:30', expected a time that has passed" in str(
            card.seen.app.screen.query_one("#problem").render()
        )
        card.seen.app.screen.query_one("#at", Input).value = "13:30"
        await released(pilot, "#dry")
        await pilot.click("#dry")
        await pilot.pause()
        assert card.answer == TestDraft("B-1", Stage.DRY_TO_TOUCH, Finding.DRY, Face.BOTH, NOW + 4.5, typed="13:30")


async def test_faces_coated_apart_are_felt_apart(shop: Shop) -> None:
    begin(shop, schedule="waterborne-sealed-two-face")
    steps = shop.library.schedule("waterborne-sealed-two-face").steps
    first = next(i for i, s in enumerate(steps) if s.finish and s.face is not Face.BOTH)
    hours = [NOW + i for i in range(first + 1)]
    do(shop, "B-1", *hours)
    newest = steps[first].face
    async with asked(shop, "B-1", hours[-1] + 1) as card:
        assert f"{newest.value} face" in str(card.seen.app.screen.query_one("#lead").render())
        await card.seen.keys("f", "t")
        given = card.answer
        assert isinstance(given, TestDraft)
        below = {Face.TOP, Face.BOTTOM} - {newest}
        laid = shop.standing("B-1", hours[-1]).fold
        assert given.face in below | {Face.BOTH} if laid.last_coat(next(iter(below))) else given.face is newest


async def test_a_film_with_isocyanate_is_touched_with_a_glove(shop: Shop) -> None:
    begin(shop, schedule="moisture-cured-two")
    coat(shop, "B-1", NOW)
    async with asked(shop, "B-1", NOW + 2) as card:
        assert "Touch it with a glove on" in card.seen.text()
        await card.seen.keys("escape")
        assert card.answer is None


def test_a_batch_with_no_coat_has_nothing_to_feel(shop: Shop) -> None:
    begin(shop)
    with pytest.raises(BadInput, match="a batch with a coat on it"):
        TouchTest(shop.standing("B-1", NOW), zone=ZONE, clock=lambda: NOW)


async def test_an_oil_that_never_hardens_is_felt_with_a_cloth(shop: Shop) -> None:
    # common practice, no source: neither abrasive nor thumb tells anything of an oil that stays an oil
    begin(shop, schedule="oil-soak-board")
    coat(shop, "B-1", NOW)
    async with asked(shop, "B-1", NOW + 2) as card:
        assert "white cloth" in card.how
        assert "P320" not in card.how
