"""Cans: what is left, and which batches got which."""

from __future__ import annotations

import datetime as dt

import pytest

from finishing.cure.work import CoatEntry, VoidEntry
from finishing.errors import BadInput
from finishing.store import Store, cans, entries, trace
from finishing.store.cans import NewCan
from tests.store.conftest import NOW, begin


def test_a_can_comes_back_as_it_was_bought(store: Store) -> None:
    bought = NewCan("oil", 500.0, "L7", 21.5, dt.date(2026, 1, 2), None, 180, "dented")
    with store.write() as w:
        can_id = cans.create(w, bought, NOW)
        assert cans.by_id(w, can_id) == cans.CanRow(can_id, bought, NOW, None)
        cans.amend(w, can_id, opened_on=dt.date(2026, 2, 3), emptied_at=NOW + 9)
        assert cans.by_id(w, can_id).can.opened_on == dt.date(2026, 2, 3)
        assert cans.on_shelf(w) == ()
        assert trace.cans_of(w, ["L7"]) == (cans.by_id(w, can_id),)
        for call in (lambda: cans.by_id(w, 99), lambda: cans.amend(w, 99, note="x")):
            with pytest.raises(BadInput, match="can"):
                call()


def test_what_is_left_heeds_voided_coats_and_voided_voids(store: Store, batch_id: int) -> None:
    other = begin(store, "B2")
    with store.write() as w:
        can_id, full = (cans.create(w, NewCan("oil", 100.0), NOW) for _ in range(2))
        coats = [
            entries.add(w, batch, CoatEntry(0, NOW, n, amount), recorded_at=NOW, can_id=can_id)
            for n, (batch, amount) in enumerate([(batch_id, 10.0), (batch_id, 20.0), (other, None), (other, 30.0)])
        ]
        assert cans.left_ml(w) == {can_id: 40.0, full: 100.0}
        void = entries.add(w, batch_id, VoidEntry(0, NOW, coats[1]), recorded_at=NOW)
        assert cans.left_ml(w)[can_id] == 60.0
        assert [use.number for use in cans.uses_of(w, can_id)] == [coats[0], *coats[2:]]
        entries.add(w, batch_id, VoidEntry(0, NOW, void), recorded_at=NOW)
        assert cans.left_ml(w)[can_id] == 40.0
        entries.add(w, other, CoatEntry(0, NOW, 5, 90.0), recorded_at=NOW, can_id=can_id)
        assert cans.left_ml(w)[can_id] == 0.0


def test_lots_are_traced_both_ways(store: Store, batch_id: int) -> None:
    other = begin(store, "B2")
    with store.write() as w:
        first, second = (cans.create(w, NewCan("oil", 100.0, lot), NOW) for lot in ("L1", "L2"))
        for batch, can in ((batch_id, first), (batch_id, second), (other, second)):
            entries.add(w, batch, CoatEntry(0, NOW, 0), recorded_at=NOW, can_id=can)
        entries.add(w, other, CoatEntry(0, NOW, 1), recorded_at=NOW)
        assert [use.code for use in cans.uses_of(w, first)] == ["B1"]
        assert [use.code for use in cans.uses_of(w, second)] == ["B1", "B2"]
        assert [use.can_id for use in cans.uses_in(w, batch_id)] == [first, second]
        assert [use.can_id for use in cans.uses_in(w, other)] == [second]


@pytest.mark.parametrize(
    ("volume", "price", "days"), [(0.0, None, None), (float("nan"), None, None), (1.0, -1.0, None), (1.0, 1.0, 0)]
)
def test_a_can_that_makes_no_sense(volume: float, price: float | None, days: int | None) -> None:
    with pytest.raises(BadInput, match="expected"):
        NewCan("oil", volume, price=price, use_within_days=days)
