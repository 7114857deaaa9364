"""A shop that may only be read: every page shows what there is, says so at the top, and asks nothing for nothing."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from finishing.shop.shop import Shop
from finishing.store import Location
from tests.screens.conftest import Run
from tests.shop.built import NOW, begin


@pytest.fixture
def only_read(shop: Shop) -> Iterator[Shop]:
    """The small shop with a batch, as one who may only read it opens it."""
    begin(shop)
    file = shop.store.location.file
    assert file is not None
    opened = Shop.open(NOW, Location(file.parent, f"sqlite:///file:{file}?mode=ro&uri=true"))
    yield opened
    opened.close()


async def test_it_is_said_and_nothing_is_asked(only_read: Shop, run: Run) -> None:
    async with run(only_read, NOW, (80, 24)) as seen:
        assert " READ ONLY " in seen.lines()[0]
        assert ["may only be read: nothing can be recorded" in n.message for n in seen.app._notifications] == [True]
        for keys in ("c", "n", "u", "o,c", "3,n", "4,t", "4,n", "4,w", "4,i", "4,x", "5,enter"):
            said = len(seen.said)
            await seen.keys("escape", "escape", *keys.split(","))
            assert len(seen.said) > said, keys
            assert "may only be read" in seen.said[-1][0]
            assert " READ ONLY " in seen.lines()[0], f"{keys}: no card is in front"


async def test_a_guide_is_shown_and_not_begun(only_read: Shop, run: Run) -> None:
    async with run(only_read, NOW) as seen:
        await seen.keys("g")
        assert seen.card == "PassGuide"
        await seen.keys("s")
        assert "may not be written to" in " ".join(seen.text().split())
