"""Files of every released layout, with something in every table, come up to date and lose nothing."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from finishing.shop.shop import Shop
from finishing.store import at_file, check, schema
from finishing.store.kept import all_kept
from finishing.store.sound import examine
from tests.store.kills import NOW, ask, released

FOLDER = Path(__file__).with_name("released")

REVISIONS = sorted(path.stem for path in FOLDER.glob("*.sql"))


def tables(file: Path) -> list[str]:
    """The tables of the record."""
    query = "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%'"
    return [name for (name,) in ask(file, query) if name != "alembic_version"]


def rows(file: Path, table: str, columns: str) -> list[tuple[object, ...]]:
    """Every row, in order."""
    found: list[tuple[object, ...]] = ask(file, f"SELECT {columns} FROM {table}")
    return sorted(found, key=repr)


def columns(file: Path, table: str) -> list[str]:
    """The columns a table has."""
    return [row[1] for row in ask(file, f"PRAGMA table_info({table})")]


def test_every_migration_there_is_has_its_file() -> None:
    assert set(REVISIONS) == schema.known(), "python -m tests.store.make_released writes down a new layout"


@pytest.mark.parametrize("revision", REVISIONS)
def test_the_file_is_as_its_migration_made_it(tmp_path: Path, revision: str) -> None:
    found = examine(released(revision, tmp_path / "old.db"))
    assert (found.revision, found.problems) == (revision, ())


@pytest.mark.parametrize("revision", REVISIONS)
def test_it_comes_up_to_date_and_loses_nothing(tmp_path: Path, revision: str) -> None:
    old, file = (released(revision, tmp_path / name) for name in ("old.db", "finishing.db"))
    mine = own_files(tmp_path)
    shop = Shop.open(NOW + 40, at_file(file))
    try:
        assert check(shop.store) == []
        assert {row[0] for row in ask(file, "SELECT version_num FROM alembic_version")} == {schema.HEAD}
        standing = shop.standing("R-1", NOW + 40)
        assert standing.batch.schedule.name == "wiped-varnish-four"
        assert len(standing.entries) == 5
        assert [coat.at for coat in standing.fold.coats] == [NOW + 1]
        assert shop.settings.maker == "Åse"
    finally:
        shop.close()
    for table in tables(old):
        assert rows(old, table, "*"), f"{table} has nothing in it to lose"
        same = ", ".join(c for c in columns(old, table) if c in columns(file, table))
        assert rows(file, table, same) == rows(old, table, same)
    assert examine(file).sound
    kept = all_kept(tmp_path / "backups")
    assert [k.why for k in kept] == ([] if revision == schema.HEAD else [f"before-{schema.HEAD}"])
    for k in kept:
        assert rows(k.file, "entry", "*") == rows(old, "entry", "*")
        assert rows(k.file, "own_file", "path, body") == [("finishes/my-oil.toml", mine)]
    assert "own_file" not in tables(file)


def own_files(home: Path) -> bytes:
    """A finish of the maker's own in a home, and one that can't be read, which must hold nothing up."""
    (home / "finishes").mkdir()
    (home / "finishes" / "gone.toml").symlink_to(home / "nowhere.toml")
    (home / "finishes" / "my-oil.toml").write_bytes(b"name = 'my-oil'\n")
    return b"name = 'my-oil'\n"


@pytest.mark.parametrize("revision", REVISIONS)
def test_a_row_that_points_at_nothing_stops_the_change_and_leaves_the_file(tmp_path: Path, revision: str) -> None:
    if revision == schema.HEAD:
        pytest.skip("nothing to change")
    file = released(revision, tmp_path / "finishing.db")
    with closing(sqlite3.connect(file)) as plain:
        plain.execute("DELETE FROM place")
        plain.commit()
    before = file.read_bytes()
    with pytest.raises(Exception, match="points at a place that is not there"):
        Shop.open(NOW, at_file(file))
    assert file.read_bytes() == before
