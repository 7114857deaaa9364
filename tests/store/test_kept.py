"""Backups by a stated rule, restores that lose nothing, and what a check finds."""

from __future__ import annotations

import datetime as dt
import os
import resource
import signal
import sqlite3
import stat
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from finishing.clock import hour_of
from finishing.cure.work import StepEntry
from finishing.errors import BadFile, BadInput, StoreTrouble
from finishing.store import Location, Store, at_file, backup, check, copies, engine, entries, kept
from finishing.store.kept import Kept, all_kept, folder_of, keep_daily, surplus
from finishing.store.restore import restore
from finishing.store.sound import examine
from tests.store.conftest import NOW, begin

pytestmark = pytest.mark.sqlite_only

OSLO = "Europe/Oslo"


def dump(file: Path) -> list[str]:
    """Everything in a database as SQL, by the driver's own means."""
    with closing(sqlite3.connect(file)) as plain:
        return list(plain.iterdump())


def add_one(store: Store, batch_id: int) -> None:
    """One more entry."""
    with store.write() as w:
        entries.add(w, batch_id, StepEntry(0, NOW, 0), recorded_at=NOW)
        w.commit()


@pytest.fixture
def file(location: Location, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A closed database with a batch and an entry; what waits, waits briefly."""
    monkeypatch.setattr(engine, "BUSY_SECONDS", 0.2)
    with Store.open(location, NOW) as store:
        add_one(store, begin(store, "B1"))
    assert location.file is not None
    return location.file


@pytest.fixture
def saved(location: Location, file: Path, tmp_path: Path) -> Path:
    """A backup of it, after which the record went on."""
    target = tmp_path / "elsewhere" / "odd ?name#é%20.db"
    with Store.open(location, NOW) as store:
        backup(store, target)
        add_one(store, 1)
    return target


# the day's backup


def test_one_a_day_of_the_shops_zone(store: Store, batch_id: int) -> None:
    evening = hour_of(dt.datetime(2026, 3, 10, 22, 30, tzinfo=dt.UTC))  # 23:30 in Oslo
    made = [keep_daily(store, lambda: OSLO, evening + later) for later in (0.0, 0.4, 0.6, 23.0, 24.4, 24.6)]
    assert [one is not None for one in made] == [True, False, True, False, False, True]
    assert [k.why for k in all_kept(folder_of(store.location))] == [kept.DAILY] * 3
    for one in all_kept(folder_of(store.location)):
        assert examine(one.file).sound
        assert stat.S_IMODE(one.file.stat().st_mode) == 0o600
        assert stat.S_IMODE(one.file.parent.stat().st_mode) == 0o700


def test_two_programs_begun_in_the_same_second_make_one(store: Store, batch_id: int) -> None:
    others: list[Path | None] = []

    def meanwhile() -> None:
        others.append(keep_daily(store, lambda: OSLO, NOW))

    assert keep_daily(store, lambda: OSLO, NOW, meanwhile) is None
    assert [k.file for k in all_kept(folder_of(store.location))] == others


def test_a_clock_that_once_stood_a_year_ahead_costs_no_backup(store: Store, batch_id: int) -> None:
    assert keep_daily(store, lambda: OSLO, NOW + 24 * 365)
    assert keep_daily(store, lambda: OSLO, NOW)
    assert keep_daily(store, lambda: OSLO, NOW + 24)


def test_what_a_killed_program_left_of_a_copy_is_cleared_away(store: Store, batch_id: int) -> None:
    folder = folder_of(store.location)
    folder.mkdir()
    old, fresh, foreign = (folder / n for n in (".finishing-a.db.1.part", ".finishing-b.db.2.part", "dear.db"))
    for path in (old, fresh, foreign):
        path.write_bytes(b"half")
    os.utime(old, (1.0, 1.0))
    keep_daily(store, lambda: OSLO, NOW)
    assert (old.exists(), fresh.exists(), foreign.exists()) == (False, True, True)


def dailies(hours: list[float]) -> list[Kept]:
    """Backups made at some hours."""
    return [Kept(Path(f"{n}.db"), hour, kept.DAILY, 1) for n, hour in enumerate(hours)]


def test_three_years_of_days_keep_a_week_of_days_five_weeks_and_a_year_of_months() -> None:
    start = hour_of(dt.datetime(2023, 1, 1, 8, tzinfo=dt.UTC))
    every = dailies([start + 24.0 * day for day in range(3 * 365)])
    gone = surplus(every, "UTC")
    days = sorted(dt.date(2023, 1, 1) + dt.timedelta(days=int(k.file.stem)) for k in every if k not in gone)
    last = dt.date(2025, 12, 30)
    # counted here by the calendar: the last days, the Sundays before (a week's newest), the months' last days
    expected = {last - dt.timedelta(days=n) for n in range(7)}
    expected |= {dt.date(2025, 12, day) for day in (28, 21, 14, 7)}
    months = [dt.date(2025, month, 1) - dt.timedelta(days=1) for month in range(2, 13)]
    assert days == sorted(expected | set(months))


@given(hours=st.lists(st.floats(400_000, 600_000), max_size=60))
def test_the_rule_keeps_the_newest_and_never_more_than_it_says(hours: list[float]) -> None:
    every = dailies(hours)
    gone = surplus(every, OSLO)
    stay = [k for k in every if k not in gone]
    assert len(stay) <= kept.DAYS + kept.WEEKS + kept.MONTHS
    if every:
        assert max(k.made_at for k in stay) == max(hours)
    assert surplus(stay, OSLO) == []


def test_only_daily_ones_are_ever_cleared_away(store: Store, batch_id: int) -> None:
    folder = folder_of(store.location)
    for day in range(60):
        for why in (kept.MADE, kept.REPLACED, "before-0002"):
            path = kept.path_for(store.location, NOW + 24 * day, why)
            path.parent.mkdir(exist_ok=True)
            path.write_bytes(b"x")
    keep_daily(store, lambda: OSLO, NOW)
    assert len(all_kept(folder)) == 181


# there and back


def test_a_round_trip_loses_nothing(location: Location, file: Path, saved: Path) -> None:
    later = dump(file)
    done = restore(location, saved, NOW)
    assert dump(file) == dump(saved) != later
    assert done.replaced is not None
    assert dump(done.replaced) == later, "what was replaced is kept whole"
    again = restore(location, done.replaced, NOW)
    assert dump(file) == later
    assert again.replaced != done.replaced
    with Store.open(location, NOW) as store:
        add_one(store, 1)
        assert check(store) == []


# a backup that was never finished


def half_written(part: Path) -> None:
    """Leave half of what was copied."""
    os.truncate(part, part.stat().st_size // 2)
    os.kill(os.getpid(), signal.SIGKILL)


@pytest.mark.parametrize("moment", ["_fill", "sync", "_name"])
def test_a_backup_killed_half_way_looks_like_none(location: Location, file: Path, moment: str) -> None:
    """Killed in the middle of the copy, before it was on the disk, and before it had its name."""
    before = dump(file)
    child = os.fork()
    if child == 0:
        with Store.open(location, NOW) as store, pytest.MonkeyPatch.context() as patch:
            if moment == "_fill":  # in place of the last thing done to the copy, its check
                parts = folder_of(location).glob("*.part")
                patch.setattr(copies, "problems", lambda copied: half_written(next(iter(parts))))
            else:
                patch.setattr(copies, moment, lambda *_: os.kill(os.getpid(), signal.SIGKILL))
            keep_daily(store, lambda: OSLO, NOW)
        os._exit(70)
    assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == -signal.SIGKILL
    [left] = folder_of(location).iterdir()
    assert all_kept(folder_of(location)) == []
    assert dump(file) == before
    if moment == "_fill":
        assert not examine(left).sound
        with pytest.raises(BadFile, match="not restored"):
            restore(location, left, NOW)
    with Store.open(location, NOW) as store:
        assert keep_daily(store, lambda: OSLO, NOW), "the day still gets its backup"
    [made] = all_kept(folder_of(location))
    assert dump(made.file) == dump(file) == before


def test_a_disk_that_fills_up_meanwhile_leaves_no_backup(location: Location, file: Path) -> None:
    """A limit on the size of files stands for the full disk; RLIMIT_FSIZE refuses the write in the middle of it."""
    before = dump(file)
    reads, writes = os.pipe()
    child = os.fork()
    if child == 0:
        with Store.open(location, NOW) as store:
            signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
            resource.setrlimit(resource.RLIMIT_FSIZE, (file.stat().st_size // 2,) * 2)
            try:
                keep_daily(store, lambda: OSLO, NOW)
            except StoreTrouble as trouble:
                os.write(writes, str(trouble).encode())
        os._exit(0)
    os.waitpid(child, 0)
    os.close(writes)
    with os.fdopen(reads, encoding="utf-8") as said:
        line = said.read()
    assert "disk" in line
    assert "\n" not in line
    assert list(folder_of(location).iterdir()) == []
    assert dump(file) == before
    assert examine(file).sound


# what lies beside the record

OWN = {"finishes/my-oil.toml": b"name = 'my-oil'\n", "schedules/mine.toml": b"\xff no text at all \x00"}


def test_what_lies_beside_goes_along_and_the_record_stays_as_it_was(location: Location, file: Path) -> None:
    before = dump(file)
    with Store.open(location, NOW) as store:
        made = keep_daily(store, lambda: OSLO, NOW, lambda: OWN)
        add_one(store, 1)
    later = dump(file)
    assert made is not None
    assert examine(made).sound
    done = restore(location, made, NOW, {"finishes/my-oil.toml": b"other"})
    assert done.files == OWN
    assert dump(file) == before, "no table of files in the record itself"
    assert done.replaced is not None
    back = restore(location, done.replaced, NOW)
    assert back.files == {"finishes/my-oil.toml": b"other"}
    assert dump(file) == later


def test_files_that_are_refused_leave_all_as_it_was(location: Location, file: Path) -> None:
    with Store.open(location, NOW) as store:
        made = keep_daily(store, lambda: OSLO, NOW, lambda: OWN)
        add_one(store, 1)
    before = dump(file)

    def refuse(files: object) -> None:
        raise BadFile("x", "no such names")

    assert made is not None
    with pytest.raises(BadFile, match="no such names"):
        restore(location, made, NOW, None, refuse)
    assert dump(file) == before


def test_a_lost_database_comes_back(location: Location, file: Path, saved: Path) -> None:
    file.unlink()
    done = restore(location, saved, NOW)
    assert done.replaced is None
    assert dump(file) == dump(saved)
    assert stat.S_IMODE(file.stat().st_mode) == 0o600


def garbage(file: Path) -> None:
    file.write_bytes(os.urandom(9000))


def cut(file: Path) -> None:
    os.truncate(file, 6000)


def hole(file: Path) -> None:
    with file.open("r+b") as raw:
        raw.seek(4096)
        raw.write(b"\xff" * (file.stat().st_size - 4096))


@pytest.mark.parametrize("damage", [garbage, cut, hole])
@pytest.mark.parametrize("log", [False, True], ids=["alone", "with a log beside it"])
def test_a_damaged_database_is_kept_and_replaced(
    location: Location, file: Path, saved: Path, damage: Callable[[Path], None], log: bool
) -> None:
    damage(file)
    before = file.read_bytes()
    if log:
        file.with_name(file.name + "-wal").write_bytes(b"remains of a log")
    done = restore(location, saved, NOW)
    assert done.replaced is not None
    assert done.replaced.stat().st_size == len(before)
    assert dump(file) == dump(saved)
    with Store.open(location, NOW) as store:
        assert check(store) == []


@pytest.mark.parametrize("damage", [garbage, cut, hole])
def test_a_backup_that_fails_its_check_is_refused(
    location: Location, file: Path, saved: Path, damage: Callable[[Path], None]
) -> None:
    damage(saved)
    before = dump(file)
    with pytest.raises(BadFile, match="not restored") as caught:
        restore(location, saved, NOW)
    assert "\n" not in str(caught.value)
    assert dump(file) == before
    assert all_kept(folder_of(location)) == []


SPOILT = {
    "UPDATE alembic_version SET version_num = '9999'": "newer version",
    "DROP TRIGGER entry_no_delete": "trigger entry_no_delete is missing",
    "DROP INDEX ix_entry_voids": "index ix_entry_voids is missing",
    "DROP TABLE log_import": "table log_import is missing",
    "DELETE FROM place": "points at a place that is not there",
    "DROP TRIGGER entry_no_update; UPDATE entry SET kind = 'dance'": "trigger entry_no_update is missing",
    "DROP TABLE alembic_version": "another program's",
}


@pytest.mark.parametrize("sql", list(SPOILT))
def test_what_a_check_finds_and_a_restore_refuses(location: Location, file: Path, saved: Path, sql: str) -> None:
    with closing(sqlite3.connect(saved)) as plain:
        plain.executescript(sql)
    found = examine(saved)
    assert not found.sound
    assert SPOILT[sql] in " ".join(found.problems)
    with pytest.raises(BadFile):
        restore(location, saved, NOW)


def test_a_check_reads_each_entry(file: Path) -> None:
    with closing(sqlite3.connect(file)) as plain:
        trigger = plain.execute("SELECT sql FROM sqlite_master WHERE name = 'entry_no_update'").fetchone()[0]
        plain.executescript(f"DROP TRIGGER entry_no_update; UPDATE entry SET kind = 'dance'; {trigger}")
    assert [line for line in examine(file).problems if "entry 1" in line]


def test_a_check_changes_nothing(file: Path) -> None:
    before = file.read_bytes()
    assert examine(file).sound
    assert (examine(file).batches, examine(file).entries) == (1, 1)
    assert file.read_bytes() == before


def test_nothing_is_restored_under_somebody_elses_feet(location: Location, file: Path, saved: Path) -> None:
    before = dump(file)
    with Store.open(location, NOW) as elsewhere, elsewhere.read() as r:
        entries.last_number(r, 1)
        with pytest.raises(StoreTrouble, match="in use by another program"):
            restore(location, saved, NOW)
    assert dump(file) == before
    assert all_kept(folder_of(location)) == []


def test_the_database_itself_is_no_backup(location: Location, file: Path) -> None:
    with pytest.raises(BadInput, match="not the database itself"):
        restore(location, file, NOW)
    with pytest.raises(BadInput, match="a backup of one"):
        restore(location, file.with_name("nothing.db"), NOW)


def test_no_room_for_what_is_replaced(location: Location, file: Path, saved: Path) -> None:
    (location.home / "backups").write_text("a file where the folder should be")
    before = dump(file)
    with pytest.raises(StoreTrouble, match="no backup can be put"):
        restore(location, saved, NOW)
    assert dump(file) == before


def test_a_backup_lies_where_it_was_asked_for(saved: Path) -> None:
    with Store.open(at_file(saved), NOW) as store, store.read() as r:
        assert entries.entry_count(r, 1) == 1
