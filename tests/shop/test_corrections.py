"""Voiding, undoing, and undoing that; two who write to one batch; and a record that only grows."""

from __future__ import annotations

import sqlite3
import time
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager

import pytest

from finishing.cure.terms import Face, Release, Stage
from finishing.cure.work import CoatEntry, Finding, VoidEntry
from finishing.errors import BadInput
from finishing.shop import record
from finishing.shop.drafts import AbradeDraft, ReleaseDraft, StepDraft, TestDraft
from finishing.shop.sheets import voided
from finishing.shop.shop import Rack, Shop
from finishing.store import Conflict
from finishing.store.work import Writer
from tests.shop.built import NOW, begin
from tests.shop.doing import coat, do, on_file


def coats(shop: Shop, code: str, at: float) -> int:
    return len(shop.standing(code, at).fold.coats)


def test_undo_voids_the_newest_entry_and_both_stay(shop: Shop) -> None:
    code = begin(shop)
    do(shop, code, NOW)
    coat(shop, code, NOW + 1)
    assert record.undo(shop, code, NOW + 2) == "B-1: void, coat 1 of 4"
    assert coats(shop, code, NOW + 2) == 0
    assert [type(r.entry).__name__ for r in on_file(shop, code)] == ["StepEntry", "CoatEntry", "VoidEntry"]
    assert voided(shop.standing(code, NOW + 2)) == {2: 3}
    assert record.undo(shop, code, NOW + 3) == "B-1: void, prepare P220"
    with pytest.raises(BadInput, match="a batch with an entry to undo"):
        record.undo(shop, code, NOW + 4)


def test_an_undo_can_be_undone_and_that_too(shop: Shop) -> None:
    code = begin(shop)
    coat(shop, code, NOW)
    record.undo(shop, code, NOW + 1)
    assert record.void(shop, code, 2, NOW + 2) == "B-1: void, voided entry 1"
    assert coats(shop, code, NOW + 2) == 1
    record.void(shop, code, 3, NOW + 3)
    assert coats(shop, code, NOW + 3) == 0
    assert [r.entry for r in on_file(shop, code)][1:] == [
        VoidEntry(2, NOW + 1, 1),
        VoidEntry(3, NOW + 2, 2),
        VoidEntry(4, NOW + 3, 3),
    ]


def test_after_an_undo_the_coat_may_be_put_on_again(shop: Shop) -> None:
    code = begin(shop)
    coat(shop, code, NOW, amount_ml=300.0)
    record.undo(shop, code, NOW + 1)
    coat(shop, code, NOW, amount_ml=30.0)
    (held,) = shop.standing(code, NOW + 1).fold.coats
    assert (held.at, held.number) == (NOW, 1)


@pytest.mark.parametrize("number", [0, 2, 99])
def test_only_an_entry_of_the_batch_that_holds_is_voided(shop: Shop, number: int) -> None:
    begin(shop, "B-1")
    begin(shop, "B-2")
    coat(shop, "B-1", NOW)
    coat(shop, "B-2", NOW)
    with pytest.raises(BadInput, match="the number of an entry of B-1 that still holds"):
        record.void(shop, "B-1", number, NOW + 1)
    record.void(shop, "B-1", 1, NOW + 1)
    with pytest.raises(BadInput, match="that still holds"):
        record.void(shop, "B-1", 1, NOW + 1)
    assert len(on_file(shop, "B-1")) == 2


def beaten(shop: Shop, first: Callable[[], object], monkeypatch: pytest.MonkeyPatch) -> None:
    """Let somebody else act between a use-case's look and its write, the one time."""
    write = shop.store.write
    acted = iter([first])

    @contextmanager
    def late() -> Iterator[Writer]:
        for act in acted:
            act()
        with write() as w:
            yield w

    monkeypatch.setattr(shop.store, "write", late)


# Steps and touch tests are tried again instead: test_benches.py.
ACTS: dict[str, Callable[[Shop], object]] = {
    "abrade": lambda s: record.abrade(s, AbradeDraft("B-1"), NOW + 2),
    "move": lambda s: record.move(s, "B-1", "cellar", NOW + 2),
    "hold": lambda s: record.hold(s, "B-1", NOW + 2),
    "close": lambda s: record.close(s, "B-1", NOW + 2),
    "undo": lambda s: record.undo(s, "B-1", NOW + 2),
}


@pytest.mark.parametrize("name", ACTS)
def test_who_is_beaten_to_it_is_told_and_writes_nothing(
    shop: Shop, other: Shop, name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    begin(shop)
    coat(shop, "B-1", NOW)
    beaten(shop, lambda: record.hold(other, "B-1", NOW + 1), monkeypatch)
    with pytest.raises(Conflict, match="batch B-1 has a new entry, number 2, since you looked; look again"):
        ACTS[name](shop)
    assert [r.entry.number for r in on_file(shop, "B-1")] == [1, 2]


def test_two_who_put_on_the_same_coat_leave_one(shop: Shop, other: Shop) -> None:
    begin(shop)
    shop.bench(NOW)
    other.bench(NOW)
    coat(other, "B-1", NOW)
    with pytest.raises(BadInput, match="a coat that is not on record yet"):
        record.record_step(shop, StepDraft("B-1", 1), NOW)
    assert [type(r.entry) for r in on_file(shop, "B-1")] == [CoatEntry]


def at_rest(shop: Shop) -> Rack:
    """The rack, once two looks see the same one: a server's word of the shop's own entry may come a moment after it."""
    for _ in range(100):
        before = shop.rack(NOW)
        if shop.rack(NOW) is before:
            time.sleep(0.02)
            if shop.rack(NOW) is before:
                return before
    raise AssertionError("each look sees another rack, and nobody recorded anything")


def test_what_another_recorded_is_seen_at_the_next_look(shop: Shop, other: Shop) -> None:
    begin(shop)
    before = at_rest(shop)
    do(other, "B-1", NOW)
    after = shop.rack(NOW)
    assert after is not before
    assert shop.bench(NOW).rows[0].do == "coat 1 of 4"
    assert shop.rack(NOW) is after


@pytest.mark.sqlite_only
def test_nothing_in_the_record_is_ever_changed(shop: Shop) -> None:
    """Every use-case in turn: rows that were there stay byte for byte, and each adds one or more."""
    code = begin(shop, schedule="hard-wax-two")
    acts: list[Callable[[float], object]] = [
        lambda at: record.record_step(shop, StepDraft(code), at),
        lambda at: record.record_step(shop, StepDraft(code, 1, amount_ml=12.0, note="thin"), at),
        lambda at: record.touch_test(shop, TestDraft(code, Stage.DRY_TO_TOUCH, Finding.TACKY), at),
        lambda at: record.move(shop, code, "cellar", at),
        lambda at: record.abrade(shop, AbradeDraft(code, Face.TOP, 400), at),
        lambda at: record.undo(shop, code, at),
        lambda at: record.hold(shop, code, at),
        lambda at: record.hold(shop, code, at, on=False),
        lambda at: coat(shop, code, at),
        lambda at: record.release(shop, ReleaseDraft(code, Release.USE), at),
        lambda at: record.void(shop, code, 3, at),
        lambda at: record.close(shop, code, at, "gone"),
    ]
    before: list[tuple[object, ...]] = []
    with closing(sqlite3.connect(str(shop.store.location.file))) as plain:
        for n, act in enumerate(acts):
            act(NOW + n)
            after = plain.execute("SELECT * FROM entry ORDER BY id").fetchall()
            assert after[: len(before)] == before
            assert len(after) > len(before)
            before = after
    assert len(before) == len(acts) + 2  # two of them came with a note
