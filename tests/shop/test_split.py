"""Splitting a batch: the same coats on both sides, nothing lost, no finish counted twice; and putting it together."""

from __future__ import annotations

import pytest

from finishing.cure.terms import Release, Stage
from finishing.cure.work import CoatEntry, Finding, MoveEntry, ReleaseEntry, TestEntry
from finishing.errors import BadInput
from finishing.shop import cans, notes, record
from finishing.shop.drafts import CanDraft, ReleaseDraft, StepDraft, TestDraft
from finishing.shop.shop import Shop, Standing
from finishing.shop.split import SplitDraft, inherited, is_split, next_part, rejoin, split, split_words
from finishing.store import Conflict
from finishing.store.kinds import NoteEntry, SplitEntry
from tests.shop.built import NOW, begin
from tests.shop.doing import coat, do, on_file

LATER = NOW + 30.0


def coated(shop: Shop) -> int:
    """Four trays with two coats out of one can, moved to the cellar in between. Returns the can's number."""
    can = cans.shelve(shop, CanDraft("wiping-varnish", 900.0, opened=True), NOW)
    code = begin(shop)
    do(shop, code, NOW)
    coat(shop, code, NOW + 1, amount_ml=40.0, can=can)
    record.touch_test(shop, TestDraft(code, Stage.DRY_TO_TOUCH, Finding.DRY), NOW + 7)
    record.move(shop, code, "cellar", NOW + 9)
    coat(shop, code, NOW + 24, amount_ml=30.0, can=can)
    return can


def standing(shop: Shop, code: str) -> Standing:
    return shop.standing(code, LATER)


def stage_hours(batch: Standing) -> list[tuple[float, float, Stage, float | None, float | None]]:
    return [
        (c.at, c.factors.film_ratio, stage, time and time.likely, time and time.at_level)
        for c in batch.fold.coats
        for stage, time in c.stages.items()
    ]


def test_both_sides_have_the_same_coats_at_the_same_stages(shop: Shop) -> None:
    coated(shop)
    before = stage_hours(standing(shop, "B-1"))
    assert split(shop, SplitDraft("B-1", 1), LATER) == "B-1: 1 of 4 pieces are now B-1.2, on record"
    old, new = standing(shop, "B-1"), standing(shop, "B-1.2")
    assert (old.row.pieces, new.row.pieces) == (3, 1)
    # The film on a piece is what it was, whoever counts it among theirs: so is every stage.
    assert stage_hours(old) == before
    assert stage_hours(new) == before
    assert new.fold.place == "cellar"
    assert new.progress(LATER).next == old.progress(LATER).next
    assert [(w.species, w.share) for w in new.row.woods] == [("hard maple", 1.0)]


def test_the_finish_is_counted_once_and_every_can_is_traced(shop: Shop) -> None:
    can = coated(shop)
    left = cans.sheet(shop, can).left_ml
    split(shop, SplitDraft("B-1", 1), LATER)
    after = cans.sheet(shop, can)
    assert left == after.left_ml == pytest.approx(900.0 - 70.0)
    assert sorted((use.code, use.amount_ml) for use in after.uses) == [
        ("B-1", 22.5),
        ("B-1", 30.0),
        ("B-1.2", 7.5),
        ("B-1.2", 10.0),
    ]


def test_nothing_is_lost_and_both_records_say_so(shop: Shop) -> None:
    coated(shop)
    before = on_file(shop, "B-1")
    split(shop, SplitDraft("B-1", 1, note="by the window"), LATER)
    old, new = on_file(shop, "B-1"), on_file(shop, "B-1.2")
    assert old[: len(before)] == before
    assert old[-1].entry == SplitEntry(old[-1].entry.number, LATER, "B-1.2", 1)
    mine = next(r.entry for r in new if isinstance(r.entry, SplitEntry))
    assert (mine.to, mine.pieces, mine.at) == ("B-1", -1, LATER)
    assert [split_words(e) for e in (old[-1].entry, mine)] == [
        "split: 1 piece went to B-1.2",
        "split off from B-1: 1 piece",
    ]
    assert is_split(mine)
    assert split_words(new[0].entry) == ""
    assert [type(r.entry) for r in new if r.entry.number < mine.number] == [type(r.entry) for r in before]
    assert inherited([r.entry for r in new]) == {r.entry.number for r in new if r.entry.number < mine.number}
    assert inherited([r.entry for r in old]) == frozenset()
    assert [r.entry.text for r in new if isinstance(r.entry, NoteEntry)] == ["by the window"]


