"""Every screen against its drawing in `snapshots`, at three sizes. `python -m tests.screens.draw` draws them anew."""

from __future__ import annotations

import re
from difflib import unified_diff

import pytest

from finishing.shop.shop import Shop
from tests.screens.draw import DRAWN, FOLDER, SIZES, all_drawn


def kept(name: str, size: tuple[int, int]) -> list[str]:
    """The lines of a screen's drawing at one size, as its file has them."""
    file = FOLDER / f"{name}.txt"
    parts = re.split(r"^== (\d+) x (\d+)\n", file.read_text("utf-8") if file.exists() else "", flags=re.MULTILINE)
    sizes = [(int(width), int(height)) for width, height in zip(parts[1::3], parts[2::3], strict=True)]
    return dict(zip(sizes, parts[3::3], strict=True)).get(size, "").splitlines()


@pytest.mark.parametrize("size", SIZES, ids=[f"{width}x{height}" for width, height in SIZES])
async def test_every_screen_looks_as_it_was_drawn(demo: Shop, size: tuple[int, int]) -> None:
    found = await all_drawn(demo, size)
    changed = [
        line
        for name, text in found.items()
        for line in unified_diff(kept(name, size), text.splitlines(), name, "now", n=1, lineterm="")
    ]
    assert "\n".join(changed) == ""


def test_no_drawing_is_of_a_screen_that_is_gone() -> None:
    assert {file.stem for file in FOLDER.iterdir()} == {*DRAWN}
