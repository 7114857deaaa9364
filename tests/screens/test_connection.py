"""A bench whose server goes away: it says so, shows what it had, records nothing, and is right again afterwards."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from sqlalchemy import make_url

from finishing.cure.outlook import UsualDay
from finishing.shop import places, record
from finishing.shop.drafts import StepDraft
from finishing.shop.settings import change_setting
from finishing.shop.shop import Shop
from finishing.store import Location
from finishing.store.server import Listener
from tests.databases import Server, database, private_server
from tests.screens.conftest import Run, until
from tests.shop.built import NOW, ZONE, begin, small_database
from tests.store.cable import Cable, cable


@pytest.fixture
def server() -> Iterator[Server]:
    """A server to stop and start."""
    started = private_server()
    yield started
    started.remove()


@pytest.fixture
def shared(server: Server, tmp_path: Path) -> Iterator[Callable[[], Shop]]:
    """Opens a bench on it, as often as wanted."""
    opened: list[Shop] = []

    def one_more() -> Shop:
        shop = Shop.open(NOW, Location(tmp_path / f"bench-{len(opened)}", server.url.render_as_string()))
        opened.append(shop)
        return shop

    yield one_more
    for shop in opened:
        shop.close()


@pytest.fixture
def shared_cable(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[tuple[Cable, Shop]]:
    """A bench at the end of a cable that can be pulled, quick to lose patience."""
    monkeypatch.setattr(Listener, "BEAT_SECONDS", 0.3)
    monkeypatch.setattr(Listener, "ANSWER_SECONDS", 0.7)
    with database(small_database()) as url, cable(make_url(url)) as laid:
        shop = Shop.open(NOW, Location(tmp_path / "bench", laid.url.render_as_string(hide_password=False)))
        yield laid, shop
        shop.close()


async def test_a_bench_loses_its_server_and_gets_it_back(server: Server, shared: Callable[[], Shop], run: Run) -> None:
    shop, other = shared(), shared()
    change_setting(shop, "zone", ZONE, NOW)
    places.add_place(shop, "loft", UsualDay(21.0, 21.0, 50.0, 50.0), NOW)
    begin(shop, "B-1")
    begin(shop, "B-2")
    async with run(shop, size=(80, 24)) as seen:
        await seen.go_to("B-1")
        before = seen.list_lines()

        record.record_step(other, StepDraft("B-2"), NOW)  # another bench's work shows by itself
        await until(seen, lambda: seen.list_lines() != before)

        await seen.keys("c")  # a card is open when the server goes
        assert seen.card == "RecordStep"
        before = seen.list_lines()
        server.stop()
        await seen.keys("enter")
        assert any("does not answer" in said for said, _ in seen.said)
        await until(seen, lambda: "NO CONNECTION · as of 09:00" in seen.lines()[0])
        assert [line for line in seen.list_lines() if "B-" in line] == [line for line in before if "B-" in line]
        for key in ("c", "d", "n", "o", "t", "g", "u", "3", "6"):
            await seen.keys(key)
            assert seen.card == "BenchScreen", key
        await seen.keys("down", "up", "question_mark", "escape")

        server.start()
        await until(seen, lambda: "NO CONNECTION" not in seen.lines()[0])
        assert any("connection is back" in said for said, _ in seen.said)
        assert shop.standing("B-1", NOW).entries == []  # nothing was put by to be written later
        await seen.go_to("B-1")
        await seen.keys("c", "enter")
        assert len(other.standing("B-1", NOW).entries) == 1


async def test_a_cable_is_pulled_and_no_key_hangs(shared_cable: tuple[Cable, Shop], run: Run) -> None:
    laid, shop = shared_cable
    begin(shop)
    async with run(shop, size=(80, 24)) as seen:
        await until(seen, lambda: shop.store.data_version() > 0)
        await seen.keys("c")
        laid.pull()
        began = time.monotonic()
        await seen.keys("enter")  # before anybody knew: the server is asked, and the answer never comes
        assert any("does not answer" in said for said, _ in seen.said), seen.said
        await until(seen, lambda: "NO CONNECTION · as of 09:00" in seen.lines()[0])
        await seen.keys("c", "d", "n", "u", "down")
        assert seen.card == "BenchScreen"
        assert time.monotonic() - began < 5.0
        laid.plug()
        await until(seen, lambda: "NO CONNECTION" not in seen.lines()[0])
        assert shop.standing("B-1", NOW).entries == []
        await seen.keys("c", "enter")
        assert len(shop.standing("B-1", NOW).entries) == 1
