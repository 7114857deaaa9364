"""A shop nobody has begun leaves nothing behind till something is committed; and then it is there whole."""

from __future__ import annotations

import stat
import threading
from contextlib import suppress
from pathlib import Path

import pytest

from finishing.errors import BadInput, StoreTrouble
from finishing.store import Location, Store, check, settings
from tests.store.conftest import NOW

pytestmark = pytest.mark.sqlite_only


@pytest.fixture
def temporary(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Where temporary folders go."""
    folder = tmp_path / "temporary"
    folder.mkdir()
    monkeypatch.setattr("tempfile.tempdir", str(folder))
    return folder


def put(store: Store, value: object) -> None:
    """Commit a setting."""
    with store.write() as w:
        settings.put(w, "a", value, NOW)
        w.commit()


def everything(store: Store) -> dict[str, object]:
    """Every setting."""
    with store.read() as r:
        return settings.all_settings(r)


def test_looking_leaves_nothing_behind(location: Location, temporary: Path) -> None:
    with Store.open(location, NOW, lazily=True) as store:
        assert everything(store) == {}
        with suppress(BadInput), store.write() as w:
            settings.put(w, "a", 1, NOW)
            raise BadInput("size", "x", "a size")
        assert everything(store) == {}
    assert not location.home.exists()
    assert list(temporary.iterdir()) == []


def test_the_first_commit_makes_it_and_the_work_goes_on(location: Location, temporary: Path) -> None:
    assert location.file is not None
    with Store.open(location, NOW, lazily=True) as store:
        version = store.data_version()
        with store.write() as w:
            settings.put(w, "a", 1, NOW)
            w.commit()
            assert location.file.exists()
            settings.put(w, "b", 2, NOW)  # the same unit of work goes on in the new place
            w.commit()
        assert store.data_version() != version
        assert everything(store) == {"a": 1, "b": 2}
        put(store, 3)
    assert list(temporary.iterdir()) == []
    assert stat.S_IMODE(location.file.stat().st_mode) == 0o600
    assert stat.S_IMODE(location.home.stat().st_mode) == 0o700
    with Store.open(location, NOW) as store:
        assert everything(store) == {"a": 3, "b": 2}
        assert check(store) == []
        with store.read() as r:
            assert r.connection.exec_driver_sql("PRAGMA journal_mode").scalar() == "wal"


def test_of_two_that_begin_at_once_the_second_is_told_and_the_first_keeps_all(location: Location) -> None:
    with Store.open(location, NOW, lazily=True) as first, Store.open(location, NOW, lazily=True) as second:
        with second.write() as w:  # it has begun before there was a file
            settings.put(w, "a", "second", NOW)
            put(first, "first")
            with pytest.raises(StoreTrouble, match="made by another program just now; enter it again"):
                w.commit()
        assert everything(second) == {"a": "first"}
        put(second, "second")
    with Store.open(location, NOW, lazily=True) as store:
        assert everything(store) == {"a": "second"}


def test_many_that_begin_at_once_lose_nothing_acknowledged(location: Location) -> None:
    stores = [Store.open(location, NOW, lazily=True) for _ in range(6)]
    kept: list[int] = []

    def begin(n: int) -> None:
        try:
            with stores[n].write() as w:
                settings.put(w, str(n), n, NOW)
                w.commit()
        except StoreTrouble:
            return
        kept.append(n)

    threads = [threading.Thread(target=begin, args=(n,)) for n in range(len(stores))]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    for store in stores:
        store.close()
    with Store.open(location, NOW) as store:
        assert set(map(str, kept)) <= set(everything(store))
    assert kept


def test_where_nothing_can_be_made_it_is_said_at_once(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    where = Location(tmp_path / "file" / "home", f"sqlite:///{tmp_path}/file/home/finishing.db")
    with pytest.raises(StoreTrouble, match="can't be made"):
        Store.open(where, NOW, lazily=True)
