"""What is not committed did not happen."""

from __future__ import annotations

import pytest
from sqlalchemy import select

from finishing.store import Store, settings
from finishing.store.bare import Bare
from finishing.store.tables import SETTING
from tests.store.conftest import NOW


def values(store: Store) -> dict[str, object]:
    with store.read() as r:
        return settings.all_settings(r)


def test_without_a_commit_nothing_is_kept(store: Store) -> None:
    with store.write() as w:
        settings.put(w, "a", 1, NOW)
        assert settings.all_settings(w) == {"a": 1}
    assert values(store) == {}


def test_an_error_rolls_back(store: Store) -> None:
    def fail() -> None:
        with store.write() as w:
            settings.put(w, "a", 1, NOW)
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        fail()
    assert values(store) == {}


def test_what_comes_after_a_commit_needs_another(store: Store) -> None:
    with store.write() as w:
        settings.put(w, "a", 1, NOW)
        w.commit()
        settings.put(w, "b", 2, NOW)
    assert values(store) == {"a": 1}


@pytest.mark.parametrize("bare_first", [True, False])
def test_statements_past_sqlalchemy_see_the_same_moment_as_others(store: Store, bare_first: bool) -> None:
    with store.write() as w:
        settings.put(w, "a", 1, NOW)
        w.commit()
    keys = Bare(select(SETTING.c.key))
    with store.read() as r:
        if bare_first:
            assert keys.rows(r) == [("a",)]
        else:
            assert settings.all_settings(r) == {"a": 1}
        with store.write() as w:
            settings.put(w, "b", 2, NOW)
            w.commit()
        assert keys.rows(r) == [("a",)]
        assert settings.all_settings(r) == {"a": 1}
    with store.read() as r:  # the same connection, put back without its transaction
        assert sorted(keys.rows(r)) == [("a",), ("b",)]
    assert values(store) == {"a": 1, "b": 2}


def test_a_reader_sees_one_moment_while_others_write(store: Store) -> None:
    with store.read() as r:
        assert settings.all_settings(r) == {}
        with store.write() as w:
            settings.put(w, "a", 1, NOW)
            w.commit()
        assert settings.all_settings(r) == {}
    assert values(store) == {"a": 1}


def test_settings_are_put_anew_and_forgotten(store: Store) -> None:
    with store.write() as w:
        settings.put(w, "hours", {"mon": [9, 17]}, NOW)
        settings.put(w, "hours", None, NOW)
        settings.put(w, "units", "metric", NOW)
        settings.forget(w, "units")
        w.commit()
    assert values(store) == {"hours": None}


def test_a_commit_elsewhere_is_noticed(store: Store) -> None:
    before, alone = store.data_version(), store.location.file is not None  # a server counts for all its databases
    assert store.data_version() == before or not alone
    with Store.open(store.location, NOW) as other, other.write() as w:
        settings.put(w, "a", 1, NOW)
        assert store.data_version() == before or not alone
        w.commit()
    assert store.data_version() != before


@pytest.mark.sqlite_only
@pytest.mark.parametrize(("pragma", "value"), [("foreign_keys", 1), ("synchronous", 2), ("journal_mode", "wal")])
def test_every_connection_is_set_up(store: Store, pragma: str, value: object) -> None:
    with store.read() as r, store.write() as w:
        for unit in (r, w):
            assert unit.connection.exec_driver_sql(f"PRAGMA {pragma}").scalar() == value
