"""The same store on a PostgreSQL server: run where FINISHING_TEST_POSTGRESQL names an empty database (a URL)."""

from __future__ import annotations

import datetime as dt
import os
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from sqlalchemy import text
from sqlalchemy.exc import DBAPIError

from finishing.cure.outlook import DayAhead, UsualDay
from finishing.cure.work import CloseEntry, CoatEntry, StepEntry
from finishing.errors import BadInput, StoreTrouble
from finishing.store import Conflict, Location, Store, backup, batches, cans, entries, places, settings
from finishing.store.readings import add_readings, newest, readings_since
from finishing.store.tables import Base
from tests.store.conftest import NOW, begin

URL = os.environ.get("FINISHING_TEST_POSTGRESQL", "")


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    """A store in an emptied schema."""
    if not URL:
        pytest.skip("FINISHING_TEST_POSTGRESQL names no database")
    with Store.open(Location(tmp_path, URL), NOW) as opened:
        yield opened
        with opened.engine.begin() as connection:
            connection.execute(text("DROP SCHEMA public CASCADE"))
            connection.execute(text("CREATE SCHEMA public"))


def test_the_migrations_make_what_the_tables_say(store: Store) -> None:
    with store.engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, Base.metadata) == []
    Store.open(store.location, NOW).close()


def test_a_day_of_work(store: Store) -> None:
    batch_id, other = begin(store, "B1"), begin(store, "B2")
    before = store.data_version()
    with store.write() as w:
        place = places.by_name(w, "LOFT").id
        places.set_usual(w, place, UsualDay(10.0, 20.0, 60.0, 40.0), NOW)
        places.expect(w, place, DayAhead(dt.date(2026, 1, 1), 5.0, 9.0), NOW)
        seconds = np.arange(0, 6_000, 600) + 2**32
        for expected in (10, 0):
            assert add_readings(w, place, seconds, np.full(10, 20.0), np.full(10, np.nan)) == expected
        can_id = cans.create(w, cans.NewCan("oil", 100.0), NOW)
        entries.add(w, batch_id, CoatEntry(0, NOW, 0, 10.0), recorded_at=NOW, can_id=can_id, expect_last=0)
        entries.add(w, other, CloseEntry(0, NOW), recorded_at=NOW)
        settings.put(w, "a", {"é": 1}, NOW)
        w.commit()
    assert store.data_version() != before
    with store.read() as r:
        [row] = batches.open_batches(r)
        assert (row.code, row.record[0].entry) == ("B1", CoatEntry(row.last_number, NOW, 0, 10.0))
        assert batches.closed_between(r, NOW, NOW + 1)[0].code == "B2"
        assert cans.left_ml(r) == {can_id: 90.0}
        assert np.isnan(readings_since(r, place, 2**32 + 1)[2]).tolist() == [True] * 9
        assert newest(r) == {place: int(seconds[-1])}
        assert settings.all_settings(r) == {"a": {"é": 1}}
        assert len(places.usual_days(r)) == len(places.days_ahead(r, dt.date(2026, 1, 1))) == 1


@pytest.mark.parametrize("statement", ["UPDATE entry SET maker = 'x'", "DELETE FROM entry", "TRUNCATE entry"])
def test_the_record_only_grows(store: Store, statement: str) -> None:
    batch_id = begin(store, "B1")
    with store.write() as w:
        entries.add(w, batch_id, StepEntry(0, NOW, 0), recorded_at=NOW)
        w.commit()
    with pytest.raises(DBAPIError, match="the record only grows"), store.write() as w:
        w.connection.execute(text(statement))
    with store.read() as r:
        assert entries.entry_count(r, batch_id) == 1


def test_who_looked_too_early_is_told(store: Store) -> None:
    batch_id = begin(store, "B1")
    with store.write() as w:
        entries.add(w, batch_id, StepEntry(0, NOW, 0), recorded_at=NOW, expect_last=0)
        w.commit()
    with store.write() as w, pytest.raises(Conflict):
        entries.add(w, batch_id, StepEntry(0, NOW, 0), recorded_at=NOW, expect_last=0)
    with pytest.raises(BadInput, match="no batch has yet"):
        begin(store, "B1")


def test_copies_are_the_servers_own_matter(store: Store, tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="its own means"):
        backup(store, tmp_path / "a.db")


def test_a_server_that_does_not_answer(tmp_path: Path) -> None:
    if not URL:
        pytest.skip("FINISHING_TEST_POSTGRESQL names no database")
    driver = URL.split("://")[0]
    with pytest.raises(StoreTrouble, match="does not answer") as caught:
        Store.open(Location(tmp_path, f"{driver}://me:hush@127.0.0.1:1/none"), NOW)
    assert "hush" not in str(caught.value)
    assert "\n" not in str(caught.value)
