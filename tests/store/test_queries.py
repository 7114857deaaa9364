"""However long the record grows, what every look at the bench asks is found by index, in as many queries."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import Any

import pytest
from sqlalchemy import event

from finishing.cure.work import StepEntry
from finishing.store import Reader, Store, batches, cans, entries, frozen, left_out, lessons, places, readings
from tests.store.conftest import NOW, begin

ASKED: dict[str, Callable[[Reader], object]] = {
    "open batches": batches.open_batches,
    "one batch": lambda r: batches.by_code(r, "B1"),
    "some batches": lambda r: batches.by_ids(r, [1, 2]),
    "closed batches": lambda r: batches.closed_between(r, NOW, NOW + 1),
    "frozen bodies": lambda r: frozen.frozen_bodies(r, ["a", "b"]),
    "usual days": places.usual_days,
    "days ahead": lambda r: places.days_ahead(r, dt.date(2026, 1, 1)),
    "readings": lambda r: readings.readings_since(r, 1, 0.0),
    "newest readings": readings.newest,
    "readings of a time": lambda r: left_out.extent(r, 1, 0, 9),
    "what was left out": left_out.newest,
    "a record": lambda r: entries.of_batch(r, 1),
    "last number": lambda r: entries.last_number(r, 1),
    "count": lambda r: entries.entry_count(r, 1),
    "latest": lambda r: entries.latest(r, 10, before=5),
    "with tests": lambda r: entries.batches_with(r, "test"),
    "newest tested": lambda r: lessons.newest_tested(r, 10),
    "touched since": lambda r: lessons.batches_since(r, 5),
    "lessons": lessons.standing,
    "left in cans": cans.left_ml,
    "uses of a can": lambda r: cans.uses_of(r, 1),
    "uses in a batch": lambda r: cans.uses_in(r, 1),
}

Said = list[tuple[str, Any]]


def said_by(store: Store, ask: Callable[[Reader], object]) -> Said:
    """The queries, with their parameters, that a question comes to."""
    said: Said = []

    def listen(_c: object, _k: object, statement: str, parameters: object, _x: object, _m: object) -> None:
        said.append((statement, parameters))

    with store.read() as r:
        event.listen(store.engine, "before_cursor_execute", listen)
        ask(r)
        event.remove(store.engine, "before_cursor_execute", listen)
    return [(statement, parameters) for statement, parameters in said if statement != "BEGIN"]


@pytest.mark.sqlite_only
@pytest.mark.parametrize("name", ASKED)
def test_no_long_table_is_read_through(store: Store, batch_id: int, name: str) -> None:
    said = said_by(store, ASKED[name])
    assert said
    with store.read() as r:
        plans = [
            row[3]
            for query, values in said
            for row in r.connection.exec_driver_sql(f"EXPLAIN QUERY PLAN {query}", values)
        ]
    read_through = [plan for plan in plans if plan.split()[:2] in [["SCAN", t] for t in ("entry", "reading", "batch")]]
    assert [plan for plan in read_through if "INDEX ix_batch_open" not in plan] == []


def test_open_batches_take_as_many_queries_however_many_there_are(store: Store, batch_id: int) -> None:
    few = len(said_by(store, batches.open_batches))
    for n in range(5):
        other = begin(store, f"C{n}")
        with store.write() as w:
            entries.add(w, other, StepEntry(0, NOW, 0), recorded_at=NOW)
            w.commit()
    assert len(said_by(store, batches.open_batches)) == few == 3
