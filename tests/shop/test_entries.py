"""Abrading, touch tests, moves, releases, holds and closing: each says what it changed."""

from __future__ import annotations

import pytest

from finishing.cure.fold import State
from finishing.cure.terms import Face, Release, Stage
from finishing.cure.work import Finding
from finishing.errors import BadInput, NotFound
from finishing.shop import batches, record
from finishing.shop.drafts import AbradeDraft, ReleaseDraft, StepDraft, TestDraft
from finishing.shop.shop import Shop
from tests.shop.built import NOW, begin
from tests.shop.doing import coat, do, on_file


def state(shop: Shop, code: str, at: float) -> State:
    following = shop.standing(code, at).fold.next(at)
    assert following is not None
    return following.state


def opens(shop: Shop, code: str, at: float) -> float:
    following = shop.standing(code, at).fold.next(at)
    assert following is not None
    assert following.opens is not None
    return following.opens


def test_abrading_reopens_a_shut_window(shop: Shop) -> None:
    code = begin(shop)
    coat(shop, code, NOW)
    late = NOW + 30
    assert state(shop, code, late) is State.SHUT
    said = record.abrade(shop, AbradeDraft(code, Face.TOP, 320), late)
    assert said == "B-1: abraded P320, on record"
    assert state(shop, code, late) is State.SHUT  # the bottom is still shut
    record.abrade(shop, AbradeDraft(code, Face.BOTTOM), late)
    assert state(shop, code, late) is State.OPEN
    coat(shop, code, late)
    assert len(shop.standing(code, late).fold.coats) == 2


def test_abrading_is_the_next_step_where_that_comes_next(shop: Shop) -> None:
    code = begin(shop, schedule="wiped-varnish-four")
    coat(shop, code, NOW)
    following = shop.standing(code, NOW + 12).fold.next(NOW + 12)
    assert following is not None
    record.abrade(shop, AbradeDraft(code), NOW + 12)
    standing = shop.standing(code, NOW + 12)
    assert standing.fold.done[following.position] == NOW + 12
    entry = standing.entries[-1]
    assert (entry.grit, entry.step) == (following.step.grit, following.position)  # type: ignore[attr-defined]


def test_abrading_bare_wood_is_no_entry(shop: Shop) -> None:
    code = begin(shop)
    with pytest.raises(BadInput, match="a batch with a coat on it"):
        record.abrade(shop, AbradeDraft(code), NOW)
    assert on_file(shop, code) == []


def test_tacky_moves_the_window_later_and_says_so(shop: Shop) -> None:
    code = begin(shop)
    coat(shop, code, NOW)
    before = opens(shop, code, NOW + 9)
    draft = TestDraft(code, Stage.DRY_TO_RECOAT, Finding.TACKY)
    said = record.touch_test(shop, draft, NOW + 9)
    after = opens(shop, code, NOW + 9)
    assert after > before > NOW + 9
    assert said.startswith("B-1: tacky for dry to recoat, on record; was: coat 2 of 4, from 18:40 (in 41 min)")
    assert "now: coat 2 of 4, from " in said


def test_dry_opens_the_window_and_says_so(shop: Shop) -> None:
    code = begin(shop)
    coat(shop, code, NOW)
    said = record.touch_test(shop, TestDraft(code, Stage.DRY_TO_RECOAT, Finding.DRY), NOW + 5)
    assert state(shop, code, NOW + 5) is State.OPEN
    assert said.startswith("B-1: dry for dry to recoat, on record; was: coat 2 of 4, from 18:40")
    assert "now: coat 2 of 4, open" in said


def test_a_test_that_says_nothing_new_says_that(shop: Shop) -> None:
    code = begin(shop)
    coat(shop, code, NOW)
    said = record.touch_test(shop, TestDraft(code, Stage.DUST_FREE, Finding.DRY), NOW + 5)
    assert said.endswith("on record; changes nothing ahead")


