"""What a batch is, changed by entries: pieces, size, woods, name, date, schedule; and taken back."""

from __future__ import annotations

import pytest

from finishing.cure.terms import Release
from finishing.errors import BadInput, NotFound
from finishing.shop import record
from finishing.shop.batches import begin_batch
from finishing.shop.change import change_batch
from finishing.shop.drafts import BatchChange, NewBatchDraft, StepDraft
from finishing.shop.find import find
from finishing.shop.forms import parse_piece_size, parse_woods
from finishing.shop.shop import Shop
from finishing.shop.split import SplitDraft, split
from finishing.shop.trace import BatchTraced, trace
from finishing.store.kinds import ChangeEntry
from tests.shop.built import NOW, begin
from tests.shop.doing import coat, do, on_file

BOARD = parse_piece_size("400x250x20")


def woods(shop: Shop, code: str) -> list[tuple[str, float]]:
    return [(wood.species, wood.share) for wood in shop.standing(code, NOW).row.woods]


def test_each_field_is_an_entry_and_undo_takes_it_back(shop: Shop, other: Shop) -> None:
    code = begin(shop, wanted_by=NOW + 240)
    other.bench(NOW)
    before = shop.standing(code, NOW).row
    changes = {
        "pieces 3, was 4": BatchChange(pieces=3),
        "size 400 × 250 × 20 mm, was 300 × 200 × 18 mm": BatchChange(sized=True, size=BOARD),
        "size none, was 400 × 250 × 20 mm": BatchChange(sized=True),
        "woods hard maple 80%, padauk 20%, was hard maple 100%": BatchChange(woods=parse_woods("maple, padauk 20%")),
        "what tea trays, was trays": BatchChange(what=" tea trays "),
        "wanted none, was 2026-03-20 09:00": BatchChange(dated=True),
        "priority 2, was 0": BatchChange(priority=2),
        "note a gift, was none": BatchChange(note="a gift"),
        "schedule hard-wax-two, was wiped-varnish-in-window": BatchChange(schedule="hard-wax-two"),
    }
    for words, draft in changes.items():
        assert change_batch(shop, code, draft, NOW).startswith(f"B-1: {words}, on record; "), words
    row = shop.standing(code, NOW).row
    assert (row.what, row.pieces, row.size, row.schedule, row.note) == ("tea trays", 3, None, "hard-wax-two", "a gift")
    assert [w.name for w in shop.standing(code, NOW).batch.woods] == ["hard maple", "padauk"]
    assert woods(other, code) == woods(shop, code) == [("hard maple", 0.8), ("padauk", 0.2)]  # another bench reads on
    assert [hit.code for hit in find(shop, "padauk", NOW)] == [code]
    for _ in changes:
        record.undo(shop, code, NOW)
    after = shop.standing(code, NOW).row
    assert (after.what, after.pieces, after.size, after.woods, after.schedule, after.frozen_key, after.wanted_by) == (
        before.what, before.pieces, before.size, before.woods, before.schedule, before.frozen_key, before.wanted_by,
    )  # fmt: skip
    assert woods(other, code) == [("hard maple", 1.0)]
    assert len(after.record) == 2 * len(changes)
    record.void(shop, code, after.record[-1].entry.number, NOW)  # an undo undone
    assert shop.standing(code, NOW).row.pieces == 3


def test_what_moves_is_said_and_the_film_goes_by_what_holds(shop: Shop) -> None:
    """Half the pieces with the same finish used: twice the film."""
    code = begin(shop)
    coat(shop, code, NOW, amount_ml=24.0)
    ratio = shop.standing(code, NOW).fold.coats[0].factors.film_ratio
    said = change_batch(shop, code, BatchChange(pieces=2), NOW + 1)
    assert "pieces 2, was 4, on record; was: " in said
    assert "may be packed from " in said
    assert shop.standing(code, NOW).fold.coats[0].factors.film_ratio == pytest.approx(2 * ratio)
    assert change_batch(shop, code, BatchChange(pieces=2), NOW + 1) == "B-1: as it was, nothing is otherwise"
    assert change_batch(shop, code, BatchChange(note="x"), NOW + 1).endswith("; changes nothing ahead")


