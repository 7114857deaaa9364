"""A shop on a real database: Oslo time, a loft whose air never changes, a cold cellar.

Every test with it runs twice, on SQLite and on PostgreSQL; those marked `sqlite_only` are about the file itself.
"""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from finishing.shop.shop import Shop
from finishing.store import Location, at_file
from tests.databases import database, kinds_for
from tests.shop.built import FILE, NOW, small_database, small_home


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    """Each test on both kinds of database, unless it is about one of them."""
    if "kind" in metafunc.fixturenames:
        metafunc.parametrize("kind", kinds_for(metafunc.definition))


@pytest.fixture
def shop(kind: str, tmp_path_factory: pytest.TempPathFactory, tmp_path: Path) -> Iterator[Shop]:
    """A copy of the small shop, open."""
    if kind == "postgresql":
        with database(small_database()) as url:
            opened = Shop.open(NOW, Location(tmp_path / "shop", url))
            yield opened
            opened.close()
        return
    shutil.copytree(small_home(tmp_path_factory), tmp_path / "shop")
    opened = Shop.open(NOW, at_file(tmp_path / "shop" / FILE))
    yield opened
    opened.close()


@pytest.fixture
def other(shop: Shop) -> Iterator[Shop]:
    """The same file, open a second time: what another bench or a command would hold."""
    opened = Shop.open(NOW, shop.store.location)
    yield opened
    opened.close()
