"""How a shop's answers grow with its past: 40 open batches, 10² to 10⁵ closed ones and 10⁴ to 10⁷ readings.

    python tests/bench/growth.py [--most 5] [--times 3]

Each figure is CPU seconds of the question alone, the least of several processes, and the peak memory of that process.
The last column is the exponent of growth: the slope of log seconds over log batches, 0 for what does not grow.
"""

from __future__ import annotations

import argparse
import json
import math
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
from bench_due import SCHEDULE

from finishing.clock import now_hour
from finishing.exchange.readings import read_log
from finishing.library import Library, freeze
from finishing.shop.find import find
from finishing.shop.places import import_log
from finishing.shop.shop import Shop
from finishing.store import at_file

OPEN = 40
QUESTIONS = ("learning", "start", "bench", "due", "search", "import")
"""Learning first: what it came to is kept beside the record, and the others rest on it."""
WORDS = {
    "start": "open the shop",
    "bench": "the bench, first look",
    "due": "`finishing due`, the whole process",
    "search": "find a wood by four letters",
    "import": "import a week of readings (1,008)",
    "learning": "learn from the whole record anew",
}


def main() -> None:
    """Make the shops, ask each, print the table."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--most", type=int, default=5, help="the largest shop: 10 to the power of it closed batches")
    parser.add_argument("--least", type=int, default=2, help="the smallest")
    parser.add_argument("--times", type=int, default=3, help="how often each question is asked")
    parser.add_argument("--probe", nargs=2, metavar=("QUESTION", "HOME"), help=argparse.SUPPRESS)
    args = parser.parse_args()
    if args.probe:
        probe(args.probe[0], Path(args.probe[1]))
        return
    powers = range(args.least, args.most + 1)
    found: dict[str, list[tuple[float, float]]] = {question: [] for question in QUESTIONS}
    for power in powers:
        with tempfile.TemporaryDirectory() as home:
            begun = time.perf_counter()
            make(Path(home), 10**power, 10 ** (power + 2))
            size = (Path(home) / "finishing.db").stat().st_size / 2**20
            said = f"10^{power} batches, 10^{power + 2} readings: {size:.0f} MiB"
            print(f"{said}, made in {time.perf_counter() - begun:.0f} s", file=sys.stderr, flush=True)
            for question in QUESTIONS:
                found[question].append(ask(question, home, args.times))
                print(f"  {question}: {found[question][-1]}", file=sys.stderr, flush=True)
    print("| question | " + " | ".join(f"10^{p}, 10^{p + 2}" for p in powers) + " | exponent |")
    print("|---|" + "---|" * (len(powers) + 1))
    for question, cells in found.items():
        shown = " | ".join(f"{seconds:.3f} s, {memory:.0f} MiB" for seconds, memory in cells)
        print(f"| {WORDS[question]} | {shown} | {slope(powers, cells)} |")


def slope(powers: range, cells: list[tuple[float, float]]) -> str:
    """The exponent of growth; "" for a single size."""
    if len(powers) < 2:
        return ""
    return f"{np.polyfit(list(powers), [math.log10(max(s, 1e-4)) for s, _ in cells], 1)[0]:.2f}"


def make(home: Path, batches: int, readings: int) -> None:
    """A shop of so many closed batches and readings."""
    library = Library()
    schedule = library.schedule(SCHEDULE)
    body = freeze(schedule, library.finishes_of(schedule), [library.species("hard maple")], library.classes)
    (home / "frozen.json").write_text(body, encoding="utf-8")
    kinds = ",".join(step.kind.value for step in schedule.steps)
    maker = [sys.executable, str(Path(__file__).with_name("make_shop.py")), str(home / "finishing.db")]
    named = ["--schedule", SCHEDULE, "--kinds", kinds, "--frozen", str(home / "frozen.json")]
    sizes = ["--batches", str(batches), "--open", str(OPEN), "--readings", str(readings)]
    subprocess.run([*maker, *named, *sizes, "--end", f"{now_hour():.3f}"], check=True)


def ask(question: str, home: str, times: int) -> tuple[float, float]:
    """CPU seconds and peak memory [MiB] of a question, each the least of several processes."""
    rows = []
    for _ in range(times):
        if question == "due":
            rows.append(whole(home))
            continue
        command = [sys.executable, __file__, "--probe", question, home]
        done = subprocess.run(command, check=True, capture_output=True, text=True)
        rows.append(tuple(json.loads(done.stdout.splitlines()[-1])))
    return min(row[0] for row in rows), min(row[1] for row in rows)


def whole(home: str) -> tuple[float, float]:
    """CPU seconds and peak memory [MiB] of `finishing due`."""
    environ = {**os.environ, "FINISHING_HOME": home}
    process = subprocess.Popen([sys.executable, "-m", "finishing", "due"], stdout=subprocess.DEVNULL, env=environ)
    _, status, used = os.wait4(process.pid, 0)
    if status:
        raise RuntimeError(f"finishing due ended with {status}")
    return used.ru_utime + used.ru_stime, used.ru_maxrss / 1024


def probe(question: str, home: Path) -> None:
    """Ask one question in this process; print its CPU seconds and the process's peak memory [MiB]."""
    now = now_hour()
    location = at_file(home / "finishing.db")
    if question == "start":
        Shop.open(now, location)  # the imports, once
    shop = None if question == "start" else Shop.open(now, location)
    act = asked(question, shop, home, now) if shop else lambda: Shop.open(now, location)
    begun = time.process_time()
    act()
    took = time.process_time() - begun
    print(json.dumps([took, peak_mib()]))


def peak_mib() -> float:
    """The most memory this process has had."""
    import resource

    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def asked(question: str, shop: Shop, home: Path, now: float) -> Callable[[], object]:
    """What a question does, made ready."""
    if question == "bench":
        return lambda: shop.bench(now)
    if question == "search":
        return lambda: find(shop, "teak", now)
    if question == "import":
        file = home / f"week-{os.getpid()}.csv"
        begin = now * 3600 - 600 * 1008 + os.getpid() % 300  # seconds that no other process used
        lines = [
            f"{np.datetime_as_string(np.datetime64(int(begin + 600 * i), 's'))}Z,{15 + i % 7},{50 + i % 9}"
            for i in range(1008)
        ]
        file.write_text("\n".join(["time,temperature °C,humidity %", *lines]) + "\n", encoding="utf-8")

        def bring_in() -> None:
            done = import_log(shop, "loft", file, read_log(file, zone="UTC"), now)
            assert done.added > 900, done

        return bring_in
    return lambda: relearn(shop, now)


def relearn(shop: Shop, now: float) -> None:
    """Read the record for touch tests as if for the first time, until nothing is left to read."""
    shop._teacher.afresh()
    while True:
        shop.forget()
        shop.rack(now)
        if not shop._teacher._book or not shop._teacher._book.pending:
            return


if __name__ == "__main__":
    main()
