"""Readings left out are moved, whole and unchanged, and come back where their second is free; nothing else may go."""

from __future__ import annotations

import sqlite3
from contextlib import closing

import numpy as np
import pytest
from sqlalchemy import create_engine, text
from sqlalchemy.exc import DBAPIError

from finishing.errors import BadInput
from finishing.store import Location, Store, left_out, places, schema
from finishing.store.left_out import Extent, Rows, Word
from finishing.store.readings import add_readings, readings_since
from finishing.store.signature import air_signature
from finishing.store.sound import examine
from tests.store.conftest import NOW

SECONDS = np.arange(1_700_000_000, 1_700_000_000 + 600 * 100, 600)
WARMTH = np.linspace(0.1, 19.7, 100)
DAMP = np.where(np.arange(100) % 3 == 0, np.nan, 55.5)


@pytest.fixture
def place_id(store: Store) -> int:
    """A place with a hundred readings, and another with the same."""
    with store.write() as w:
        made = [places.create(w, name, NOW) for name in ("loft", "cellar")]
        for one in made:
            add_readings(w, one, SECONDS, WARMTH, DAMP)
        w.commit()
    return made[0]


def rows(store: Store, table: str) -> set[tuple[object, ...]]:
    """Readings by the database's own means."""
    query = f"SELECT place_id, at, temperature_c, humidity_pct FROM {table}"
    with store.read() as r:
        return {tuple(row) for row in r.connection.execute(text(query))}