def test_each_goes_its_own_way_afterwards(shop: Shop) -> None:
    coated(shop)
    split(shop, SplitDraft("B-1", 1, tacky=Stage.DRY_TO_TOUCH), LATER)
    # The pieces that were found tacky are behind; those that stayed are where they were.
    old, new = standing(shop, "B-1"), standing(shop, "B-1.2")
    recoat = [b.fold.coats[-1].stages[Stage.DRY_TO_RECOAT] for b in (old, new)]
    assert all(r is not None and r.likely is not None for r in recoat)
    assert recoat[1].likely > max(recoat[0].likely, LATER)  # type: ignore[union-attr, operator]
    coat(shop, "B-1", LATER + 40)
    assert len(shop.standing("B-1", LATER + 40).fold.coats) == 3
    assert len(shop.standing("B-1.2", LATER + 40).fold.coats) == 2


def test_what_the_maker_said_of_all_pieces_is_said_anew(shop: Shop) -> None:
    begin(shop, schedule="hard-wax-two")
    while (following := shop.standing("B-1", NOW + 400).fold.next(NOW + 400)) is not None:
        record.record_step(shop, StepDraft("B-1", following.position), NOW + 400)
    record.release(shop, ReleaseDraft("B-1", Release.PACK), NOW + 401)
    split(shop, SplitDraft("B-1", 2), NOW + 402)
    assert Release.PACK in shop.standing("B-1", NOW + 402).fold.released
    assert not any(isinstance(r.entry, ReleaseEntry) for r in on_file(shop, "B-1.2"))


def test_a_batch_with_nothing_done_splits_too_and_codes_go_on(shop: Shop) -> None:
    begin(shop)
    split(shop, SplitDraft("B-1", 1), NOW)
    split(shop, SplitDraft("B-1", 1), NOW)
    split(shop, SplitDraft("B-1", 1, "odd-one"), NOW)
    assert {code: s.row.pieces for code, s in shop.rack(NOW).standings.items()} == {
        "B-1": 1, "B-1.2": 1, "B-1.3": 1, "odd-one": 1,
    }  # fmt: skip
    # A code stays within what a code may be.
    assert next_part("x" * 24, ["x" * 20 + ".2"]) == "x" * 20 + ".3"


@pytest.mark.parametrize(
    ("draft", "said"),
    [
        (SplitDraft("B-1", 0), "pieces: got 0, expected 1 to 3 of its 4 pieces"),
        (SplitDraft("B-1", 4), "expected 1 to 3 of its 4 pieces"),
        (SplitDraft("B-1", 1, "two words"), "new code"),
        (SplitDraft("B-1", 1, "B-1"), "a code that no batch has yet"),
        (SplitDraft("B-1", 1, tacky=Stage.DRY_TO_TOUCH), "still tacky"),
    ],
)
def test_a_bad_split_says_why_and_writes_nothing(shop: Shop, draft: SplitDraft, said: str) -> None:
    begin(shop)
    do(shop, "B-1", NOW)
    with pytest.raises(BadInput, match=said):
        split(shop, draft, LATER)
    assert len(on_file(shop, "B-1")) == 1
    assert list(shop.rack(LATER).standings) == ["B-1"]
    record.close(shop, "B-1", LATER)
    with pytest.raises(BadInput, match="this one is closed"):
        split(shop, SplitDraft("B-1", 1), LATER)


