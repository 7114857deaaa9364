"""A store on a real database, with a place and a batch in it: every test twice, on SQLite and on PostgreSQL.

Tests marked `sqlite_only` are about the file itself.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from finishing.cure.work import Size
from finishing.store import Location, Store, at_file, batches, frozen, places
from tests.databases import database, kinds_for, template

NOW = 490_000.25


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    """Each test on both kinds of database, unless it is about one of them."""
    if "kind" in metafunc.fixturenames:
        metafunc.parametrize("kind", kinds_for(metafunc.definition))


@pytest.fixture
def empty(kind: str, tmp_path: Path) -> Iterator[Location]:
    """Where a database goes that has nothing in it yet."""
    if kind == "sqlite":
        yield at_file(tmp_path / "shop" / "finishing.db")
        return
    with database() as url:
        yield Location(tmp_path / "shop", url)


@pytest.fixture
def location(kind: str, tmp_path: Path) -> Iterator[Location]:
    """Where the test's database goes; a file is not there yet, a server's has its tables, which take long to make."""
    if kind == "sqlite":
        yield at_file(tmp_path / "shop" / "finishing.db")
        return
    with database(template("empty", _migrated)) as url:
        yield Location(tmp_path / "shop", url)


def _migrated(url: str) -> None:
    Store.open(Location(Path(), url), NOW).close()


@pytest.fixture
def store(location: Location) -> Iterator[Store]:
    """An open store with nothing in it."""
    with Store.open(location, NOW) as opened:
        yield opened


@pytest.fixture
def batch_id(store: Store) -> int:
    """A batch in the loft."""
    return begin(store, "B1")


def begin(store: Store, code: str, place: str = "loft") -> int:
    """Begin a batch, with what it needs if that is not there yet."""
    with store.write() as w:
        if place not in [p.name for p in places.all_places(w)]:
            places.create(w, place, NOW)
        key = frozen.freeze(w, '{"schedule":"invented"}')
        woods = (batches.Wood("walnut", 0.7), batches.Wood("maple", 0.3))
        new = batches.NewBatch(code, "tray", 3, woods, "oil-3", key, place, Size(300.0, 200.0, 18.0), NOW + 300)
        made = batches.create(w, new, NOW)
        w.commit()
    return made
