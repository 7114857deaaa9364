"""Pictures of the screens, made by the program itself: `python -m finishing.screens.pictures FOLDER [NAME ...]`.

The invented shop on an autumn Sunday evening, with the clock stopped, so that the same code draws the same picture.
"""

from __future__ import annotations

import asyncio
import sys
import tempfile
from collections.abc import Iterable, Sequence
from pathlib import Path

import pendulum

from finishing.clock import hour_of
from finishing.screens.app import FinishingApp
from finishing.shop.demo import build_demo
from finishing.shop.shop import Shop

ZONE = "Europe/Oslo"
EVENING = hour_of(pendulum.datetime(2026, 11, 29, 18, 40, tz=ZONE))

GIFTS = ("e", *"30", "tab", *"maple", "tab", *"320x220x12", "tab", *"2026-12-19", "enter")
"""A gift run of thirty, asked about before it exists."""

PICTURES: dict[str, tuple[tuple[int, int], tuple[str, ...]]] = {
    "bench": ((120, 34), ()),
    "record-coat": ((100, 28), ("c",)),
    "new-batch": ((100, 34), ("n",)),
    "batch": ((120, 36), ("down", "o")),
    "pass-guide": ((100, 28), ("down", "g")),
    "library": ((120, 34), ("2",)),
    "cans": ((110, 30), ("3",)),
    "climate": ((120, 36), ("4",)),
    "touch-test": ((100, 30), ("down", "down", "t")),
    "learning": ((110, 30), ("9",)),
    "settings": ((100, 30), ("5",)),
    "records": ((100, 30), ("0",)),
    "find": ((100, 26), ("6", *"padauk")),
    "plan": ((120, 36), ("7", "s")),
    "compare": ((120, 36), ("8", *GIFTS)),
}
"""Name: size in cells, and the keys pressed first."""


async def draw(shop: Shop, folder: Path, names: Iterable[str] = PICTURES) -> None:
    """Write pictures into a folder."""
    for name, (size, keys) in ((name, PICTURES[name]) for name in names):
        app = FinishingApp(shop, lambda: EVENING)
        async with app.run_test(size=size) as pilot:
            await pilot.pause(0.5)
            for key in keys:
                await pilot.press(key)
                await pilot.pause(0.5)
            await app.workers.wait_for_complete()
            await pilot.pause(0.5)
            (folder / f"{name}.svg").write_text(app.export_screenshot(title=f"finishing: {name}"), "utf-8")


def main(folder: Path, names: Sequence[str] = ()) -> None:
    """Build the invented shop in a folder that is thrown away, and draw the pictures named, or all."""
    folder.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as home:
        shop = build_demo(Path(home), EVENING, zone=ZONE)
        try:
            asyncio.run(draw(shop, folder, names or PICTURES))
        finally:
            shop.close()


if __name__ == "__main__":
    main(Path(sys.argv[1] if len(sys.argv) > 1 else "data/pictures"), sys.argv[2:])
