"""Batches, and what they began with."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from finishing.cure.work import CloseEntry, Entry, HoldEntry, Shape, Size, StepEntry, VoidEntry
from finishing.errors import BadInput, NotFound
from finishing.store import Store, at_file, batches, entries, frozen, places
from finishing.store.batches import NewBatch, Wood
from tests.store.conftest import NOW, begin


def test_a_batch_comes_back_as_it_was_begun(store: Store, batch_id: int) -> None:
    with store.write() as w:
        number = entries.add(w, batch_id, StepEntry(0, NOW + 1, 0), recorded_at=NOW + 2, maker="me")
        w.commit()
    with store.read() as r:
        row = batches.by_code(r, "B1")
        assert batches.open_batches(r) == batches.by_ids(r, [batch_id, 99]) == (row,)
    assert (row.id, row.what, row.pieces, row.place, row.schedule) == (batch_id, "tray", 3, "loft", "oil-3")
    assert row.size == Size(300.0, 200.0, 18.0)
    assert row.woods == (Wood("walnut", 0.7), Wood("maple", 0.3))
    assert (row.created_at, row.wanted_by, row.closed_at, row.held) == (NOW, NOW + 300, None, False)
    assert row.record == (entries.Recorded(batch_id, StepEntry(number, NOW + 1, 0), NOW + 2, "me", None),)
    assert row.last_number == number


def test_a_round_piece_and_a_batch_without_size(store: Store, batch_id: int) -> None:
    with store.write() as w:
        for code, size in (("R", Size(100.0, 100.0, 9.0, Shape.ROUND)), ("N", None)):
            key = frozen.freeze(w, "{}")
            batches.create(w, NewBatch(code, "coaster", 8, (Wood("oak", 1.0),), "s", key, "LOFT", size), NOW)
        assert [row.size for row in batches.open_batches(w) if row.code in "RN"] == [
            None,
            Size(100.0, 100.0, 9.0, Shape.ROUND),
        ]


def test_a_code_is_used_once(store: Store, batch_id: int) -> None:
    with pytest.raises(BadInput, match="no batch has yet"):
        begin(store, "B1")
    with store.read() as r:
        assert [row.code for row in batches.open_batches(r)] == ["B1"]


def test_unknown_names_offer_the_nearest(store: Store, batch_id: int) -> None:
    with store.read() as r:
        with pytest.raises(NotFound, match="nearest: B1"):
            batches.by_code(r, "B11")
        with pytest.raises(NotFound, match="nearest: loft"):
            places.by_name(r, "lofd")


def test_closed_batches_are_found_by_when(store: Store, batch_id: int) -> None:
    begin(store, "B2")
    with store.write() as w:
        entries.add(w, batch_id, CloseEntry(0, NOW + 10), recorded_at=NOW + 10)
        w.commit()
    with store.read() as r:
        assert [row.code for row in batches.open_batches(r)] == ["B2"]
        assert [row.code for row in batches.closed_between(r, NOW + 10, NOW + 11)] == ["B1"]
        assert batches.closed_between(r, NOW, NOW + 10) == ()
        assert batches.codes(r) == ("B1", "B2")
        assert batches.codes(r, "B2") == ("B2",)
        assert batches.codes(r, "C") == ()


def test_reading_on_finds_what_reading_anew_does(store: Store, batch_id: int) -> None:
    """Whatever was done since, the open batches come to the same; and what was left alone is the same object."""

    def add(to: int, entry: Entry) -> int:
        with store.write() as w:
            number = entries.add(w, to, entry, recorded_at=NOW)
            w.commit()
        return number

    def amend() -> None:
        with store.write() as w:
            batches.amend(w, other, priority=2, wanted_by=None, note="soon")
            w.commit()

    other = begin(store, "B2")
    known: batches.Known | None = None
    closing: list[int] = []
    deeds: list[Callable[[], object]] = [
        lambda: None,
        lambda: add(other, StepEntry(0, NOW, 0)),
        amend,
        lambda: begin(store, "B3"),
        lambda: closing.append(add(other, CloseEntry(0, NOW + 1))),
        lambda: add(batch_id, StepEntry(0, NOW + 2, 0)),
        lambda: add(other, VoidEntry(0, NOW + 3, closing[0])),  # open again, with what it had and the two
        lambda: add(other, HoldEntry(0, NOW + 4, on=True)),
        lambda: add(batch_id, StepEntry(0, NOW + 5, 1)) and add(other, StepEntry(0, NOW + 5, 1)),
    ]
    for deed in deeds:
        before = known
        deed()
        with store.read() as r:
            known = batches.read_on(r, known)
            assert known.in_order() == batches.open_batches(r)
        if before is not None:
            kept = [i for i, row in known.rows.items() if before.rows.get(i) == row]
            assert kept
            assert all(known.rows[i] is before.rows[i] for i in kept)


@pytest.mark.sqlite_only
def test_reading_on_notices_another_record(store: Store, batch_id: int, tmp_path: Path) -> None:
    with Store.open(at_file(tmp_path / "restored.db"), NOW) as restored:
        for one, step in ((store, 0), (restored, 1)):
            to = batch_id if one is store else begin(restored, "B1")
            with one.write() as w:
                entries.add(w, to, StepEntry(0, NOW, step), recorded_at=NOW + step)
                w.commit()
        with store.read() as r, restored.read() as now:
            known = batches.read_on(r, None)
            assert batches.read_on(now, known).in_order() == batches.open_batches(now)


def test_what_is_no_matter_of_record_may_change(store: Store, batch_id: int) -> None:
    with store.write() as w:
        batches.amend(w, batch_id, wanted_by=None, priority=2, note="gift", pieces=2)
        batches.amend(w, batch_id)
        row = batches.by_code(w, "B1")
        assert (row.wanted_by, row.priority, row.note, row.pieces) == (None, 2, "gift", 2)
        with pytest.raises(BadInput, match="pieces"):
            batches.amend(w, batch_id, pieces=0)
        with pytest.raises(BadInput, match="batch"):
            batches.amend(w, 99, note="x")


@pytest.mark.parametrize(
    ("code", "pieces", "woods", "field"),
    [
        (" ", 1, (Wood("oak", 1.0),), "code"),
        ("B", 0, (Wood("oak", 1.0),), "pieces"),
        ("B", 1, (), "woods"),
        ("B", 1, (Wood("oak", 0.0),), "share of oak"),
        ("B", 1, (Wood("oak", float("nan")),), "share of oak"),
    ],
)
def test_a_batch_that_makes_no_sense(code: str, pieces: int, woods: tuple[Wood, ...], field: str) -> None:
    with pytest.raises(BadInput, match=field):
        NewBatch(code, "x", pieces, woods, "s", "k", "loft")


def test_equal_bodies_are_kept_once_under_their_sha256(store: Store) -> None:
    with store.write() as w:
        # FIPS 180-4 example: SHA-256 of "abc"
        key = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
        assert frozen.freeze(w, "abc") == frozen.freeze(w, "abc") == key
        other = frozen.freeze(w, "é")
        assert frozen.frozen_bodies(w, [key, other, "missing"]) == {key: "abc", other: "é"}
        many = [frozen.freeze(w, str(n)) for n in range(1200)]
        assert len(frozen.frozen_bodies(w, many)) == 1200
