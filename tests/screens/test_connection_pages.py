"""Every page lives through a server that goes away while it is in front, whatever key is pressed then."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from finishing.cure.outlook import UsualDay
from finishing.screens.app import PAGES
from finishing.shop import places
from finishing.shop.cans import add_can
from finishing.shop.drafts import CanDraft
from finishing.shop.shop import Shop
from finishing.store import Location
from tests.databases import Server, private_server
from tests.screens.conftest import Run
from tests.screens.test_connection import until
from tests.shop.built import NOW, begin

LEAVES = {"q", "question_mark", "escape", "ctrl+c", "ctrl+p", "ctrl+q"}


@pytest.fixture(scope="module")
def server() -> Iterator[Server]:
    """A server to stop and start."""
    started = private_server()
    yield started
    started.remove()


@pytest.fixture(scope="module")
def home(server: Server, tmp_path_factory: pytest.TempPathFactory) -> Location:
    """A shop on it with a batch and a can."""
    location = Location(tmp_path_factory.mktemp("bench"), server.url.render_as_string())
    shop = Shop.open(NOW, location)
    places.add_place(shop, "loft", UsualDay(21.0, 21.0, 50.0, 50.0), NOW)
    begin(shop, "B-1")
    add_can(shop, CanDraft("wiping-varnish", 500.0), NOW)
    shop.close()
    return location


@pytest.mark.parametrize("page", [*PAGES, "batch", "guide"])
async def test_no_key_ends_it(server: Server, home: Location, run: Run, page: str) -> None:
    shop = Shop.open(NOW, home)
    try:
        async with run(shop) as seen:
            key = {"batch": "o", "guide": "g"}.get(page) or PAGES[page][0]
            await seen.keys(key)
            await seen.pilot.pause(0.3)
            keys = [k for k in seen.app.screen.active_bindings if k not in LEAVES]
            server.stop()
            try:
                await until(seen, lambda: "NO CONNECTION" in seen.lines()[0])
                for key in keys:
                    await seen.pilot.press(key)
                    await seen.pilot.pause()
                    if len(seen.app.screen_stack) > 3:
                        seen.app.pop_screen()
                assert seen.app.is_running
                assert seen.app._exception is None
            finally:
                server.start()
            await until(seen, lambda: shop.lost is None)
    finally:
        shop.close()
