"""A database that can't be used is said in one line, and left byte for byte as it was."""

from __future__ import annotations

import hashlib
import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import pytest

from finishing.errors import StoreTrouble
from finishing.store import Location, Store, engine, settings
from tests.store.conftest import NOW, begin

pytestmark = pytest.mark.sqlite_only


@pytest.fixture
def file(location: Location, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A sound file with something in it; what waits, waits briefly."""
    monkeypatch.setattr(engine, "BUSY_SECONDS", 0.2)
    with Store.open(location, NOW) as store:
        begin(store, "B1")
    assert location.file is not None
    return location.file


@contextmanager
def refused(file: Path, words: str) -> Iterator[None]:
    """Expect trouble in one line, and the file as it was."""
    before = hashlib.sha256(file.read_bytes()).hexdigest()
    with pytest.raises(StoreTrouble, match=words) as caught:
        yield
    assert "\n" not in str(caught.value)
    assert str(file) in caught.value.message
    assert caught.value.hint
    assert hashlib.sha256(file.read_bytes()).hexdigest() == before


def put_one(store: Store) -> None:
    """Write something."""
    with store.write() as w:
        settings.put(w, "a", "x" * 5000, NOW)
        w.commit()


def test_garbage(file: Path, location: Location) -> None:
    file.write_bytes(os.urandom(9000))
    with refused(file, "no database"):
        Store.open(location, NOW)


def test_a_text_file(file: Path, location: Location) -> None:
    file.write_text("at,temperature\n2026-01-01,20\n")
    with refused(file, "no database"):
        Store.open(location, NOW)


@pytest.mark.parametrize("left", [50, 1000, 4096, 20_000])
def test_a_truncated_file(file: Path, location: Location, left: int) -> None:
    os.truncate(file, left)
    with refused(file, "damaged"):
        Store.open(location, NOW)


def test_a_file_damaged_in_the_middle(file: Path, location: Location) -> None:
    with file.open("r+b") as raw:
        raw.seek(4096)
        raw.write(b"\xff" * (file.stat().st_size - 4096))
    with refused(file, "damaged"):
        Store.open(location, NOW)


def test_a_file_of_a_newer_program(file: Path, location: Location) -> None:
    with closing(sqlite3.connect(file)) as plain:
        plain.execute("UPDATE alembic_version SET version_num = '9999'")
        plain.commit()
        plain.execute("PRAGMA journal_mode = DELETE")
    with refused(file, r"newer version \(9999\)"):
        Store.open(location, NOW)
    assert sorted(p.name for p in file.parent.iterdir()) == [file.name]


def test_another_programs_database(file: Path, location: Location) -> None:
    file.unlink()
    with closing(sqlite3.connect(file)) as plain:
        plain.execute("CREATE TABLE recipe (id INTEGER)")
        plain.commit()
    with refused(file, "another program's"):
        Store.open(location, NOW)


def test_a_writer_elsewhere_stops_writing_but_not_reading(file: Path, location: Location) -> None:
    with Store.open(location, NOW) as store, closing(sqlite3.connect(file, isolation_level=None)) as other:
        other.execute("BEGIN EXCLUSIVE")
        with refused(file, "in use by another program"):
            put_one(store)
        with store.read() as r:
            assert settings.all_settings(r) == {}
        other.execute("ROLLBACK")
        put_one(store)


def test_locked_altogether(file: Path, location: Location) -> None:
    with closing(sqlite3.connect(file, isolation_level=None)) as other:
        other.execute("PRAGMA journal_mode = DELETE")
        other.execute("BEGIN EXCLUSIVE")
        with refused(file, "in use by another program"):
            Store.open(location, NOW)


def test_read_only(file: Path, location: Location) -> None:
    read_only = Location(location.home, f"sqlite:///file:{file}?mode=ro&uri=true")
    with Store.open(read_only, NOW) as store:
        with store.read() as r:
            assert settings.all_settings(r) == {}
        with refused(file, "may not be written to"):
            put_one(store)


def test_read_only_and_missing(tmp_path: Path) -> None:
    missing = tmp_path / "no.db"
    with pytest.raises(StoreTrouble, match="can't be opened"):
        Store.open(Location(tmp_path, f"sqlite:///file:{missing}?mode=ro&uri=true"), NOW)
    assert not missing.exists()


def test_no_room_left(file: Path, location: Location) -> None:
    with Store.open(location, NOW) as store:
        with store.read() as r:
            pages = r.connection.exec_driver_sql("PRAGMA page_count").scalar_one()
            r.connection.exec_driver_sql(f"PRAGMA max_page_count = {pages}")
        with refused(file, "no room left"):
            put_one(store)


def test_a_folder_in_its_place(tmp_path: Path) -> None:
    with pytest.raises(StoreTrouble, match="can't be opened"):
        Store.open(Location(tmp_path, f"sqlite:///{tmp_path}"), NOW)


def test_a_mistake_in_a_query_is_no_trouble_but_a_bug(store: Store) -> None:
    with pytest.raises(Exception, match="no such table") as caught, store.read() as r:
        r.connection.exec_driver_sql("SELECT * FROM nowhere")
    assert not isinstance(caught.value, StoreTrouble)
