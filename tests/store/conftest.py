"""A store on a real file, with a place and a batch in it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from finishing.cure.work import Size
from finishing.store import Location, Store, at_file, batches, frozen, places

NOW = 490_000.25


@pytest.fixture
def location(tmp_path: Path) -> Location:
    """Where the test's database goes; nothing is there yet."""
    return at_file(tmp_path / "shop" / "finishing.db")


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
