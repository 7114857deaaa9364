"""What is said of one coat in several places is one thing: chances, factors, and what an answer would make of them."""

from __future__ import annotations

import math

import pytest

from finishing.cure.terms import Stage
from finishing.cure.work import Finding
from finishing.shop import split
from finishing.shop.learning import word
from finishing.shop.learning.next_test import Chance
from finishing.shop.learning.sheet import sheet
from finishing.shop.learning.words import chance_words, if_excluded, if_reset
from finishing.shop.settings import change_setting
from finishing.shop.shop import Shop

from .built import NOW, begin
from .doing import coat
from .test_learning import RECOAT, TOUCH, VARNISH, feel, felt_batch, newest

ZONE = "Europe/Oslo"


def lone_coat(shop: Shop, code: str = "N-1", at: float = NOW) -> None:
    begin(shop, code, at=at)
    coat(shop, code, at)


def looked_at_now(shop: Shop, now: float) -> Chance:
    found = sheet(shop, VARNISH, now).next.now
    assert found is not None
    return found


def stated(shop: Shop, stage: Stage = RECOAT) -> float:
    return shop.library.finish(VARNISH).stages[stage].typical


@pytest.mark.parametrize("felt", [0, 1, 3])
def test_the_chance_of_dry_is_the_one_the_batch_page_gives_hours_by(shop: Shop, felt: int) -> None:
    """At the hour that is likely 50 in 100, at that to count on 90: nothing learned, one coat felt, and several."""
    for i in range(felt):
        felt_batch(shop, f"B-{i}", 1.5, 1.8)
    lone_coat(shop, at=NOW + 40)
    for level, name in ((0.2, "could_be"), (0.5, "likely"), (0.9, "count_on")):
        for stage in (TOUCH, RECOAT):
            time = shop.standing("N-1", NOW + 40).fold.coats[0].stages[stage]
            assert time is not None
            hour = getattr(time, name)
            found = looked_at_now(shop, hour)
            again = shop.standing("N-1", hour).fold.coats[0].stages[found.stage]
            assert again is not None
            if found.stage is stage:
                assert found.dry == pytest.approx(level, abs=2e-3)
            else:
                assert again.could_be is not None
                assert (found.dry > 0.2) == (hour > again.could_be)


@pytest.mark.parametrize("answer", list(Finding))
@pytest.mark.parametrize("where", ["new", "felt", "far", "oily", "part"])
def test_an_answer_makes_of_the_factor_what_was_said_it_would(shop: Shop, where: str, answer: Finding) -> None:
    for i in range(2):
        felt_batch(shop, f"B-{i}", 1.2, 1.6)
    now = NOW + 2.0 * stated(shop)
    begin(shop, "N-1", at=NOW, woods="padauk" if where == "oily" else "hard maple")
    coat(shop, "N-1", NOW)
    if where in ("felt", "part"):
        feel(shop, "N-1", NOW + 1.5 * stated(shop), Finding.TACKY)
    if where == "part":
        split.split(shop, split.SplitDraft("N-1", 1), now)
    if where == "far":
        feel(shop, "N-1", NOW + 12.0 * stated(shop), Finding.TACKY)
        now = NOW + 14.0 * stated(shop)
    said = looked_at_now(shop, now)
    before = sheet(shop, VARNISH, now)
    feel(shop, said.code, now, answer, said.stage)
    after = sheet(shop, VARNISH, now)
    was, found = ((s.found if said.woods is None else s.slow.get(said.woods, s.found)).middle for s in (before, after))
    assert (said.woods is not None) is (where == "oily")
    assert found == pytest.approx(said.if_dry if answer is Finding.DRY else said.if_tacky, rel=1e-3)
    # One answer raises it and the other lowers it: the mean before is a mean of those after.
    assert said.if_dry <= was * (1 + 1e-3)
    assert said.if_tacky >= was * (1 - 1e-3)