def test_a_very_oily_wood_found_later_asks_for_a_test(shop: Shop) -> None:
    code = begin(shop)
    change_batch(shop, code, BatchChange(woods=parse_woods("cocobolo")), NOW)
    assert shop.standing(code, NOW).ahead(NOW).releases[Release.PACK] is None
    assert isinstance(traced := trace(shop, code, NOW), BatchTraced)
    assert traced.row.woods == (("cocobolo", 1.0),)
    assert [line.words for line in traced.others] == ["changed: woods cocobolo 100%, was hard maple 100%"]


def test_what_the_record_contradicts_is_refused(shop: Shop) -> None:
    code = begin(shop)
    do(shop, code, NOW)
    with pytest.raises(NotFound, match="schedule"):
        change_batch(shop, code, BatchChange(schedule="none-such"), NOW)
    with pytest.raises(NotFound, match="nonesuch"):
        change_batch(shop, code, BatchChange(woods=(("nonesuch", 0.0),)), NOW)
    with pytest.raises(BadInput, match="at least 1 piece"):
        change_batch(shop, code, BatchChange(pieces=0), NOW)
    with pytest.raises(BadInput, match="what the pieces are, in 1 to 200 characters"):
        change_batch(shop, code, BatchChange(what=" "), NOW)
    coat(shop, code, NOW + 1)
    with pytest.raises(BadInput, match="got 'hard-wax-two', expected wiped-varnish-in-window: coat 1 of 4 is on by it"):
        change_batch(shop, code, BatchChange(schedule="hard-wax-two"), NOW + 2)
    record.undo(shop, code, NOW + 3)
    with pytest.raises(BadInput, match="one that has coat 1 of 4 where"):
        change_batch(shop, code, BatchChange(schedule=_other_kind_at(shop, 1)), NOW + 4)
    assert not [r for r in on_file(shop, code) if isinstance(r.entry, ChangeEntry)]


def _other_kind_at(shop: Shop, position: int) -> str:
    """A schedule whose step there is no coat."""
    return next(s.name for s in shop.library.schedules() if s.steps[position].finish is None)


def test_a_change_is_not_taken_back_over_another(shop: Shop) -> None:
    code = begin(shop)
    change_batch(shop, code, BatchChange(pieces=6), NOW)
    change_batch(shop, code, BatchChange(pieces=8, priority=1), NOW)
    with pytest.raises(BadInput, match="entry: got 1, expected a change of the pieces that nothing has changed since"):
        record.void(shop, code, 1, NOW)
    split(shop, SplitDraft(code, 3), NOW)
    with pytest.raises(BadInput, match="entry: got 2"):
        record.void(shop, code, 2, NOW)
    assert "B-1.2 is of the same pieces: change it there too" in change_batch(
        shop, code, BatchChange(sized=True, size=BOARD), NOW
    )
    assert [r for r in on_file(shop, "B-1.2") if isinstance(r.entry, ChangeEntry)] == []
    assert (shop.standing(code, NOW).row.pieces, shop.standing("B-1.2", NOW).row.pieces) == (5, 3)


def test_a_closed_batch_is_changed_too(shop: Shop) -> None:
    code = begin(shop)
    record.close(shop, code, NOW)
    assert change_batch(shop, code, BatchChange(pieces=5), NOW) == "B-1: pieces 5, was 4, on record"
    assert shop.standing(code, NOW).row.pieces == 5


def test_a_schedule_taken_before_the_first_coat_is_as_if_begun_with_it(shop: Shop) -> None:
    draft = NewBatchDraft("trays", 4, "hard-wax-two", "loft", parse_woods("padauk"), BOARD, "B-2")
    begin_batch(shop, draft, NOW)
    code = begin(shop)
    change_batch(
        shop, code, BatchChange(schedule="hard-wax-two", woods=parse_woods("padauk"), sized=True, size=BOARD), NOW
    )
    for batch in (code, "B-2"):
        record.record_step(shop, StepDraft(batch), NOW)
        record.record_step(shop, StepDraft(batch), NOW + 0.1)
    mine, other = shop.standing(code, NOW + 1), shop.standing("B-2", NOW + 1)
    assert mine.row.frozen_key == other.row.frozen_key
    assert mine.ahead(NOW + 1).releases == other.ahead(NOW + 1).releases
