"""Every page and card of the invented shop, walked through once by keys on the smallest terminal promised, 80 by 24.

No key in use is taken by what stands before it (`test_bindings`), and nothing is cut (`test_fits`).
"""

from __future__ import annotations

import pytest

from finishing.shop.shop import Shop
from tests.screens.conftest import Run
from tests.screens.test_bindings import shadowed
from tests.screens.test_fits import cut_keys, cut_words
from tests.screens.walk import WALKS, walk
from tests.shop.built import EVENING


@pytest.mark.parametrize("screens", WALKS, ids=["pages", "cards"])
async def test_no_key_is_taken_and_nothing_is_cut(demo: Shop, run: Run, screens: dict[str, tuple[str, ...]]) -> None:
    problems = []
    async with run(demo, EVENING, (80, 24)) as seen:
        async for name in walk(seen, screens):
            screen = seen.app.screen
            problems += [f"{name}: {problem}" for problem in shadowed(seen) + cut_keys(screen) + cut_words(screen)]
    assert "\n".join(problems) == ""
