"""Names that people and files bring stand on every screen as they were written, and do nothing there.

What must not happen comes from outside the project: ECMA-48 control functions begin with ESC or a C1 byte; Unicode's
UAX #9 names the characters that reorder a line; the toolkit reads `[...]` as markup.
"""

from __future__ import annotations

import unicodedata

import pytest

from finishing.cure.outlook import UsualDay
from finishing.shop import batches, cans, notes, places
from finishing.shop.drafts import CanDraft, NewBatchDraft
from finishing.shop.forms import parse_piece_size, parse_woods
from finishing.shop.settings import change_setting
from finishing.shop.shop import Shop
from tests.screens.conftest import Run, Seen
from tests.screens.walk import CARDS, PAGES, walk
from tests.shop.built import NOW
from tests.shop.doing import coat, do

NAMES = {
    "hostile": "[bold]x[/] [@click=app.quit]q[/]\x1b[2J\x1b]0;t\x07\x9b1m\r\nb\tc\x7f\u202eel\u202c\u2066\u2069",
    "long": "👩‍🔧🪵 é̂ 木の皿 ½ לוח حامل " + "a very long name of a thing " * 2,
}
FORBIDDEN = {"Cc", "Cs", "Zl", "Zp"}
BIDI = set("\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
MARKUP = "[bold]x"


def furnish(shop: Shop, name: str) -> None:
    """The name wherever a maker or a file can put one."""
    change_setting(shop, "maker", name[:60], NOW)
    change_setting(shop, "currency", name[:8], NOW)
    places.add_place(shop, name[:60], UsualDay(18.0, 20.0, 50.0, 50.0), NOW)
    size = parse_piece_size("300x200x18")
    woods = parse_woods("hard maple")
    draft = NewBatchDraft(name[:80], 4, "wiped-varnish-in-window", name[:60].strip(), woods, size, "B-1", note=name)
    batches.begin_batch(shop, draft, NOW)
    do(shop, "B-1", NOW)
    number = cans.shelve(shop, CanDraft("wiping-varnish", 500.0, name[:60], opened=True), NOW)
    coat(shop, "B-1", NOW, 30.0, number)
    notes.add_note(shop, "B-1", name, NOW)


def harmless(seen: Seen, where: str) -> list[str]:
    """Characters on the terminal that would do something there, in what is drawn and in what is handed out."""
    text = "".join(seen.lines())
    bad = {c for c in text if unicodedata.category(c) in FORBIDDEN or c in BIDI}
    return [f"{where}: {sorted(map(hex, map(ord, bad)))}"] if bad else []


@pytest.mark.parametrize("kind", NAMES)
async def test_a_name_is_shown_and_does_nothing_on_every_screen(shop: Shop, run: Run, kind: str) -> None:
    furnish(shop, NAMES[kind])
    problems, met = [], []
    async with run(shop, NOW + 1.0, (120, 36)) as seen:
        async for name in walk(seen, {**PAGES, **CARDS}):
            await seen.app.workers.wait_for_complete()
            await seen.pilot.pause(0.1)
            problems += harmless(seen, name)
            if MARKUP in seen.text():
                met.append(name)
        for said, _ in seen.said:
            problems += [f"said: {said!r}"] if any(unicodedata.category(c) in FORBIDDEN for c in said) else []
    assert problems == []
    if kind == "hostile":
        assert {"BenchScreen", "BatchPage", "PassGuide", "RecordStep", "TouchTest", "ClimatePage"} <= set(met)
