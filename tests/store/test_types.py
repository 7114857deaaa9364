"""Instants and JSON in columns."""

from __future__ import annotations

import datetime as dt
import sqlite3
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import select
from sqlalchemy.exc import StatementError

from finishing.clock import hour_of
from finishing.cure.work import StepEntry
from finishing.errors import BadInput
from finishing.store import Store, entries
from finishing.store.tables import SETTING, SettingTable
from finishing.store.types import canonical, instant
from tests.store.conftest import NOW


def test_a_naive_datetime_is_refused(store: Store) -> None:
    naive = dt.datetime(2026, 3, 1, 12, 0)  # noqa: DTZ001
    with store.write() as w:
        w.session.add(SettingTable(key="a", value=1, updated_at=naive))
        with pytest.raises(StatementError, match="needs a zone"):
            w.session.flush()


def test_an_aware_datetime_comes_back_in_utc(store: Store) -> None:
    given_at = dt.datetime(2026, 3, 1, 12, 0, tzinfo=ZoneInfo("America/New_York"))
    with store.write() as w:
        w.session.add(SettingTable(key="a", value=1, updated_at=given_at))
        w.commit()
    with store.read() as r:
        found = r.connection.execute(select(SETTING).where(SETTING.c.key == "a")).one_or_none()
        assert found is not None
        assert found.updated_at == given_at
        assert found.updated_at.utcoffset() == dt.timedelta(0)


def test_the_hour_that_comes_twice_stays_two_instants(store: Store, batch_id: int) -> None:
    # IANA tz database (zoneinfo): Berlin puts its clocks back on 2026-10-25, 03:00 to 02:00
    berlin = ZoneInfo("Europe/Berlin")
    first = dt.datetime(2026, 10, 25, 2, 30, fold=0, tzinfo=berlin)
    second = first.replace(fold=1)
    with store.write() as w:
        for n, at in enumerate((first, second)):
            entries.add(w, batch_id, StepEntry(0, hour_of(at), n), recorded_at=NOW)
        w.commit()
    with store.read() as r:
        ats = [recorded.entry.at for recorded in entries.of_batch(r, batch_id)]
    assert ats == [hour_of(first), hour_of(second)]
    assert ats[1] - ats[0] == 1.0


@pytest.mark.sqlite_only
def test_sqlite_itself_reads_the_same_instant(store: Store, batch_id: int) -> None:
    # SQLite's own date functions are the outside authority on what was written
    with store.write() as w:
        entries.add(w, batch_id, StepEntry(0, NOW, 0), recorded_at=NOW)
        w.commit()
    assert store.location.file is not None
    plain = sqlite3.connect(store.location.file)
    assert plain.execute("SELECT strftime('%s', at) FROM entry").fetchone() == (str(round(NOW * 3600)),)
    plain.close()


@given(st.datetimes(dt.datetime(1970, 1, 1), dt.datetime(2150, 1, 1), timezones=st.just(dt.UTC)))  # noqa: DTZ001
def test_hours_keep_an_instant_to_the_microsecond(at: dt.datetime) -> None:
    # a float of hours has 53 bits: half a microsecond is kept until 2106 (2^32 s), a microsecond after
    slack = dt.timedelta(microseconds=0 if at.year < 2038 else 1)
    assert abs(instant(hour_of(at)) - at) <= slack


@pytest.mark.parametrize("hour", [-1.0, 1e9, float("nan"), float("inf")])
def test_an_hour_that_is_no_instant_is_refused(hour: float) -> None:
    with pytest.raises(BadInput, match="time"):
        instant(hour)


def test_equal_values_give_equal_text() -> None:
    assert canonical({"b": 1, "a": "é"}) == canonical({"a": "é", "b": 1}) == '{"a":"é","b":1}'
    with pytest.raises(ValueError, match="not JSON compliant"):
        canonical(float("nan"))
