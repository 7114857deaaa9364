"""A shop moved from a file to a server and back: the same rows, by the file's own means."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from sqlalchemy import text

from finishing.cure.work import CoatEntry, HoldEntry, VoidEntry
from finishing.errors import BadInput, StoreTrouble
from finishing.store import Location, Store, at_file, cans, entries, left_out, lessons, move, places, settings
from finishing.store.kinds import NoteEntry
from finishing.store.readings import LogImport, add_readings, remember_import
from tests.databases import database
from tests.store.conftest import NOW, begin


@pytest.fixture
def filled(tmp_path: Path) -> Iterator[Store]:
    """A file with something in every table."""
    with Store.open(at_file(tmp_path / "here" / "finishing.db"), NOW) as store:
        batch_id = begin(store, "b-é")
        begin(store, "B-E")
        with store.write() as w:
            place = places.by_name(w, "loft").id
            seconds = np.arange(12_000) * 600 + 2**32
            add_readings(w, place, seconds, np.linspace(-3.3, 31.7, 12_000), np.full(12_000, np.nan))
            left_out.leave_out(w, place, 2**32, 2**32 + 99 * 600, left_out.Word(NOW, "log.csv", "a", "é"))
            left_out.leave_out(w, place, 2**32 + 200 * 600, 2**32 + 299 * 600, left_out.Word(NOW))
            left_out.put_back(w, 1, left_out.Word(NOW))
            remember_import(w, LogImport(place, "log.csv", "0" * 64, 3, 3, NOW))
            can = cans.create(w, cans.NewCan("oil", 0.1 + 0.2, lot="π"), NOW)
            first = entries.add(w, batch_id, CoatEntry(0, NOW + 1 / 3, 0, 1e-3), recorded_at=NOW, can_id=can, maker="a")
            entries.add(w, batch_id, VoidEntry(0, NOW, first), recorded_at=NOW)
            entries.add(w, batch_id, HoldEntry(0, NOW, True), recorded_at=NOW)
            entries.add(w, batch_id, NoteEntry(0, NOW, "line\nand \U0001f600, 'quoted'"), recorded_at=NOW)
            lessons.reset(w, "oil", NOW, NOW, note="anew")
            settings.put(w, "a", {"é": [1, None, 2.5]}, NOW)
            w.commit()
        yield store


def dump(file: Path | None) -> list[str]:
    """Everything in a file as SQL, by the driver's own means, but for its counters."""
    assert file is not None
    with closing(sqlite3.connect(file)) as plain:
        return sorted(line for line in plain.iterdump() if "sqlite_sequence" not in line)


@pytest.fixture
def empty_server(tmp_path: Path) -> Iterator[Location]:
    """A database on the tests' server."""
    with database() as url:
        yield Location(tmp_path / "server", url)


def test_there_and_back_every_row_is_the_same(filled: Store, empty_server: Location, tmp_path: Path) -> None:
    counts = move.move(filled, empty_server, NOW)
    assert (counts["reading"], counts["leaving"], counts["left_reading"]) == (11_900, 3, 200)
    assert counts["entry"] == 4
    home = at_file(tmp_path / "back" / "finishing.db")
    with Store.open(empty_server, NOW) as server:
        assert move.move(server, home, NOW) == counts
        begin(server, "next")  # numbers go on after the highest
        with server.write() as w:
            batch_id = w.connection.scalar(text("SELECT id FROM batch WHERE code = 'next'"))
            assert entries.add(w, batch_id, NoteEntry(0, NOW, "x"), recorded_at=NOW) == 5
            assert left_out.put_back(w, 2, left_out.Word(NOW)).number == 4
    assert dump(home.file) == dump(filled.location.file)


def test_not_into_what_has_rows_nor_into_itself(filled: Store, tmp_path: Path) -> None:
    other = at_file(tmp_path / "other" / "finishing.db")
    with Store.open(other, NOW) as store:
        begin(store, "C")
    before = dump(other.file)
    with pytest.raises(BadInput, match="it has rows in"):
        move.move(filled, other, NOW)
    assert dump(other.file) == before
    with pytest.raises(BadInput, match="another database"):
        move.move(filled, filled.location, NOW)


@pytest.mark.parametrize("harm", ["UPDATE can SET lot = 'p'", "DELETE FROM log_import"])
def test_a_row_that_does_not_arrive_as_it_was_keeps_all_from_being_kept(
    filled: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, harm: str
) -> None:
    compare = move._compare

    def after_harm(r: Any, w: Any, table: Any) -> None:
        w.connection.execute(text(harm))
        compare(r, w, table)

    monkeypatch.setattr(move, "_compare", after_harm)
    target = at_file(tmp_path / "other" / "finishing.db")
    with pytest.raises(StoreTrouble, match="did not arrive as it was"):
        move.move(filled, target, NOW)
    with Store.open(target, NOW) as store, store.read() as r:
        assert settings.all_settings(r) == {}
        assert places.all_places(r) == ()


def test_nobody_records_meanwhile(filled: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from finishing.store import engine

    monkeypatch.setattr(engine, "BUSY_SECONDS", 0.1)
    refused: list[str] = []

    def meanwhile(table: str, rows: int) -> None:
        if table == "reading" and not refused:
            with (
                pytest.raises(StoreTrouble, match="in use") as caught,
                Store.open(filled.location, NOW) as other,
                other.write(),
            ):
                pass
            refused.append(str(caught.value))

    move.move(filled, at_file(tmp_path / "other" / "finishing.db"), NOW, meanwhile)
    assert refused
