"""Sixteen benches work one shop on a PostgreSQL server at once: throughput, waits, conflicts, and nothing lost.

    python tests/bench/many_benches.py [--minutes 5] [--benches 16] [--every 0] [--raw]

A private server is started, waiting for its disk at each commit. Each bench is a process which looks at the whole
bench, records the next step of a batch by its place in the schedule or a note, and says so only when it is kept;
at the end every acknowledged entry is looked for. With --every a bench rests so many
seconds between two entries. With --raw it only adds entries: the database alone.
"""

from __future__ import annotations

import argparse
import json
import random
import subprocess
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from finishing.clock import now_hour
from finishing.cure.outlook import UsualDay
from finishing.errors import FinishingError
from finishing.shop import batches, places, record
from finishing.shop.drafts import NewBatchDraft, StepDraft
from finishing.shop.forms import parse_piece_size, parse_woods
from finishing.shop.shop import Shop
from finishing.store import Conflict, Location, Store, entries
from finishing.store import batches as stored
from finishing.store.kinds import NoteEntry
from tests.databases import Server, programs

BATCHES = 48
SCHEDULE = "wiped-varnish-four"


def main() -> None:
    """Start the server and the benches, then count."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--minutes", type=float, default=5.0)
    parser.add_argument("--benches", type=int, default=16)
    parser.add_argument("--every", type=float, default=0.0, help="seconds a bench rests between two entries")
    parser.add_argument("--raw", action="store_true", help="entries alone, no look at the shop")
    parser.add_argument("--bench", nargs=3, metavar=("URL", "NAME", "SECONDS"), help=argparse.SUPPRESS)
    args = parser.parse_args()
    if args.bench:
        url, name, seconds = args.bench
        work(url, name, float(seconds), args.every, raw=args.raw)
        return
    folder = programs()
    if folder is None:
        sys.exit("no PostgreSQL on this machine")
    server = Server(folder, durable=True)
    try:
        measure(server.url.render_as_string(), args.benches, args.minutes * 60.0, args.every, raw=args.raw)
    finally:
        server.remove()


def measure(url: str, benches: int, seconds: float, every: float, *, raw: bool) -> None:
    """Run the benches for some seconds and print what came of it."""
    make(url)
    with tempfile.TemporaryDirectory() as spare:
        outs = [Path(spare) / f"bench-{n}" for n in range(benches)]
        mode = ["--every", str(every), *(["--raw"] if raw else [])]
        started = []
        for n, out in enumerate(outs):
            command = [sys.executable, __file__, *mode, "--bench", url, f"bench-{n}", str(seconds)]
            started.append(subprocess.Popen(command, stdout=out.open("w")))
        if any(process.wait() for process in started):
            sys.exit("a bench failed")
        lines = [json.loads(line) for out in outs for line in out.read_text().splitlines()]
    report(url, lines, seconds)


def report(url: str, lines: list[dict[str, object]], seconds: float) -> None:
    """Throughput, waits, conflicts, and whether all that was acknowledged is there once and nothing else."""
    kinds = Counter(str(line["what"]) for line in lines)
    kept = [line for line in lines if line["what"] == "kept"]
    waits = np.array([line["ms"] for line in kept], dtype=float)
    told = Counter((line["maker"], line["words"]) for line in kept)
    with Store.open(Location(Path(tempfile.gettempdir()), url), now_hour()) as store, store.read() as r:
        found = Counter(
            (recorded.maker, words_of(recorded.entry)) for row in stored.open_batches(r) for recorded in row.record
        )
    lost, doubled = sum((told - found).values()), sum((found - told).values())
    print(f"acknowledged {len(kept):,} entries, {len(kept) / seconds:.1f} a second")
    print(f"wait for an entry: median {np.median(waits):.0f} ms, p99 {np.percentile(waits, 99):.0f} ms")
    print(f"told of another's entry (conflict) {kinds['conflict']:,}, of a step done already {kinds['refused']:,}")
    print(f"lost {lost}, there without being acknowledged {doubled}")


def words_of(entry: object) -> str:
    """What tells one entry of a bench from its others."""
    return entry.text if isinstance(entry, NoteEntry) else f"step {getattr(entry, 'step', '')}"


def make(url: str) -> None:
    """A shop with open batches."""
    now = now_hour() - 2000.0
    with tempfile.TemporaryDirectory() as home:
        shop = Shop.open(now, Location(Path(home), url))
        places.add_place(shop, "loft", UsualDay(18.0, 22.0, 50.0, 50.0), now)
        for n in range(BATCHES):
            draft = NewBatchDraft(
                "trays", 4, SCHEDULE, "loft", parse_woods("maple"), parse_piece_size("300x200x18"), f"M-{n}"
            )
            batches.begin_batch(shop, draft, now)
        shop.close()


def work(url: str, name: str, seconds: float, every: float, *, raw: bool) -> None:
    """One bench: acknowledged entries, a line each."""
    chance, end, n = random.Random(name), time.monotonic() + seconds, 0
    with tempfile.TemporaryDirectory() as home:
        shop = Shop.open(now_hour(), Location(Path(home), url))
        if not raw:
            shop.listen()
        while time.monotonic() < end:
            time.sleep(every * chance.uniform(0.5, 1.5))
            n += 1
            code = f"M-{chance.randrange(BATCHES)}"
            begun = time.perf_counter()
            what, words = add_raw(shop, code, name, n) if raw else act(shop, code, name, n, chance)
            took = (time.perf_counter() - begun) * 1000.0
            print(json.dumps({"what": what, "maker": name, "words": words, "ms": took}), flush=True)
        shop.close()


def act(shop: Shop, code: str, name: str, n: int, chance: random.Random) -> tuple[str, str]:
    """Look at the bench, then record a step or a note."""
    now = now_hour()
    row = next(row for row in shop.bench(now).rows if row.code == code)
    following = row.progress.next
    try:
        if following is not None and chance.random() < 0.5:
            words = f"step {following.position}"
            record.record_step(shop, StepDraft(code, following.position, maker=name), now)
            return "kept", words
        words = f"{name} {n}"
        with shop.store.write() as w:
            entries.add(w, shop.standing(code, now).row.id, NoteEntry(0, now, words), recorded_at=now, maker=name)
            w.commit()
        return "kept", words
    except Conflict:
        return "conflict", ""
    except FinishingError as refused:
        if "not on record yet" not in str(refused):
            raise
        return "refused", ""


def add_raw(shop: Shop, code: str, name: str, n: int) -> tuple[str, str]:
    """An entry, and nothing else."""
    now, words = now_hour(), f"{name} {n}"
    with shop.store.write() as w:
        batch_id = int(code.removeprefix("M-")) + 1
        entries.add(w, batch_id, NoteEntry(0, now, words), recorded_at=now, maker=name)
        w.commit()
    return "kept", words


if __name__ == "__main__":
    main()
