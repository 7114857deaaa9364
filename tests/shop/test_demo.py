"""The invented shop: whole, marked as invented, and the same work at whatever hour it is opened."""

from __future__ import annotations

import shutil
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from finishing.clock import at_zone
from finishing.cure.work import CoatEntry, TestEntry
from finishing.library.content import shipped
from finishing.shop import cans
from finishing.shop.bench import Group
from finishing.shop.demo import MARK, build_demo, is_demo, mark_demo, open_demo
from finishing.shop.learning.sheet import lines
from finishing.shop.shop import Shop
from finishing.store import at_file, check
from tests.shop.built import EVENING, FILE, ZONE, demo_home, local


@pytest.fixture
def demo(tmp_path_factory: pytest.TempPathFactory, tmp_path: Path) -> Iterator[Shop]:
    """A copy of the invented shop, open."""
    shutil.copytree(demo_home(tmp_path_factory), tmp_path / "demo")
    shop = open_demo(tmp_path / "demo", EVENING)
    yield shop
    shop.close()


@pytest.fixture(scope="session")
def scenario() -> list[dict[str, Any]]:
    """The batches of the scenario's own file."""
    found: list[dict[str, Any]] = tomllib.loads((shipped("data") / "demo" / "shop.toml").read_text("utf-8"))["batches"]
    return found


def accounted_for(shop: Shop, scenario: list[dict[str, Any]], now: float) -> None:
    """Every batch is there with an entry for every event, in order, by day, and none ahead of now."""
    rows = {row.code: row for row in shop.bench(now).rows}
    open_ones = [b["code"] for b in scenario if not any(event["do"] == "close" for event in b["events"])]
    assert sorted(rows) == sorted(open_ones)
    for batch in scenario:
        standing = shop.standing(batch["code"], now)
        assert (standing.row.what, standing.row.pieces) == (batch["what"], batch["pieces"])
        entries = standing.entries
        assert len(entries) == len(batch["events"])
        assert [entry.at for entry in entries] == sorted(entry.at for entry in entries)
        for event, entry in zip(batch["events"], entries, strict=True):
            assert entry.at <= now
            # A night's events are moved to the evening before, minutes apart; nobody is up from eleven to seven.
            assert 7 <= at_zone(entry.at, ZONE).hour < 23 or entry.at == now
            assert isinstance(entry, CoatEntry) == (event["do"] == "coat")
            assert isinstance(entry, TestEntry) == (event["do"] == "test")


def test_as_built(demo: Shop, scenario: list[dict[str, Any]]) -> None:
    accounted_for(demo, scenario, EVENING)
    assert {row.group for row in demo.bench(EVENING).rows} == set(Group)
    assert check(demo.store) == []
    for place in demo.places():
        measured = demo.rack(EVENING).air[place.name].measured
        assert measured is not None
        assert EVENING - 1 < measured[1] <= EVENING


@pytest.mark.parametrize(
    "clock",
    [
        "2026-11-27 02:20",  # in the night
        "2026-03-30 09:00",  # with the night that skips an hour behind it
        "2026-10-25 02:30",  # in the night that has an hour twice
    ],
)
def test_at_any_hour_every_event_succeeds(tmp_path: Path, scenario: list[dict[str, Any]], clock: str) -> None:
    now = local(clock)
    shop = build_demo(tmp_path, now, zone=ZONE)
    try:
        accounted_for(shop, scenario, now)
        assert {Group.NOW, Group.RESTING, Group.READY} <= {row.group for row in shop.bench(now).rows}
        varnish = next(line for line in lines(shop, now) if line.finish.name == "wiping-varnish")
        assert varnish.surprising == 1, "the coat put on too heavy, and no other"
        assert varnish.found is not None
        assert 1.1 < varnish.found.middle < 1.4, "a little slower than stated, as the scenario says"
    finally:
        shop.close()


def test_it_says_that_it_is_invented(demo: Shop, tmp_path: Path) -> None:
    assert demo.invented
    assert not Shop.open(EVENING, at_file(tmp_path / "mine" / FILE)).invented
    assert not is_demo(tmp_path / "demo")
    mark_demo(tmp_path / "demo")
    assert is_demo(tmp_path / "demo")
    kept = Shop.open(EVENING, at_file(tmp_path / "demo" / FILE))
    assert kept.invented, "also by a command that opens a maker's own"
    kept.close()
    assert (tmp_path / "demo" / MARK).read_text("utf-8").startswith("This shop is invented")
    text = (shipped("data") / "demo" / "shop.toml").read_text("utf-8")
    assert text.startswith("# An INVENTED shop")


def test_can_amounts_and_wanted_dates_come_from_the_scenario(demo: Shop, scenario: list[dict[str, Any]]) -> None:
    poured: dict[str, float] = {}
    for batch in scenario:
        for event in batch["events"]:
            if "can" in event:
                poured[event["can"]] = poured.get(event["can"], 0.0) + event["amount_ml"]
    for row, left in cans.shelf(demo):
        assert left == pytest.approx(row.can.volume_ml - poured.get(row.can.finish, 0.0))
    for batch in scenario:
        wanted = demo.standing(batch["code"], EVENING).row.wanted_by
        if "wanted_days" not in batch:
            assert wanted is None
        else:
            assert wanted is not None
            day = at_zone(EVENING, ZONE).add(days=batch["wanted_days"])
            assert at_zone(wanted, ZONE) == day.set(hour=8, minute=0, second=0)