def test_one_factor_is_shown_for_one_thing(shop: Shop) -> None:
    """In the list, the sheet, the reasons of a batch and what a test is said to have changed: what windows go by."""
    felt_batch(shop, "B-1", 1.5, 4.0)
    lone_coat(shop)
    now = NOW + 2.2 * stated(shop)
    said = feel(shop, "N-1", now, Finding.TACKY)
    lone_coat(shop, "M-1", now)
    found = sheet(shop, VARNISH, now)
    assert found.learned
    shown = f"×{found.found.middle:.2f}"
    assert found.found.middle == pytest.approx(found.shop.factor)
    assert f"in this shop {shown}," in said
    assert any(line.startswith(f"this shop {shown}, learned") for line in shop.reasons("M-1", now + 1))
    # Of its own looks a coat's windows hear once: the factor is that of the other coats, and said to be.
    assert any("but for this coat" in line for line in shop.reasons("N-1", now + 1))


def test_nothing_is_called_certain_that_the_batch_page_calls_open(shop: Shop) -> None:
    """One coat alone found dry far too early moves no date, so it makes no look certain either."""
    change_setting(shop, "hours", "mon-sun 00:00-24:00", NOW)
    lone_coat(shop)
    feel(shop, "N-1", NOW + 0.1 * stated(shop), Finding.DRY)
    lone_coat(shop, "M-1", NOW + 24)
    likely = shop.standing("M-1", NOW + 24).fold.coats[0].stages[RECOAT]
    assert likely is not None
    assert likely.likely is not None
    found = looked_at_now(shop, likely.likely)
    assert "almost for certain" not in chance_words(found, ZONE, likely.likely)
    assert found.bits > 0.03


def test_what_leaving_out_and_beginning_afresh_would_do_is_what_they_do(shop: Shop) -> None:
    felt_batch(shop, "B-1", 1.5, 1.8)
    felt_batch(shop, "B-2", 1.4, 1.9)
    now = NOW + 60
    found = sheet(shop, VARNISH, now)
    was = f"Windows go by ×{found.shop.factor:.2f} and then by the stated times: too few coats are left."
    verdict = next(v for v in found.looks if v.observation.batch == "B-2")
    assert was in if_excluded(found, verdict)
    assert any(was in line for line in if_reset(found))
    word.exclude(shop, verdict.observation.tests, now)
    assert sheet(shop, VARNISH, now).shop.ln_sd is None
    assert math.isclose(sheet(shop, VARNISH, now).shop.factor, 1.0)


def test_a_coat_that_is_taken_for_another_is_said_to_be(shop: Shop) -> None:
    """Tacky again far beyond all others: what its first look told goes too, the finish is found faster; said so."""
    for i in range(4):
        felt_batch(shop, f"B-{i}", 0.95, 1.25)
    lone_coat(shop)
    said = feel(shop, "N-1", NOW + 1.8 * stated(shop), Finding.TACKY)
    assert "counts for less" not in said
    once = sheet(shop, VARNISH, NOW + 60).found.middle
    said = feel(shop, "N-1", NOW + 7.0 * stated(shop), Finding.TACKY)
    assert sheet(shop, VARNISH, NOW + 60).found.middle < once
    assert "Coat 1 is now so far from the others that it counts for less than it did" in said
    assert newest(shop, "N-1")


def test_a_coat_on_oily_wood_that_hardens_after_all_is_said_to_have_been_slow(shop: Shop) -> None:
    """Tacky it might have been one that never hardens; dry at last it shows that it was slow: it is found slower."""
    for i in range(2):
        begin(shop, f"P-{i}", at=NOW, woods="iroko")
        coat(shop, f"P-{i}", NOW)
        feel(shop, f"P-{i}", NOW + 3.0 * 4.2 * stated(shop), Finding.TACKY)
    before = sheet(shop, VARNISH, NOW + 90).slow
    said = feel(shop, "P-1", NOW + 3.0 * 4.4 * stated(shop), Finding.DRY)
    after = sheet(shop, VARNISH, NOW + 90).slow
    assert [after[woods].middle > before[woods].middle for woods in before] == [True]
    assert "Coat 1 hardened after all: so it was slow" in said
