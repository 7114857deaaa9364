"""Opening each screen on a shop with ten years behind it, against the same screen on a new shop, in one run.

    python tests/bench/bench_screens.py [--small]

Both shops run in this process, without a terminal, by the same keys; taken is CPU time from the key until nothing is
left to do, the least of several turns, ours and the floor's turn about. Floor: the new shop, with one place and one
batch. A screen that shows every open batch has 200 of them to show in the old shop.
"""

from __future__ import annotations

import argparse
import asyncio
import tempfile
import time
from pathlib import Path

from bench_due import SCHEDULE, make_old_shop

from finishing.clock import now_hour
from finishing.cure.outlook import UsualDay
from finishing.cure.work import Size
from finishing.screens.app import FinishingApp
from finishing.shop.batches import begin_batch
from finishing.shop.drafts import NewBatchDraft, StepDraft
from finishing.shop.record import record_step
from finishing.shop.settings import FirstRun, begin_shop
from finishing.shop.shop import Shop
from finishing.store.location import locate

SCREENS = {
    "batch": ("o",),
    "pass guide": ("g",),
    "touch test": ("t",),
    "new batch": ("n",),
    "library": ("2",),
    "cans": ("3",),
    "climate": ("4",),
    "settings": ("5",),
    "find": ("6",),
    "filter": ("f",),
    "help": ("question_mark",),
}
TURNS = 7


async def opened(shop: Shop, keys: tuple[str, ...]) -> float:
    """Seconds of CPU time from the keys until the screen stands. RuntimeError if nothing opened."""
    app = FinishingApp(shop)
    async with app.run_test(size=(120, 36)) as pilot:
        await pilot.pause()
        before, begun = app.screen, time.process_time()
        await pilot.press(*keys)
        await pilot.pause()
        taken = time.process_time() - begun
        if app.screen is before:
            raise RuntimeError(f"{keys} opened nothing")
    return taken


def shop_at(home: Path) -> Shop:
    """The shop kept in a folder."""
    return Shop.open(now_hour(), locate({"FINISHING_HOME": str(home)}))


def make_new_shop(home: Path) -> None:
    """One place, and one batch with its first coat on."""
    now = now_hour()
    shop = shop_at(home)
    begin_shop(shop, FirstRun("metric", "loft", UsualDay(15.0, 20.0, 50.0, 50.0)), now)
    woods = (("hard maple", 0.0),)
    begin_batch(shop, NewBatchDraft("trays", 12, SCHEDULE, "loft", woods, Size(300.0, 200.0, 18.0), "N-1"), now - 30)
    for step in range(2):
        record_step(shop, StepDraft("N-1", step, now - 10 + step), now)
    shop.close()


def least(old: Shop, new: Shop, keys: tuple[str, ...]) -> tuple[float, float]:
    """The least seconds in the old shop and in the new, turn about."""
    rows = [(asyncio.run(opened(old, keys)), asyncio.run(opened(new, keys))) for _ in range(TURNS)]
    return min(row[0] for row in rows), min(row[1] for row in rows)


def main() -> None:
    """Make both shops, then open every screen in each."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--small", action="store_true", help="a hundredth of the old shop, to see that it runs")
    small = parser.parse_args().small
    with tempfile.TemporaryDirectory() as first, tempfile.TemporaryDirectory() as second:
        make_old_shop(Path(first), small=small)
        make_new_shop(Path(second))
        old, new = shop_at(Path(first)), shop_at(Path(second))
        for name, keys in SCREENS.items():
            mine, base = least(old, new, keys)
            print(f"{name}: {mine * 1e3:.0f} / {base * 1e3:.0f} ms = {mine / base:.2f}", flush=True)
        old.close()
        new.close()


if __name__ == "__main__":
    main()