def test_a_test_after_the_last_coat_says_what_it_did_to_packing(shop: Shop) -> None:
    code = begin(shop, schedule="waterborne-three")
    for hour in (0, 10, 20):
        coat(shop, code, NOW + hour)
    at = NOW + 60
    before = shop.standing(code, at).progress(at).releases[Release.PACK]
    said = record.touch_test(shop, TestDraft(code, Stage.STACKABLE, Finding.TACKY), at)
    after = shop.standing(code, at).progress(at).releases[Release.PACK]
    assert before is not None
    assert after is not None
    assert after > before
    assert "changes nothing ahead" not in said


def test_a_touch_test_needs_a_coat(shop: Shop) -> None:
    code = begin(shop, schedule="brushed-varnish-three")
    with pytest.raises(BadInput, match="a batch with a coat on the face that was tested"):
        record.touch_test(shop, TestDraft(code, Stage.DRY_TO_TOUCH, Finding.DRY), NOW)
    coat(shop, code, NOW)  # the top
    with pytest.raises(BadInput, match="a batch with a coat on the face that was tested"):
        record.touch_test(shop, TestDraft(code, Stage.DRY_TO_TOUCH, Finding.DRY, Face.BOTTOM), NOW + 1)


def test_a_move_to_the_cold_holds_the_coat_up(shop: Shop) -> None:
    code = begin(shop)
    coat(shop, code, NOW)
    before = opens(shop, code, NOW + 2)
    assert record.move(shop, code, "CELLAR", NOW + 2) == "B-1: moved to cellar, on record"
    standing = shop.standing(code, NOW + 2)
    assert standing.fold.place == "cellar"
    assert opens(shop, code, NOW + 2) > before + 4
    with pytest.raises(BadInput, match="a place other than where B-1 stands"):
        record.move(shop, code, "cellar", NOW + 3)
    with pytest.raises(NotFound):
        record.move(shop, code, "attic", NOW + 3)


def test_no_release_before_the_last_coat(shop: Shop) -> None:
    code = begin(shop, schedule="hard-wax-two")
    do(shop, code, NOW, NOW + 1)
    with pytest.raises(BadInput, match="a batch whose last coat is on"):
        record.release(shop, ReleaseDraft(code, Release.PACK), NOW + 2)
    coat(shop, code, NOW + 40)
    said = record.release(shop, ReleaseDraft(code, Release.PACK), NOW + 41)
    assert said == (
        "B-1: released to pack, before its time (may be packed from 23 Mar 07:56): the finger that tested it knows"
        " best, on record"
    )
    p = shop.standing(code, NOW + 41).progress(NOW + 41)
    assert p.may(Release.PACK)
    assert not p.may(Release.USE)
    later = NOW + 24 * 90
    assert record.release(shop, ReleaseDraft(code, Release.USE), later) == "B-1: released to use, on record"


def test_on_hold_and_off(shop: Shop) -> None:
    code = begin(shop)
    assert record.hold(shop, code, NOW) == "B-1: on hold, on record"
    assert shop.standing(code, NOW).progress(NOW).held
    with pytest.raises(BadInput, match="a batch that is not on hold"):
        record.hold(shop, code, NOW)
    assert record.hold(shop, code, NOW, on=False) == "B-1: off hold, on record"
    with pytest.raises(BadInput, match="a batch that is on hold"):
        record.hold(shop, code, NOW, on=False)


def test_a_closed_batch_leaves_the_bench_and_keeps_its_record(shop: Shop) -> None:
    code = begin(shop)
    do(shop, code, NOW)
    assert record.close(shop, code, NOW + 1, "sold") == "B-1: closed, on record"
    assert shop.bench(NOW + 1).rows == ()
    assert len(on_file(shop, code)) == 3
    assert [row.code for row in batches.closed_batches(shop, NOW + 1)] == [code]
    with pytest.raises(BadInput, match="an open batch; this one is closed"):
        record.record_step(shop, StepDraft(code), NOW + 2)
    assert record.undo(shop, code, NOW + 2) == "B-1: void, closed"
    assert [row.code for row in shop.bench(NOW + 2).rows] == [code]
