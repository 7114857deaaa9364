"""A shop moved to another database; and the maker's own files, which are no rows of it."""

from __future__ import annotations

import stat
from pathlib import Path

import psycopg  # noqa: F401  # before any clock is frozen
import pytest

from tests.databases import database

from .conftest import Command

MINE = "name = 'my-oil'\n"


def own_file(home: Path) -> Path:
    """A finish of the maker's own."""
    mine = home / "finishes" / "my-oil.toml"
    mine.parent.mkdir()
    mine.write_text(MINE)
    return mine


def test_own_files_go_along_to_another_home(shop: Command, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    own_file(shop.home)
    there = tmp_path / "there"
    said = shop.ok("move-to", f"sqlite:///{there}/finishing.db")
    assert f"set FINISHING_HOME to {there}" in said
    assert "your own finishes/my-oil.toml went along" in said
    copied = there / "finishes" / "my-oil.toml"
    assert copied.read_text() == MINE
    assert stat.S_IMODE(copied.stat().st_mode) == 0o600
    before = shop.ok("due")
    monkeypatch.setenv("FINISHING_HOME", str(there))
    assert shop.ok("due") == before


def test_another_file_of_that_name_there_is_left_and_nothing_moved(shop: Command, tmp_path: Path) -> None:
    own_file(shop.home)
    there = tmp_path / "there"
    there.mkdir()
    theirs = own_file(there)
    theirs.write_text("theirs")
    said = shop.refused("move-to", f"sqlite:///{there}/finishing.db")
    assert "a folder without another finishes/my-oil.toml of its own" in said
    assert theirs.read_text() == "theirs"
    assert not (there / "finishing.db").exists()


def test_own_files_that_stay_are_named(shop: Command, tmp_path: Path) -> None:
    """A file of another name is reached by FINISHING_DATABASE, with the folder as it was."""
    other = f"sqlite:///{tmp_path}/other.db"
    assert "your own" not in shop.ok("move-to", other)
    own_file(shop.home)
    said = shop.ok("move-to", f"sqlite:///{tmp_path}/third.db")
    assert f"your own finishes/my-oil.toml stay in {shop.home}; copy them to each other bench's folder" in said
    assert not (tmp_path / "finishes").exists()
    assert "it has rows in" in shop.refused("move-to", other)


def test_to_a_server(shop: Command) -> None:
    own_file(shop.home)
    with database() as url:
        done = shop.json("move-to", url)
        assert (done["own_files"], done["own_folder"]) == (["finishes/my-oil.toml"], str(shop.home))
        assert done["rows"]["batch"] == 1
