"""The record only grows; a mistake is voided; two who write to one batch are told."""

from __future__ import annotations

import datetime as dt

import numpy as np
import pytest
from sqlalchemy import text
from sqlalchemy.exc import DBAPIError, IntegrityError

from finishing.cure.outlook import DayAhead, UsualDay
from finishing.cure.work import CloseEntry, CoatEntry, HoldEntry, StepEntry, VoidEntry
from finishing.errors import BadInput, FinishingError
from finishing.store import Conflict, Store, batches, cans, entries, left_out, places
from finishing.store.readings import add_readings
from tests.store.conftest import NOW, begin


@pytest.fixture
def filled(store: Store, batch_id: int) -> Store:
    """A row in every table that only grows."""
    with store.write() as w:
        place = places.by_name(w, "loft").id
        places.set_usual(w, place, UsualDay(10.0, 20.0, 60.0, 40.0), NOW)
        places.expect(w, place, DayAhead(dt.date(2026, 1, 1), 5.0, 9.0), NOW)
        add_readings(w, place, np.array([1, 2]), np.array([20.0, 21.0]), np.array([50.0, 51.0]))
        left_out.leave_out(w, place, 2, 2, left_out.Word(NOW))
        entries.add(w, batch_id, StepEntry(0, NOW, 0), recorded_at=NOW)
        w.commit()
    return store


GROWING = {
    "entry": "maker = 'x'",
    "frozen": "body = 'x'",
    "reading": "temperature_c = 1",
    "leaving": "note = 'x'",
    "left_reading": "temperature_c = 1",
    "place_usual": "low_c = 1",
    "outlook_day": "low_c = 1",
}


@pytest.mark.parametrize("table", GROWING)
@pytest.mark.parametrize(
    "statement",
    ["UPDATE {t} SET {change}", "DELETE FROM {t}", "REPLACE INTO {t} SELECT * FROM {t}", "TRUNCATE {t} CASCADE"],
)
def test_the_record_only_grows(filled: Store, kind: str, table: str, statement: str) -> None:
    if statement.startswith({"sqlite": "TRUNCATE", "postgresql": "REPLACE"}[kind]):
        pytest.skip(f"no such statement on {kind}")
    with filled.read() as r:
        before = r.connection.execute(text(f"SELECT * FROM {table}")).all()
    with pytest.raises(DBAPIError, match="the record only grows"), filled.write() as w:
        w.connection.execute(text(statement.format(t=table, change=GROWING[table])))
    with filled.read() as r:
        assert r.connection.execute(text(f"SELECT * FROM {table}")).all() == before
    assert before


def test_a_batch_with_entries_cant_be_deleted(filled: Store) -> None:
    with pytest.raises(IntegrityError, match=r"(?i)foreign key"), filled.write() as w:
        w.connection.execute(text("DELETE FROM batch"))


def test_numbers_rise_and_are_never_used_again(store: Store, batch_id: int) -> None:
    with store.write() as w:
        first = entries.add(w, batch_id, StepEntry(99, NOW, 0), recorded_at=NOW)
        w.commit()
    with store.write() as w:
        entries.add(w, batch_id, StepEntry(0, NOW, 1), recorded_at=NOW)  # not committed
    with store.write() as w:
        second = entries.add(w, batch_id, StepEntry(0, NOW, 1), recorded_at=NOW)
        w.commit()
    with store.read() as r:
        assert first < second == entries.last_number(r, batch_id)
        assert entries.entry_count(r, batch_id) == 2


def test_closing_and_holding_show_on_the_batch_and_can_be_undone(store: Store, batch_id: int) -> None:
    def standing() -> tuple[bool, bool]:
        with store.read() as r:
            row = batches.by_code(r, "B1")
            assert ("B1" in [b.code for b in batches.open_batches(r)]) == (row.closed_at is None)
            return row.closed_at == NOW + 5, row.held

    def add(entry: CloseEntry | HoldEntry | VoidEntry) -> int:
        with store.write() as w:
            number = entries.add(w, batch_id, entry, recorded_at=NOW)
            w.commit()
        return number

    add(HoldEntry(0, NOW, True))
    assert standing() == (False, True)
    closing = add(CloseEntry(0, NOW + 5))
    assert standing() == (True, True)
    undo = add(VoidEntry(0, NOW + 6, closing))
    assert standing() == (False, True)
    add(VoidEntry(0, NOW + 7, undo))
    assert standing() == (True, True)
    add(HoldEntry(0, NOW + 1, False))
    assert standing() == (True, False)


def test_a_void_stays_within_its_batch(store: Store, batch_id: int) -> None:
    other = begin(store, "B2")
    with store.write() as w:
        number = entries.add(w, other, StepEntry(0, NOW, 0), recorded_at=NOW)
        w.commit()
    for missing in (number, 12345):
        with pytest.raises(BadInput, match="voids"), store.write() as w:
            entries.add(w, batch_id, VoidEntry(0, NOW, missing), recorded_at=NOW)


def test_only_a_coat_comes_from_a_can(store: Store, batch_id: int) -> None:
    with store.write() as w:
        can = cans.create(w, cans.NewCan("oil", 500.0), NOW)
        with pytest.raises(BadInput, match="can"):
            entries.add(w, batch_id, StepEntry(0, NOW, 0), recorded_at=NOW, can_id=can)


def test_who_looked_too_early_is_told(store: Store, batch_id: int) -> None:
    with store.read() as r:
        seen = batches.by_code(r, "B1").last_number
    with store.write() as w:
        entries.add(w, batch_id, CoatEntry(0, NOW, 0), recorded_at=NOW, expect_last=seen)
        w.commit()
    with pytest.raises(Conflict, match="batch B1 has a new entry, number 1"), store.write() as w:
        entries.add(w, batch_id, CoatEntry(0, NOW, 0), recorded_at=NOW, expect_last=seen)
    assert issubclass(Conflict, FinishingError)
    with store.write() as w:
        entries.add(w, batch_id, CoatEntry(0, NOW, 1), recorded_at=NOW, expect_last=1)
        w.commit()
    with store.read() as r:
        assert entries.entry_count(r, batch_id) == 2


def test_the_newest_entries_of_all_batches_page_back(store: Store, batch_id: int) -> None:
    other = begin(store, "B2")
    with store.write() as w:
        for n in range(6):
            entries.add(w, (batch_id, other)[n % 2], StepEntry(0, NOW, n), recorded_at=NOW)
        w.commit()
    with store.read() as r:
        page = entries.latest(r, 4)
        assert [recorded.entry.number for recorded in page] == [6, 5, 4, 3]
        assert [recorded.entry.number for recorded in entries.latest(r, 4, before=3)] == [2, 1]
        assert entries.batches_with(r, "step") == (batch_id, other)
        assert entries.batches_with(r, "test") == ()
