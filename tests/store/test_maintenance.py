"""Backup and check."""

from __future__ import annotations

import sqlite3
import stat
from contextlib import closing
from pathlib import Path

import pytest

from finishing.cure.work import StepEntry
from finishing.errors import BadInput, StoreTrouble
from finishing.store import Store, at_file, backup, batches, check, entries
from tests.store.conftest import NOW

pytestmark = pytest.mark.sqlite_only


def test_a_backup_is_one_whole_file_taken_while_another_writes(store: Store, batch_id: int, tmp_path: Path) -> None:
    target = tmp_path / "kept" / "a.db"
    with store.write() as w:
        entries.add(w, batch_id, StepEntry(0, NOW, 0), recorded_at=NOW)
        w.commit()
        entries.add(w, batch_id, StepEntry(0, NOW, 1), recorded_at=NOW)
        backup(store, target)
    assert [path.name for path in target.parent.iterdir()] == ["a.db"]
    assert stat.S_IMODE(target.stat().st_mode) == 0o600
    with Store.open(at_file(target), NOW) as copy, copy.read() as r:
        assert len(batches.by_code(r, "B1").record) == 1
        assert r.connection.exec_driver_sql("PRAGMA journal_mode").scalar() == "wal"


def test_a_backup_never_overwrites(store: Store, tmp_path: Path) -> None:
    target = tmp_path / "a.db"
    target.write_text("something dear")
    with pytest.raises(BadInput, match="not there yet"):
        backup(store, target)
    assert target.read_text() == "something dear"


def test_a_backup_that_cant_be_put_there(store: Store, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(StoreTrouble, match="no backup can be put"):
        backup(store, tmp_path / "file" / "a.db")


def test_a_sound_database_has_no_problems(store: Store, batch_id: int) -> None:
    assert check(store) == []


def test_check_names_what_is_wrong_and_no_backup_is_made_of_it(store: Store, batch_id: int, tmp_path: Path) -> None:
    assert store.location.file is not None
    with closing(sqlite3.connect(store.location.file)) as plain:  # foreign keys are off here
        plain.execute("DELETE FROM place")
        plain.commit()
    assert check(store) == ["batch 1 points at a place that is not there"]
    with pytest.raises(StoreTrouble, match="copied soundly"):
        backup(store, tmp_path / "kept" / "a.db")
    assert list((tmp_path / "kept").iterdir()) == []
