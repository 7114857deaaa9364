"""First paint of the home screen on the invented shop, against a bare Textual app that imports the same libraries.

    python tests/bench/bench_paint.py

Each process draws its first frame without a terminal and ends. Floor: an app with one empty screen. Ours sets the
collector as the program does (finishing/__main__.py, finishing/cli/home.py).
"""

from __future__ import annotations

import tempfile
from pathlib import Path

from processes import compare

from finishing.clock import now_hour
from finishing.shop.demo import build_demo

FLOOR = """
import sqlmodel, numpy, pendulum, textual.widgets
from textual.app import App
async def leave(pilot):
    pilot.app.exit()
App().run(headless=True, size=(120, 36), auto_pilot=leave)
"""

OURS = """
import gc
from finishing.__main__ import GARBAGE_EVERY
gc.set_threshold(GARBAGE_EVERY)
from finishing.clock import now_hour
from finishing.screens.app import FinishingApp
from finishing.shop.shop import Shop
async def leave(pilot):
    pilot.app.exit()
gc.freeze()
FinishingApp(Shop.open(now_hour())).run(headless=True, size=(120, 36), auto_pilot=leave)
"""


def main() -> None:
    """Build the invented shop, then compare."""
    with tempfile.TemporaryDirectory() as home:
        build_demo(Path(home), now_hour()).close()
        compare("first paint", ["-c", OURS], ["-c", FLOOR], {"FINISHING_HOME": home})


if __name__ == "__main__":
    main()
