"""Trouble with the disk, the folder and the clock, as a maker meets it: one line, nothing changed, what to do next."""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
import sys
import tempfile
import traceback
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path

import pytest
from freezegun.api import FrozenDateTimeFactory

from finishing.__main__ import main

from .conftest import Command, contents

BEGIN = ("--what", "trays", "--pieces", "4", "--species", "maple", "--schedule", "wiped-varnish-four")


@pytest.mark.parametrize(
    "words",
    [
        ("batch", "add", *BEGIN, "--size", "12x8"),
        ("batch", "add", *BEGIN, "--size", "300x200x18", "--place", "nowhere"),
        ("record", "coat", "T-1", "--at", "half past"),
        ("record", "step", "T-1"),
        ("can", "add", "no-such-finish", "--volume", "1L"),
        ("place", "add", "loft", "--low", "20", "--high", "10"),
        ("settings", "zone", "Oslo"),
        ("readings", "import", "nowhere.csv", "--place", "loft"),
    ],
    ids=" ".join,
)
def test_a_slip_in_an_empty_home_leaves_nothing_behind(run: Command, words: tuple[str, ...]) -> None:
    run.refused(*words)
    assert not run.home.exists()


def test_looking_in_an_empty_home_leaves_nothing_behind(run: Command) -> None:
    for words in (("due",), ("batch", "list"), ("place", "list"), ("settings",)):
        run.ok(*words)
    assert not run.home.exists()
    run.ok("place", "add", "loft", "--low", "9", "--high", "18")
    assert [place["name"] for place in run.json("place", "list")] == ["loft"]


def test_a_clock_set_back_records_nothing_by_itself(shop: Command, clock: FrozenDateTimeFactory) -> None:
    shop.ok("record", "step", "T-1")
    clock.move_to("2026-03-09T08:00:00+00:00")
    said = shop.refused("record", "step", "T-1")
    assert "this machine's clock: got '2026-03-09T08:00:00" in said
    assert "set it right, or say when it was with --at" in said
    assert "T-1" in shop.ok("due"), "looking goes on"
    shop.ok("record", "step", "T-1", "--at", "2026-03-09 08:30")
    clock.move_to("2026-03-10T07:50:00+00:00")  # ten minutes are what two benches' clocks may differ by
    shop.ok("record", "step", "T-1")


@pytest.mark.parametrize("moment", ["1970-01-01T00:00:10+00:00", "1999-12-31T08:00:00+00:00", "2203-01-01T08:00:00Z"])
def test_a_clock_that_was_never_set(shop: Command, clock: FrozenDateTimeFactory, moment: str) -> None:
    clock.move_to(moment)
    for words in (("due",), ("record", "step", "T-1"), ("backup",)):
        assert "this machine's clock" in shop.refused(*words)


def test_another_zone_moves_no_instant(shop: Command) -> None:
    shop.ok("record", "step", "T-1")
    before = shop.json("batch", "show", "T-1")["record"][0]["at"]
    shop.ok("settings", "zone", "Pacific/Auckland")
    after = shop.json("batch", "show", "T-1")["record"][0]["at"]
    assert (before, after) == ("2026-03-10T09:00:00+01:00", "2026-03-10T21:00:00+13:00")


LIMITED = """
import resource, sys
import finishing.cli.readings.logs as logs
from finishing.__main__ import main
size, read = int(sys.argv[1]), logs.read_log

def read_then_fill(*arguments, **options):
    log = read(*arguments, **options)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, size))
    return log

logs.read_log = read_then_fill
main(sys.argv[2:])
"""


@pytest.mark.skipif(sys.platform == "win32", reason="needs a limit on the size of files")
def test_a_disk_that_takes_no_more(shop: Command, tmp_path: Path) -> None:
    """A limit on file sizes stands for the full disk: the operating system refuses the write in the middle of it.

    It comes once the log is read, so that it is the database which runs into it.
    """
    log = tmp_path / "log.csv"
    rows = "\n".join(f"{1_600_000_000 + 600 * i},20,50" for i in range(30_000))
    log.write_text(f"time,temperature (C),humidity\n{rows}\n")
    before = contents(shop.home)
    done = subprocess.run(
        [sys.executable, "-c", LIMITED, "400000", "readings", "import", str(log), "--place", "loft"],
        capture_output=True, text=True, env={**os.environ, "FINISHING_HOME": str(shop.home)},
    )  # fmt: skip
    assert (done.returncode, done.stdout) == (2, ""), done.stderr
    assert done.stderr.count("\n") <= 2, done.stderr  # the day's backup may have failed as well, and says so
    assert "disk" in done.stderr
    assert contents(shop.home) == before
    assert shop.json("check")["sound"]