def test_who_is_beaten_to_it_is_told(shop: Shop, other: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    coated(shop)
    seen = shop.standing("B-1", LATER)
    record.hold(other, "B-1", LATER)
    monkeypatch.setattr(shop, "standing", lambda *_: seen)
    before = on_file(shop, "B-1")
    with pytest.raises(Conflict, match="since you looked"):
        split(shop, SplitDraft("B-1", 1), LATER)
    assert on_file(shop, "B-1") == before
    assert list(other.rack(LATER).standings) == ["B-1"]


@pytest.mark.parametrize("side", ["B-1", "B-1.2"])
def test_a_split_is_undone_from_either_side(shop: Shop, side: str) -> None:
    can = coated(shop)
    before = stage_hours(standing(shop, "B-1"))
    left = cans.sheet(shop, can).left_ml
    split(shop, SplitDraft("B-1", 1, tacky=Stage.DRY_TO_TOUCH), LATER)
    number = next(e.number for e in standing(shop, side).entries if is_split(e))
    said = rejoin(shop, side, number, LATER + 1)
    assert said == "B-1: 1 piece of B-1.2 is back in it, B-1.2 is closed, on record"
    old = shop.standing("B-1", LATER + 1)
    assert (old.row.pieces, stage_hours(old)) == (4, before)
    assert [e.amount_ml for e in old.entries if isinstance(e, CoatEntry)][-2:] == [40.0, 30.0]
    gone = shop.standing("B-1.2", LATER + 1)
    assert gone.fold.closed == LATER + 1
    assert gone.fold.coats == []
    assert any(isinstance(e, MoveEntry) for e in gone.entries)  # its entries stay
    assert any(isinstance(e, TestEntry) for e in gone.entries)
    assert cans.sheet(shop, can).left_ml == left
    with pytest.raises(BadInput, match="still holds"):
        rejoin(shop, side, number, LATER + 2)


@pytest.mark.parametrize("side", ["B-1", "B-1.2"])
def test_what_was_worked_on_since_is_not_put_together(shop: Shop, side: str) -> None:
    coated(shop)
    split(shop, SplitDraft("B-1", 1), LATER)
    record.hold(shop, side, LATER + 1)
    number = next(e.number for e in standing(shop, "B-1").entries if is_split(e))
    with pytest.raises(BadInput, match=f"{side} has one: undo it first"):
        rejoin(shop, "B-1", number, LATER + 2)
    record.undo(shop, side, LATER + 2)
    rejoin(shop, "B-1", number, LATER + 3)
    assert shop.standing("B-1", LATER + 3).row.pieces == 4


def test_a_note_goes_on_record_also_after_the_batch_is_closed(shop: Shop) -> None:
    begin(shop)
    record.close(shop, "B-1", NOW)
    assert notes.add_note(shop, "B-1", "  ring marks came back \x1b[2J ", NOW + 1) == "B-1: noted, on record"
    assert on_file(shop, "B-1")[-1].entry == NoteEntry(2, NOW + 1, "ring marks came back \x1b[2J")
    for text, said in (("  ", "a few words"), ("x" * 10_001, "no more than 10,000 characters")):
        with pytest.raises(BadInput, match=said):
            notes.add_note(shop, "B-1", text, NOW + 2)
    assert len(on_file(shop, "B-1")) == 2


@pytest.mark.parametrize("way", ["undo", "void"])
def test_the_records_own_undo_and_void_bring_the_pieces_back(shop: Shop, way: str) -> None:
    coated(shop)
    split(shop, SplitDraft("B-1", 1), LATER)
    entry = next(e for e in standing(shop, "B-1").entries if isinstance(e, SplitEntry))
    assert record.entry_words(standing(shop, "B-1"), entry) == "split: 1 piece went to B-1.2"
    if way == "undo":
        record.undo(shop, "B-1", LATER)
    else:
        record.void(shop, "B-1", entry.number, LATER)
    assert standing(shop, "B-1").row.pieces == 4
    assert standing(shop, "B-1.2").fold.closed is not None
