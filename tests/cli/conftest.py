"""The command line run in this process, on a real database in a home of its own, with a clock that stands still."""

from __future__ import annotations

import json
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from freezegun import freeze_time
from freezegun.api import FrozenDateTimeFactory

# Imported before any clock is frozen: classes made while it is would keep the frozen datetime.
import finishing.library.adapters
import finishing.shop.sheets  # noqa: F401
from finishing.__main__ import main
from finishing.store import engine

NOW = "2026-03-10T08:00:00+00:00"
"""A Tuesday, 09:00 in Oslo."""


class Command:
    """Runs commands and keeps what they printed."""

    def __init__(self, capsys: pytest.CaptureFixture[str], home: Path) -> None:
        self._capsys, self.home = capsys, home

    def __call__(self, *words: str) -> tuple[int, str, str]:
        """Exit code, standard output, standard error."""
        self._capsys.readouterr()
        with pytest.raises(SystemExit) as left:
            main(list(words))
        out, err = self._capsys.readouterr()
        assert isinstance(left.value.code, int)
        return left.value.code, out, err

    def ok(self, *words: str) -> str:
        """Standard output of a command that must do its work and complain of nothing."""
        code, out, err = self(*words)
        assert (code, err) == (0, ""), f"{words}: {code} {err}"
        return out

    def json(self, *words: str) -> Any:
        """What such a command prints with --json, read back."""
        return json.loads(self.ok(*words, "--json"), parse_constant=_no_constant)

    def refused(self, *words: str, database: Path | None = None) -> str:
        """The one line of a command that must be refused and change nothing."""
        before = contents(self.home)
        code, out, err = self(*words)
        assert code == 2, f"{words}: {code} {out} {err}"
        assert out == ""
        assert err.startswith("finishing: ")
        assert err.endswith("\n")
        assert err.count("\n") == 1
        assert contents(self.home) == before
        return err.removeprefix("finishing: ").rstrip()


def _no_constant(name: str) -> None:
    raise AssertionError(f"{name} is no JSON")


def contents(home: Path) -> dict[str, Any]:
    """Every row of the database, and every other file's bytes but the backups, of which the day's may be taken."""
    found: dict[str, Any] = {}
    for path in sorted(p for p in home.rglob("*") if p.is_file()):
        if path.name.startswith("finishing.db") or path.parent.name == "backups":
            continue
        found[str(path)] = path.read_bytes()
    file = home / "finishing.db"
    if file.exists():
        with closing(sqlite3.connect(f"file:{file}?mode=ro", uri=True)) as plain:
            found["rows"] = list(plain.iterdump())
    return found


@pytest.fixture(scope="module", autouse=True)
def hastily(hasty: None) -> None:
    """None of these waits for the disk."""


@pytest.fixture(scope="module")
def frozen() -> Iterator[FrozenDateTimeFactory]:
    """One frozen clock for a module: to freeze it takes longer than a command."""
    with freeze_time(NOW) as made:
        yield made


@pytest.fixture
def clock(frozen: FrozenDateTimeFactory) -> FrozenDateTimeFactory:
    """The clock, standing at NOW; move it with move_to and an ISO string."""
    frozen.move_to(NOW)
    return frozen


@pytest.fixture
def run(own_home: Path, clock: FrozenDateTimeFactory, capsys: pytest.CaptureFixture[str]) -> Command:
    """Commands in an empty home."""
    return Command(capsys, own_home)


@pytest.fixture(scope="session")
def kept(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A home made once: Oslo time, a loft at 21 °C and 50 % RH, a cellar, and batch T-1 with nothing done yet."""
    home = tmp_path_factory.mktemp("kept") / "home"
    with pytest.MonkeyPatch.context() as patch, freeze_time(NOW):
        patch.setenv("FINISHING_HOME", str(home))
        for words in (
            ["settings", "zone", "Europe/Oslo"],
            ["place", "add", "loft", "--low", "21", "--high", "21", "--humidity", "50"],
            ["place", "add", "cellar", "--low", "9", "--high", "11", "--humidity", "60", "--rack", "20"],
            ["batch", "add", "--what", "tea trays", "--pieces", "4", "--size", "300x200x18", "--code", "T-1",
             "--species", "hard maple", "--schedule", "wiped-varnish-four", "--place", "loft"],
            ["can", "add", "wiping-varnish", "--volume", "500mL", "--lot", "W7", "--price", "24"],
            ["can", "add", "mineral-oil", "--volume", "1L"],
        ):  # fmt: skip
            with pytest.raises(SystemExit) as left:
                main(words)
            assert left.value.code == 0, words
    return home


@pytest.fixture
def shop(run: Command, kept: Path) -> Command:
    """Commands in a copy of that home. A locked database is waited for only briefly."""
    shutil.copytree(kept, run.home)
    return run


@pytest.fixture
def impatient(monkeypatch: pytest.MonkeyPatch) -> None:
    """Wait a fifth of a second for a locked database instead of five."""
    monkeypatch.setattr(engine, "BUSY_SECONDS", 0.2)
