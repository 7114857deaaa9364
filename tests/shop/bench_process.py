"""A bench of its own in `test_benches`: `python bench_process.py URL HOME MAKER`; prints what was acknowledged."""

from __future__ import annotations

import sys
from pathlib import Path

from finishing.errors import FinishingError
from finishing.shop import record
from finishing.shop.drafts import StepDraft
from finishing.shop.notes import add_note
from finishing.shop.shop import Shop
from finishing.store import Location
from tests.shop.built import NOW

BATCHES = ("B-1", "B-2", "B-3")
STEPS = 4


def work(shop: Shop, maker: str) -> None:
    """Record every step of every batch by its position, as all other benches do, and a note of one's own on each."""
    for n in range(STEPS):
        for code in BATCHES:
            at = NOW + 24 * n
            try:
                record.record_step(shop, StepDraft(code, n, at=at, maker=maker), NOW + 1000)
                print(f"step {code} {n}", flush=True)  # noqa: T201
            except FinishingError as refused:
                print(f"refused {code} {n}: {refused}", flush=True)  # noqa: T201
            add_note(shop, code, f"{maker} {n}", NOW + 1000)
            print(f"note {code} {maker} {n}", flush=True)  # noqa: T201


if __name__ == "__main__":
    url, home, name = sys.argv[1:]
    opened = Shop.open(NOW, Location(Path(home), url))
    work(opened, name)
    opened.close()
