"""The terminal is made smaller and larger while the program runs: the list stays, the chosen batch stays chosen."""

from __future__ import annotations

import pytest
from textual.widgets._toast import Toast

from finishing.screens.app import FinishingApp
from finishing.shop.shop import Shop
from tests.screens.conftest import Run, Seen
from tests.shop.built import EVENING

SIZES = ((120, 36), (80, 24), (80, 14), (60, 10), (200, 12), (80, 24), (160, 48))


async def resized(seen: Seen, size: tuple[int, int]) -> None:
    """Another size, and what it sets off."""
    await seen.pilot.resize_terminal(*size)
    for _ in range(100):
        await seen.pilot.pause(0.05)
        if seen.app.screen.size == size:
            break
    await seen.pilot.pause(0.1)


async def test_the_bench_keeps_its_list_and_its_cursor_at_every_size(demo: Shop, run: Run) -> None:
    async with run(demo, EVENING, SIZES[0]) as seen:
        await seen.keys("down", "down", "down")
        code = seen.code
        assert code is not None
        for width, height in SIZES[1:]:
            await resized(seen, (width, height))
            assert seen.code == code
            assert f"▸ {code}" in seen.text(), (width, height)
            # A list of at least half of what the masthead and the keys leave, whatever stands beside or below it.
            assert seen.rows.size.height >= (height - 2) / 2, (width, height)
            assert "Quit" in seen.lines()[-1] or width < 79
            await seen.keys("up", "down")
            assert seen.code == code


@pytest.mark.parametrize("key", ["2", "3", "4", "5", "o", "g"])
async def test_every_page_lives_through_a_change_of_size(demo: Shop, run: Run, key: str) -> None:
    async with run(demo, EVENING, (80, 24)) as seen:
        await seen.keys(key)
        before = seen.text()
        for size in ((30, 8), (160, 48), (80, 24)):
            await resized(seen, size)
        await seen.pilot.pause(0.2)
        assert [line.rstrip() for line in seen.text().splitlines()] == [line.rstrip() for line in before.splitlines()]


async def test_what_is_said_back_lies_flat_where_there_is_little_room(demo: Shop) -> None:
    """A long word on what was recorded, in as few lines as the terminal's width allows, right above the keys."""
    said = "T-14: coat 2 of 4, corrected, entry 41 in place of 38; yesterday 17:29, was yesterday 10:15; early"
    app = FinishingApp(demo, lambda: EVENING)
    async with app.run_test(size=(80, 24), notifications=True) as pilot:
        app.notify(said, markup=False, timeout=60)
        await pilot.pause()
        region = app.screen.query_one(Toast).region
        assert (region.height, region.bottom) == (-(-len(said) // 74), 23)
