"""Benches of their own in `test_benches`: `python -m tests.shop.bench_process URL HOME MAKER...`, all at once.

Prints who it was and what was acknowledged.
"""

from __future__ import annotations

import os
import sys
from functools import partial
from pathlib import Path

from finishing.errors import FinishingError
from finishing.shop import record
from finishing.shop.drafts import StepDraft
from finishing.shop.notes import add_note
from finishing.shop.shop import Shop
from finishing.store import Location
from tests.forks import at_once
from tests.shop.built import NOW

BATCHES = ("B-1", "B-2")
STEPS = 3


def say(line: str) -> None:
    """Say it whole: the others say theirs at the same time."""
    os.write(1, f"{line}\n".encode())


def work(shop: Shop, maker: str) -> None:
    """Record every step of every batch by its position, as all other benches do, and a note of one's own on each."""
    for n in range(STEPS):
        for code in BATCHES:
            at = NOW + 24 * n
            try:
                record.record_step(shop, StepDraft(code, n, at=at, maker=maker), NOW + 1000)
                say(f"{maker} step {code} {n}")
            except FinishingError as refused:
                say(f"{maker} refused {code} {n}: {refused}")
            add_note(shop, code, f"{maker} {n}", NOW + 1000)
            say(f"{maker} note {code} {n}")


if __name__ == "__main__":
    url, folder, *makers = sys.argv[1:]

    def bench(maker: str) -> None:
        opened = Shop.open(NOW, Location(Path(folder) / maker, url))
        work(opened, maker)
        opened.close()

    at_once(partial(bench, maker) for maker in makers)
