"""What touch tests of the parts of a split batch teach: the coat is one still, and its parts share it out."""

from __future__ import annotations

import pytest

from finishing.cure.terms import Stage
from finishing.cure.work import Finding
from finishing.shop import split
from finishing.shop.learning import word
from finishing.shop.learning.doubt import doubt
from finishing.shop.learning.sheet import LearnedSheet, sheet
from finishing.shop.shop import Shop

from .built import NOW, begin
from .doing import coat
from .test_learning import RECOAT, TOUCH, VARNISH, feel, felt_batch, newest


def slow_shop(shop: Shop) -> float:
    """Two coats on one batch of eight, both found slow by touch while it was whole; the hour after the second look."""
    begin(shop, "C-3", at=NOW, pieces=8)
    stated = shop.library.finish(VARNISH).stages[TOUCH].typical
    at = NOW
    for _ in range(2):
        coat(shop, "C-3", at)
        feel(shop, "C-3", at + 3.0 * stated, Finding.TACKY, TOUCH)
        feel(shop, "C-3", at + 3.4 * stated, Finding.DRY, TOUCH)
        at += 48
    coat(shop, "C-3", at)
    return at + 3.0 * stated


def parts_of(found: LearnedSheet) -> dict[str, float]:
    """The pieces each batch speaks of, all of its coats together."""
    said: dict[str, float] = {}
    for one in found.lessons.observations:
        said[one.batch] = said.get(one.batch, 0.0) + one.pieces
    return said


def test_a_split_alone_teaches_nothing_and_forgets_nothing(shop: Shop) -> None:
    now = slow_shop(shop)
    feel(shop, "C-3", now, Finding.TACKY, TOUCH)
    before = sheet(shop, VARNISH, now)
    split.split(shop, split.SplitDraft("C-3", 3), now)
    after = sheet(shop, VARNISH, now)
    split.split(shop, split.SplitDraft("C-3.2", 1), now)
    again = sheet(shop, VARNISH, now)
    for found in (after, again):
        assert found.tests == before.tests
        assert found.lessons.coats == 3
        assert found.worth == pytest.approx(before.worth)
        assert found.found.middle == pytest.approx(before.found.middle, rel=1e-4)
        assert {v.observation.batch for v in found.looks} == {"C-3"}


def test_parts_found_tacky_late_make_the_finish_no_faster(shop: Shop) -> None:
    now = slow_shop(shop)
    before = sheet(shop, VARNISH, now).found.middle
    assert before > 1.8
    split.split(shop, split.SplitDraft("C-3", 3, tacky=TOUCH), now)
    assert sheet(shop, VARNISH, now).found.middle >= before


def test_the_shares_of_parts_of_parts_come_to_one_coat(shop: Shop) -> None:
    """Three deep, each part with a look of its own: shares by pieces, one coat, whichever batch is read first."""
    begin(shop, "C-3", at=NOW, pieces=8)
    coat(shop, "C-3", NOW)
    begin(shop, "D-1", at=NOW)
    coat(shop, "D-1", NOW)
    now = NOW + 1
    for code, pieces in (("C-3", 4), ("C-3.2", 2), ("C-3.2.2", 1)):
        split.split(shop, split.SplitDraft(code, pieces, tacky=TOUCH), now)
        now += 0.5
    feel(shop, "C-3", now, Finding.DRY, TOUCH)
    found = sheet(shop, VARNISH, now)
    assert parts_of(found) == pytest.approx({"C-3": 0.5, "C-3.2": 0.25, "C-3.2.2": 0.125, "C-3.2.2.2": 0.125})
    assert (found.lessons.coats, found.learned) == (1, False)
    assert len({o.split_of for o in found.lessons.observations}) == 1
    # A coat that went on a part after it was split off is that part's own, and whole.
    coat(shop, "C-3.2", now + 48)
    feel(shop, "C-3.2", now + 50, Finding.TACKY, TOUCH)
    later = sheet(shop, VARNISH, now + 50)
    assert later.lessons.coats == 2
    assert parts_of(later)["C-3.2"] == pytest.approx(1.25)


def test_a_look_from_before_a_split_is_left_out_of_all_parts_at_once(shop: Shop) -> None:
    for i in range(2):
        felt_batch(shop, f"B-{i}", 1.0, 1.2)
    now = NOW + 60
    without = sheet(shop, VARNISH, now)
    begin(shop, "X-1", at=NOW, pieces=4)
    coat(shop, "X-1", NOW)
    feel(shop, "X-1", NOW + 12, Finding.TACKY)
    test = newest(shop, "X-1")
    split.split(shop, split.SplitDraft("X-1", 1), now)
    assert sheet(shop, VARNISH, now).found.middle > without.found.middle
    word.exclude(shop, (test,), now)
    assert sheet(shop, VARNISH, now).found == without.found


def test_windows_of_every_part_go_by_all_coats_but_their_own(shop: Shop) -> None:
    """The stage a coat was felt for goes by the other coats: on a part split off as on the batch it came from."""
    for i in range(2):
        felt_batch(shop, f"B-{i}", 1.0, 1.2)
    begin(shop, "X-1", at=NOW, pieces=4)
    coat(shop, "X-1", NOW)
    stated = shop.library.finish(VARNISH).stages[RECOAT].typical
    feel(shop, "X-1", NOW + 1.6 * stated, Finding.TACKY)
    now = NOW + 1.7 * stated
    before = shop.standing("X-1", now).fold.coats[0].stages[RECOAT]
    split.split(shop, split.SplitDraft("X-1", 1), now)
    assert before is not None
    for code in ("X-1", "X-1.2"):
        after = shop.standing(code, now).fold.coats[0].stages[RECOAT]
        assert after is not None
        assert after.count_on == pytest.approx(before.count_on, abs=1e-3)
    feel(shop, "X-1", now, Finding.DRY)
    part = shop.standing("X-1.2", now).fold.coats[0].stages[Stage.DRY_TO_RECOAT]
    assert part is not None
    assert part.count_on == pytest.approx(before.count_on, abs=1e-3)


def test_a_split_says_what_its_tacky_pieces_taught_and_moved(shop: Shop) -> None:
    for i in range(2):
        felt_batch(shop, f"B-{i}", 1.3, 1.6)
    begin(shop, "C-3", at=NOW, pieces=8)
    coat(shop, "C-3", NOW)
    begin(shop, "D-1", at=NOW)
    coat(shop, "D-1", NOW + 8)
    now = NOW + 11
    was = sheet(shop, VARNISH, now).shop.factor
    said = split.split(shop, split.SplitDraft("C-3", 3, tacky=TOUCH), now)
    found = sheet(shop, VARNISH, now).shop.factor
    assert found > was
    assert f"in this shop ×{found:.2f}, learned from 5 tests; it was ×{was:.2f}" in said
    assert "It moves " in said
    asked = doubt(shop, split.newest_part(shop, "C-3", now), now)
    assert asked is not None
    assert (asked.code, asked.finding) == ("C-3.2", Finding.TACKY)
    # Without a finding nothing is learned, so nothing more is said.
    assert split.split(shop, split.SplitDraft("C-3", 1), now) == "C-3: 1 of 5 pieces are now C-3.3, on record"