def nobody(said: Path, *words: str) -> int:
    """Run a command as a user who owns nothing where we may do anything, else as we are; its exit code.

    said: a file of ours, which is filled with all that it prints.
    """
    handle = os.open(said, os.O_WRONLY | os.O_TRUNC)
    child = os.fork()
    if child == 0:
        code = 70
        try:
            if os.geteuid() == 0:
                os.setgid(65534)
                os.setuid(65534)
            for stream in (1, 2):
                os.dup2(handle, stream)
            sys.stdout, sys.stderr = (os.fdopen(stream, "w", closefd=False) for stream in (1, 2))
            main(list(words))
        except SystemExit as left:
            code = left.code if isinstance(left.code, int) else 71
        finally:
            if code >= 70:
                traceback.print_exc()
            sys.stdout.flush()
            sys.stderr.flush()
            os._exit(code)
    os.close(handle)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])


@pytest.fixture
def others_may_look(run: Command, kept: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Command]:
    """The shop in a folder that another user may go into, as none of a test's own folders is."""
    with tempfile.TemporaryDirectory(prefix="finishing-test-") as folder:
        Path(folder).chmod(0o755)
        run.home = Path(folder) / "home"
        shutil.copytree(kept, run.home)
        monkeypatch.setenv("FINISHING_HOME", str(run.home))
        yield run


def keep_no_log(file: Path) -> None:
    """As an older SQLite keeps it."""
    with closing(sqlite3.connect(file)) as plain:
        plain.execute("PRAGMA journal_mode = DELETE")


def leave_a_log(file: Path) -> None:
    """Copied while a program had it open: what was recorded last, another kind of piece, is in the log alone."""
    with closing(sqlite3.connect(file)) as plain:
        plain.execute("PRAGMA wal_autocheckpoint = 0")
        plain.execute("UPDATE batch SET what = 'bread boards'")
        plain.commit()
        for end in ("", "-wal"):
            shutil.copyfile(f"{file}{end}", f"{file}{end}.copied")
    for end in ("", "-wal"):
        os.replace(f"{file}{end}.copied", f"{file}{end}")


@pytest.mark.skipif(sys.platform == "win32", reason="needs another user's rights")
@pytest.mark.filterwarnings("ignore:This process:DeprecationWarning")
@pytest.mark.parametrize(
    ("leave", "what"), [(keep_no_log, "tea trays"), (lambda file: None, "tea trays"), (leave_a_log, "bread boards")]
)
def test_a_folder_that_may_only_be_read(
    others_may_look: Command, tmp_path: Path, leave: Callable[[Path], None], what: str
) -> None:
    shop, said = others_may_look, tmp_path / "said"
    said.touch()

    def heard(*words: str) -> tuple[int, str]:
        return nobody(said, *words), said.read_text()

    for words in READING:
        shop.ok(*words)  # what is imported late is imported now, as nobody might not
    shop.ok("record", "step", "T-1")
    leave(shop.home / "finishing.db")
    if os.geteuid() == 0:
        for path in (shop.home, *shop.home.rglob("*")):
            os.chown(path, 65534, 65534)
    before = {path: path.read_bytes() for path in shop.home.rglob("*") if path.is_file()}
    for path in (shop.home / "finishing.db", shop.home):
        path.chmod(0o555 if path.is_dir() else 0o444)

    line = "may only be read: nothing can be recorded, and the day's backup is left out"
    try:
        for words in READING:
            code, all_of_it = heard(*words)
            assert (code, all_of_it.count(line)) == (0, 1), all_of_it
        assert what in heard("due")[1]
        code, found = heard("check")
        assert (code, "sound (layout" in found) == (0, True), found
        for words in RECORDING:
            code, all_of_it = heard(*words)
            assert (code, all_of_it.count("\n")) == (2, 1), all_of_it
            assert "may not be written to; give yourself the right" in all_of_it
    finally:
        shop.home.chmod(0o755)
    assert {path: path.read_bytes() for path in shop.home.rglob("*") if path.is_file()} == before


READING = (("due",), ("batch", "show", "T-1"), ("trace", "W7"), ("find", "maple"))
RECORDING = (("record", "step", "T-1"), ("can", "empty", "1"), ("settings", "units", "imperial"),
             ("readings", "watch", "/", "--place", "loft"))  # fmt: skip
