"""A shop on a real file: Oslo time, a loft whose air never changes, a cold cellar."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from finishing.shop.shop import Shop
from finishing.store import at_file
from tests.shop.built import FILE, NOW, small_home


@pytest.fixture
def shop(tmp_path_factory: pytest.TempPathFactory, tmp_path: Path) -> Iterator[Shop]:
    """A copy of the small shop, open."""
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
