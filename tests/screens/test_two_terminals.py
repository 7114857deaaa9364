"""Two terminals on one shop: what one records the other shows, and neither records over the other unseen."""

from __future__ import annotations

import asyncio
import sys
import time

import pytest

from finishing.cure.work import CoatEntry, StepEntry, TestEntry
from finishing.shop.shop import Shop
from tests.screens.conftest import Run, Seen, count
from tests.shop.built import NOW, begin
from tests.shop.doing import coat, do, on_file

LATER = NOW + 8.0


async def elsewhere(shop: Shop, *what: str) -> None:
    """Somebody records something in a process of its own."""
    words = ["-m", "tests.screens.other_terminal", str(shop.store.location.file), *what]
    process = await asyncio.create_subprocess_exec(sys.executable, *words)
    assert await process.wait() == 0


async def shows(seen: Seen, words: str, within: float) -> float:
    """Seconds until the words stand on the terminal. Fails when they don't within so many."""
    began = time.monotonic()
    while time.monotonic() - began <= within:
        await seen.pilot.pause(0.05)
        if words in seen.text():
            return time.monotonic() - began
    raise AssertionError(f"no {words!r} within {within} s:\n{seen.text()}")


@pytest.mark.parametrize(("keys", "before", "after"), [((), "coat 1/4", "wipe off"), (("o",), "▸ coat 1", "▸ wipe")])
async def test_what_another_process_records_shows_within_two_seconds(
    shop: Shop, run: Run, keys: tuple[str, ...], before: str, after: str
) -> None:
    begin(shop)
    do(shop, "B-1", NOW)
    async with run(shop, LATER) as seen:
        await seen.keys(*keys)
        assert before in seen.text()
        await elsewhere(shop, "step", "B-1", str(LATER))
        await shows(seen, after, within=2.0)


@pytest.mark.parametrize("page", ["bench", "batch"])
async def test_the_second_to_record_a_coat_is_told_and_shown(shop: Shop, run: Run, page: str) -> None:
    begin(shop)
    do(shop, "B-1", NOW)
    async with run(shop, LATER) as seen:
        await seen.keys(*(["o"] if page == "batch" else []), "c")
        assert seen.card == "RecordStep"
        await elsewhere(shop, "step", "B-1", str(LATER))
        await seen.keys("enter")
        (said, entries) = seen.said[-1]
        assert "B-1: coat 1 of 4 came on record by Ane while you were about it" in said
        assert (entries, count(shop)) == (2, 2)
        assert "wipe off" in seen.text()
        await seen.keys("c", "escape")
        assert seen.card == ("BenchScreen" if page == "bench" else "BatchPage")
    assert [type(recorded.entry) for recorded in on_file(shop, "B-1")] == [StepEntry, CoatEntry]


async def test_no_coat_goes_on_over_a_finger_that_just_found_it_tacky(shop: Shop, run: Run) -> None:
    begin(shop)
    do(shop, "B-1", NOW)
    coat(shop, "B-1", NOW)
    do(shop, "B-1", NOW)
    async with run(shop, LATER) as seen:
        await seen.keys("c")
        await elsewhere(shop, "dry_to_recoat", "B-1", str(LATER))
        await seen.keys("enter")
        assert "touch test: tacky for dry to recoat came on record" in seen.said[-1][0]
        await seen.keys("c", "enter")  # the second time it is the maker's own word
        assert "coat 2 of 4, on record" in seen.said[-1][0]
    assert [type(recorded.entry) for recorded in on_file(shop, "B-1")][-2:] == [TestEntry, CoatEntry]


async def test_a_note_never_stands_in_the_way(shop: Shop, run: Run) -> None:
    begin(shop)
    async with run(shop, LATER) as seen:
        await seen.keys("o", "o", "x")
        await elsewhere(shop, "step", "B-1", str(LATER))
        await seen.keys("enter")
        assert "note" in seen.said[-1][0]
    assert count(shop) == 2


async def test_a_batch_that_was_closed_elsewhere_opens_no_card(shop: Shop, run: Run) -> None:
    """The bench is looked at anew once a second: a key may come before."""
    from finishing.shop import record

    begin(shop)
    async with run(shop, LATER) as seen:
        other = Shop.open(LATER, shop.store.location)
        record.close(other, "B-1", LATER)
        other.close()
        seen.app.screen.action_coat()  # type: ignore[attr-defined]
        await seen.pilot.pause()
        assert seen.card == "BenchScreen"
        assert "this one is closed" in seen.said[-1][0]
