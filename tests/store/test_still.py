"""A file that may only be read is read whole, follows what others write, and takes nothing."""

from __future__ import annotations

import os
import sqlite3
import subprocess
import sys
import tempfile
from contextlib import closing
from pathlib import Path

import pytest

from finishing.errors import StoreTrouble
from finishing.store import Location, Store, at_file, settings, still
from finishing.store.sound import examine
from tests.store.conftest import NOW
from tests.store.kills import released

pytestmark = pytest.mark.sqlite_only


def only_read(file: Path) -> Location:
    """The file as one who may only read it is given it."""
    return Location(file.parent, f"sqlite:///file:{file}?mode=ro&uri=true")


def put(store: Store, value: str) -> None:
    """Record something."""
    with store.write() as w:
        settings.put(w, "a", value, NOW)
        w.commit()


def said(store: Store) -> object:
    """What was recorded last."""
    with store.read() as r:
        return settings.all_settings(r).get("a")


@pytest.fixture
def file(location: Location) -> Path:
    """A file with a first word in it, closed."""
    with Store.open(location, NOW) as store:
        put(store, "first")
    assert location.file is not None
    return location.file


def test_it_follows_what_others_write_and_takes_nothing(file: Path, location: Location) -> None:
    with Store.open(only_read(file), NOW) as reader, Store.open(location, NOW) as writer:
        before = reader.data_version()
        assert (reader.read_only, writer.read_only, said(reader)) == (True, False, "first")
        put(writer, "second")
        assert (said(reader), reader.data_version() != before) == ("second", True)
        with pytest.raises(StoreTrouble, match="may not be written to; give yourself"):
            put(reader, "third")
        writer.must_take()
        with pytest.raises(StoreTrouble, match="may not be written to"):
            reader.must_take()


@pytest.mark.parametrize("left_over", [False, True])
def test_where_nothing_can_be_put_beside_it(
    file: Path, location: Location, monkeypatch: pytest.MonkeyPatch, tmp_path: Path, left_over: bool
) -> None:
    """Read as it stands; where a log was left over, with what is in the log alone, from a copy that goes again."""
    monkeypatch.setattr(still, "_opens", lambda uri: False)
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    with Store.open(location, NOW) as writer:
        if left_over:
            put(writer, "in the log")
        else:
            writer.close()
        alone = [path.name for path in file.parent.iterdir()]
        with Store.open(only_read(file), NOW) as reader:
            assert said(reader) == ("in the log" if left_over else "first")
            assert len(list(tmp_path.glob("finishing-read-*"))) == left_over
            assert examine(file).sound
            before = reader.data_version()
            assert reader.data_version() == before
            put(writer, "since")
            assert said(reader) == "since"
            assert reader.data_version() != before
        assert list(tmp_path.glob("finishing-read-*")) == []
        assert set(alone) <= {path.name for path in file.parent.iterdir()}


def test_a_name_of_any_characters(file: Path, tmp_path: Path) -> None:
    odd = tmp_path / "a shop 100% #1?" / "finishing.db"
    odd.parent.mkdir()
    os.rename(file, odd)
    with closing(still.Still(odd)) as found, found.engine().connect() as connection:
        assert connection.exec_driver_sql("SELECT count(*) FROM setting").scalar() == 1


def test_an_older_layout_and_an_empty_file_are_refused_untouched(tmp_path: Path) -> None:
    older = released("0001", tmp_path / "older.db")
    before = older.read_bytes()
    with pytest.raises(StoreTrouble, match=r"layout of an earlier version \(0001\), and may not be written to; give"):
        Store.open(only_read(older), NOW)
    assert older.read_bytes() == before
    empty = tmp_path / "empty.db"
    sqlite3.connect(empty).close()
    empty.touch()
    with pytest.raises(StoreTrouble, match="has nothing in it"):
        Store.open(only_read(empty), NOW)
    assert not (tmp_path / "backups").exists()


LIMITED = """
import resource, shutil, sys
from collections import namedtuple
from pathlib import Path
from finishing.errors import StoreTrouble
from finishing.store import Store, at_file, settings
file = Path(sys.argv[1])
resource.setrlimit(resource.RLIMIT_FSIZE, (0, resource.RLIM_INFINITY))  # no file may grow, as on a full disk
shutil.disk_usage = lambda folder: namedtuple("usage", "total used free")(1 << 30, 1 << 30, 0)
with Store.open(at_file(file), 1.0) as store:
    with store.read() as r:
        print(settings.all_settings(r)["maker"])
    try:
        store.must_take()
    except StoreTrouble as trouble:
        print(trouble)
"""


def test_a_full_disk_is_still_read_and_named(tmp_path: Path) -> None:
    """The system's limit on the size of files stands for the disk (POSIX, setrlimit: RLIMIT_FSIZE)."""
    pytest.importorskip("resource", reason="no limits of POSIX on this system")
    file = tmp_path / "finishing.db"
    with Store.open(at_file(file), NOW) as store, store.write() as w:
        settings.put(w, "maker", "Ann", NOW)
        w.commit()
    done = subprocess.run([sys.executable, "-c", LIMITED, str(file)], capture_output=True, text=True, check=False)
    said = f"Ann\nthe database {file} has no room left on its disk; make room, then enter it again\n"
    assert (done.returncode, done.stdout, done.stderr) == (0, said, "")
