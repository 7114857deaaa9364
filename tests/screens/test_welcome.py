"""The first run: set up by keys and by mouse, in one piece or not at all; or the invented shop instead."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from textual.widgets import Input, Select

from finishing.cure.outlook import UsualDay
from finishing.errors import BadInput
from finishing.screens.pages.welcome import Look, Welcome
from finishing.shop import places
from finishing.shop.settings import FirstRun, begin_shop, is_new
from finishing.shop.shop import Shop
from finishing.store import Store, at_file
from finishing.store.places import all_places
from finishing.store.settings import all_settings
from tests.screens.conftest import Run, Seen, released, type_in
from tests.shop.built import NOW


@pytest.fixture
def empty(tmp_path: Path) -> Iterator[Shop]:
    """A shop nobody has set up."""
    shop = Shop.open(NOW, at_file(tmp_path / "new" / "finishing.db"))
    yield shop
    shop.close()


def on_disk(shop: Shop) -> tuple[dict[str, object], list[str]]:
    """Settings and places as another program finds them."""
    with Store.open(shop.store.location, NOW) as store, store.read() as r:
        return all_settings(r), [place.name for place in all_places(r)]


async def welcome(seen: Seen) -> list[object]:
    """The welcome in front, and what it answers."""
    answers: list[object] = []
    while seen.card != "BenchScreen":
        seen.app.pop_screen()
        await seen.pilot.pause()
    seen.app.push_screen(Welcome(seen.app.shop, lambda: NOW), answers.append)
    await seen.pilot.pause()
    return answers


async def test_a_new_shop_in_a_few_keys(empty: Shop, run: Run) -> None:
    assert is_new(empty)
    async with run(empty, NOW, (80, 24)) as seen:
        assert seen.card == "Welcome"  # the app puts it over the bench of a new shop
        for words in ("units", "where pieces dry", "usual low", "working hours", "Look at an invented shop", "Not now"):
            assert words in seen.text(), words
        await type_in(seen, "9")  # where the first thing is missing
        await seen.keys("enter")
        assert "usual high" in seen.text()
        assert on_disk(empty) == ({}, [])
        await type_in(seen, "18")
        await seen.keys("enter")
        assert seen.card == "BenchScreen"
        assert seen.said[-1][0] == "bench room: ready for the first batch"
        found, names = on_disk(empty)
        assert (found["units"], found["hours"], names) == ("metric", "mon-fri 08:00-12:00 13:00-17:00", ["bench room"])
        assert places.sheet(empty, "bench room", NOW).typed == UsualDay(9.0, 18.0, 50.0, 50.0)
        assert not is_new(empty)


async def test_by_mouse_in_fahrenheit_and_left_without_a_trace(empty: Shop, run: Run) -> None:
    async with run(empty, NOW) as seen:
        answers = await welcome(seen)
        card = seen.app.screen
        card.query_one("#units", Select).value = "imperial"
        await seen.pilot.pause()
        assert card.query_one("#low", Input).placeholder == "such as 50 °F"
        for id, value in (("place", "loft"), ("low", "50"), ("high", "68"), ("damp", "40"), ("hours", "sat 9-12; x")):
            card.query_one(f"#{id}", Input).value = value
        await seen.pilot.click("#done")
        await seen.pilot.pause()
        assert not answers
        assert "days and hours such as" in str(card.query_one("#problem").render())
        card.query_one("#hours", Input).value = "sat 9-12"
        await released(seen.pilot, "#done")
        await seen.pilot.click("#done")
        await seen.pilot.pause()
        (answer,) = answers
        assert answer == FirstRun("imperial", "loft", UsualDay(10.0, 20.0, 40.0, 40.0), "sat 09:00-12:00")

        answers = await welcome(seen)
        await seen.pilot.click("#invented")
        await seen.pilot.pause()
        assert answers == [Look.INVENTED]

        answers = await welcome(seen)
        seen.app.screen.query_one("#low", Input).value = "5"
        await seen.keys("escape")
        assert answers == [None]
        assert on_disk(empty) == ({}, [])


def test_set_up_whole_or_not_at_all(empty: Shop) -> None:
    usual = UsualDay(9.0, 18.0, 50.0, 50.0)
    for bad in (FirstRun("metric", " ", usual), FirstRun("metric", "x" * 61, usual), FirstRun("ells", "loft", usual)):
        with pytest.raises(BadInput):
            begin_shop(empty, bad, NOW)
        assert on_disk(empty) == ({}, [])
    begin_shop(empty, FirstRun("imperial", "loft", usual, "sat 9-12"), NOW)
    assert on_disk(empty) == ({"units": "imperial", "hours": "sat 09:00-12:00"}, ["loft"])
    with pytest.raises(BadInput, match="no other place"):
        begin_shop(empty, FirstRun("metric", "Loft", usual), NOW)
    assert empty.settings.units == "imperial"