def shown(store: Store, place_id: int) -> list[int]:
    """Which of the hundred are in use."""
    with store.read() as r:
        return ((readings_since(r, place_id, 0.0)[0] - SECONDS[0]) // 600).tolist()


def test_a_stretch_is_moved_whole_and_put_back(store: Store, place_id: int) -> None:
    before = rows(store, "reading")
    with store.read() as r:
        was = air_signature(r)
    with store.write() as w:
        first, last = int(SECONDS[10]) - 5, int(SECONDS[19])
        assert left_out.extent(w, place_id, first, last) == Extent(10, first + 5, last, WARMTH[10], WARMTH[19])
        line = left_out.leave_out(w, place_id, first, last, Word(NOW, "", "Åse", "in the sun"))
        w.commit()
    assert (line.readings, line.first, line.last) == (10, SECONDS[10], SECONDS[19])
    assert shown(store, place_id) == [*range(10), *range(20, 100)]
    gone = before - rows(store, "reading")
    assert len(gone) == 10
    assert gone == rows(store, "left_reading")
    with store.read() as r:
        assert left_out.holding(r) == left_out.all_leavings(r) == (line,)
        now = air_signature(r)
        assert now != was  # though it was not the newest reading, the air is built anew
    with store.write() as w:
        back = left_out.put_back(w, line.number, Word(NOW + 1))
        w.commit()
    assert (back.readings, back.voids) == (10, line.number)
    assert rows(store, "reading") == before
    with store.read() as r:
        assert left_out.holding(r) == ()
        assert left_out.all_leavings(r) == (line, back)
        assert air_signature(r) not in (was, now)
    if store.location.file is not None:
        assert examine(store.location.file).sound


def test_portions_leave_all_of_it_out_or_nothing(store: Store, place_id: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(left_out, "BATCH_OF_ROWS", 7)
    before = rows(store, "reading")
    told: list[tuple[int, int]] = []

    def halfway(done: int, of: int) -> None:
        told.append((done, of))
        if done > 10:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt), store.write(turn_later=True) as w:
        left_out.leave_out(w, place_id, int(SECONDS[10]), int(SECONDS[29]), Word(NOW), halfway)
    assert (told, rows(store, "reading"), rows(store, "left_reading")) == ([(7, 20), (14, 20)], before, set())
    with store.write(turn_later=True) as w:
        line = left_out.leave_out(
            w, place_id, int(SECONDS[10]), int(SECONDS[29]), Word(NOW), lambda *at: told.append(at)
        )
        w.take_turn()
        w.commit()
    assert (told[2:], line.readings) == ([(7, 20), (14, 20), (20, 20)], 20)
    assert shown(store, place_id) == [*range(10), *range(30, 100)]
    assert len(rows(store, "left_reading")) == 20
    told.clear()
    with store.write(turn_later=True) as w:
        assert left_out.put_back(w, line.number, Word(NOW), lambda *at: told.append(at)).readings == 20
        w.take_turn()
        w.commit()
    assert (told, rows(store, "reading")) == ([(7, 20), (14, 20), (20, 20)], before)


def test_the_right_log_takes_their_seconds_and_keeps_them(store: Store, place_id: int) -> None:
    with store.write() as w:
        line = left_out.leave_out(w, place_id, int(SECONDS[0]), int(SECONDS[9]), Word(NOW))
        assert add_readings(w, place_id, SECONDS[:6], np.full(6, 21.0), np.full(6, 50.0)) == 6
        back = left_out.put_back(w, line.number, Word(NOW))
        w.commit()
    assert back.readings == 4
    with store.read() as r:
        _, warmth, _ = readings_since(r, place_id, 0.0)
    assert warmth[:10].tolist() == [21.0] * 6 + WARMTH[6:10].tolist()


def test_of_a_log_only_what_stands_there_as_it_is(store: Store, place_id: int) -> None:
    """Other values, other seconds, a humidity that was not measured, and the place beside it stay."""
    seconds, warmth, damp = SECONDS.copy(), WARMTH.copy(), DAMP.copy()
    warmth[5] += 0.001
    damp[6], damp[7] = 1.0, np.nan
    seconds[8] += 1

    def twice() -> list[Rows]:
        return [(seconds[:40], warmth[:40], damp[:40]), (seconds[40:50], warmth[40:50], damp[40:50])]

    with store.write() as w:
        found = left_out.extent_of(w, place_id, twice)
        assert found is not None
        line = left_out.leave_out_these(w, place_id, found, twice, Word(NOW, "log.csv"))
        w.commit()
    assert found == Extent(46, SECONDS[0], SECONDS[49], WARMTH[0], WARMTH[49])
    assert (line.readings, line.first, line.last, line.file_name) == (46, SECONDS[0], SECONDS[49], "log.csv")
    assert shown(store, place_id) == [5, 6, 7, 8, *range(50, 100)]
    assert shown(store, place_id + 1) == list(range(100))


def test_of_a_log_that_stands_there_alone_all(store: Store, place_id: int) -> None:
    told: list[tuple[int, int]] = []

    def log() -> list[Rows]:
        return [(SECONDS[20:30], WARMTH[20:30], DAMP[20:30])]

    with store.write() as w:
        found = left_out.extent_of(w, place_id, log)
        assert found is not None
        left_out.leave_out_these(w, place_id, found, log, Word(NOW), lambda done, of: told.append((done, of)))
        w.commit()
    assert shown(store, place_id) == [*range(20), *range(30, 100)]
    assert told == [(10, 10)]


def test_nothing_to_leave_out_and_what_does_not_hold(store: Store, place_id: int) -> None:
    with store.write() as w:
        with pytest.raises(BadInput, match="some in that time"):
            left_out.leave_out(w, place_id, 5, 10, Word(NOW))
        assert left_out.extent_of(w, place_id, lambda: [(SECONDS, WARMTH + 1, DAMP)]) is None
        line = left_out.leave_out(w, place_id, int(SECONDS[0]), int(SECONDS[0]), Word(NOW))
        back = left_out.put_back(w, line.number, Word(NOW))
        for number in (line.number, back.number, 99):
            with pytest.raises(BadInput, match="still holds"):
                left_out.put_back(w, number, Word(NOW))


HARM = {
    "another": "DELETE FROM reading WHERE at = 1700006000",
    "all": "DELETE FROM reading",
    "put back": "DELETE FROM reading WHERE at = 1700000600",
    "changed": "UPDATE reading SET temperature_c = 1 WHERE at = 1700006000",
    "in the other place": "DELETE FROM reading WHERE at = 1700000000",
}


@pytest.mark.parametrize("harm", HARM)
def test_no_reading_goes_that_is_not_kept(store: Store, place_id: int, harm: str) -> None:
    with store.write() as w:
        left_out.leave_out(w, place_id, int(SECONDS[0]), int(SECONDS[0]), Word(NOW))
        line = left_out.leave_out(w, place_id, int(SECONDS[1]), int(SECONDS[1]), Word(NOW))
        left_out.put_back(w, line.number, Word(NOW))
        w.commit()
    before = rows(store, "reading")
    with pytest.raises(DBAPIError, match="the record only grows"), store.write() as w:
        w.connection.execute(text(HARM[harm]))
    assert rows(store, "reading") == before
    assert len(before) == 199


def test_a_copy_that_differs_lets_no_reading_go(store: Store, place_id: int) -> None:
    copy = "INSERT INTO left_reading SELECT place_id, at, {id}, temperature_c + {by}, humidity_pct FROM reading"
    with store.write() as w:
        line = left_out.leave_out(w, place_id, int(SECONDS[0]), int(SECONDS[0]), Word(NOW))
        w.connection.execute(text(copy.format(id=line.number, by=0.001) + " WHERE at > 1700000000"))
        w.commit()
    with pytest.raises(DBAPIError, match="the record only grows"), store.write() as w:
        w.connection.execute(text("DELETE FROM reading WHERE at = 1700000600"))
    if store.location.file is not None:
        assert examine(store.location.file).problems == ("the readings left out under 1 are 199 instead of 1",)


def test_what_changed_since_a_line_was_seen(store: Store, place_id: int) -> None:
    with store.write() as w:
        assert (left_out.newest(w), left_out.changed_since(w, (0, 0.0))) == ((0, 0.0), None)
        left_out.leave_out(w, place_id, int(SECONDS[50]), int(SECONDS[59]), Word(NOW))
        seen = left_out.newest(w)
        assert seen == (1, NOW)
        assert left_out.changed_since(w, (0, 0.0)) == SECONDS[50]
        assert left_out.changed_since(w, seen) is None
        left_out.leave_out(w, place_id, int(SECONDS[70]), int(SECONDS[79]), Word(NOW))
        left_out.put_back(w, 1, Word(NOW + 1))
        assert left_out.changed_since(w, seen) == SECONDS[50]
        assert left_out.changed_since(w, (2, NOW)) == SECONDS[50]
        assert left_out.changed_since(w, (1, NOW + 5)) == 0  # of another record
        assert left_out.changed_since(w, (9, NOW)) == 0


@pytest.mark.sqlite_only
def test_a_check_misses_a_reading_that_was_left_out(store: Store, place_id: int) -> None:
    with store.write() as w:
        left_out.leave_out(w, place_id, int(SECONDS[0]), int(SECONDS[9]), Word(NOW))
        w.commit()
    file = store.location.file
    assert file is not None
    with closing(sqlite3.connect(file)) as plain:
        (trigger,) = plain.execute("SELECT sql FROM sqlite_master WHERE name = 'left_reading_no_delete'").fetchone()
        plain.executescript(
            f"DROP TRIGGER left_reading_no_delete; DELETE FROM left_reading WHERE at = {SECONDS[3]}; {trigger}"
        )
    assert examine(file).problems == ("the readings left out under 1 are 9 instead of 10",)


@pytest.mark.postgresql_only
def test_a_server_of_the_layout_before_keeps_its_readings_and_its_guard(empty: Location) -> None:
    """Brought up to date with readings in it: they stay, still none may go, and they can be left out."""
    before = create_engine(empty.url)
    with before.begin() as connection:
        schema.migrate(connection, "0002")
        connection.execute(text("INSERT INTO place (name, name_key, created_at) VALUES ('loft', 'loft', now())"))
        connection.execute(text("INSERT INTO reading SELECT 1, n, 20.5, NULL FROM generate_series(1, 50) n"))
    before.dispose()
    with Store.open(empty, NOW) as store:
        for harm in ("DELETE FROM reading", "UPDATE reading SET at = 0", "TRUNCATE reading", "TRUNCATE left_reading"):
            with pytest.raises(DBAPIError, match="the record only grows"), store.write() as w:
                w.connection.execute(text(harm))
        with store.write() as w:
            assert left_out.leave_out(w, 1, 1, 20, Word(NOW)).readings == 20
            w.commit()
        assert (len(rows(store, "reading")), len(rows(store, "left_reading"))) == (30, 20)
