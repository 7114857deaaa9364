"""How long a bench takes to show what another one has recorded, on the shop with ten years behind it.

    python tests/bench/bench_refresh.py [--small]

One shop is open twice in this process. The one adds a note to an open batch; the other looks at what was added and what
that changed. The floor: a bench that has just come in looks at the same record (everything imported, its file open).
CPU time, the median of many turns.
"""

from __future__ import annotations

import argparse
import statistics
import tempfile
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path

from bench_due import make_old_shop

from finishing.clock import now_hour
from finishing.shop.notes import add_note
from finishing.shop.shop import Shop
from finishing.store.location import locate

TURNS = 25


def main() -> None:
    """Build the shop and print milliseconds."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--small", action="store_true", help="a shop of a hundredth")
    args = parser.parse_args()
    with tempfile.TemporaryDirectory() as home:
        make_old_shop(Path(home), small=args.small)
        environ, now = {"FINISHING_HOME": home}, now_hour()
        here, there = (Shop.open(now, locate(environ)) for _ in range(2))
        codes = sorted(here.rack(now).standings)
        here.bench(now)
        taken: dict[str, list[float]] = {name: [] for name in ("look", "lay out", "add", "come in")}
        for turn in range(TURNS):
            taken["add"].append(cpu(partial(add_note, there, codes[turn % len(codes)], "seen", now)))
            taken["look"].append(cpu(partial(here.rack, now)))
            taken["lay out"].append(cpu(partial(here.bench, now)))
            new = Shop.open(now, locate(environ))
            taken["come in"].append(cpu(partial(new.rack, now)))
            new.close()
        for shop in (here, there):
            shop.close()
    ms = {name: statistics.median(found) * 1000.0 for name, found in taken.items()}
    print(f"{len(codes)} open batches, {TURNS} turns")
    ratio = ms["look"] / ms["come in"]
    print(f"look at what another added {ms['look']:.1f} ms, come in {ms['come in']:.1f} ms: {ratio:.2f}")
    print(f"lay the bench out {ms['lay out']:.1f} ms; add a note, the look before it included {ms['add']:.1f} ms")


def cpu(act: Callable[[], object]) -> float:
    """CPU seconds that something takes."""
    begun = time.process_time()
    act()
    return time.process_time() - begun


if __name__ == "__main__":
    main()
