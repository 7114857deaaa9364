"""Importing a logger's million readings, against reading the same file with pandas and inserting with sqlite3.

    python tests/bench/bench_import.py [--rows 1000000] [--times 3]

Floor and ours are processes of their own that import nothing but what they need; each is the best of several, taking
turns. The floor reads the CSV with pandas, parses the times, and inserts into the same table, without checks, units,
zones, a record of the import, or anything told of the file. Memory is also measured at a fourth of the rows.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

from processes import Cost, run

FLOOR = """
import sqlite3, sys
import pandas as pd
frame = pd.read_csv(sys.argv[1])
at = pd.to_datetime(frame.iloc[:, 0], utc=True).astype("int64") // 10**9
db = sqlite3.connect(sys.argv[2])
db.execute("PRAGMA journal_mode = WAL")
db.execute("PRAGMA synchronous = FULL")
db.execute("CREATE TABLE reading (place_id INTEGER NOT NULL, at BIGINT NOT NULL, temperature_c FLOAT NOT NULL,"
           " humidity_pct FLOAT, PRIMARY KEY (place_id, at)) WITHOUT ROWID")
with db:
    rows = zip([1] * len(frame), at.tolist(), frame.iloc[:, 1].tolist(), frame.iloc[:, 2].tolist())
    db.executemany("INSERT INTO reading VALUES (?, ?, ?, ?)", rows)
"""

OURS = """
import sys
from finishing.__main__ import main
main(["readings", "import", sys.argv[1], "--place", "loft"])
"""


def write(path: Path, rows: int) -> None:
    """An invented log, one reading in five minutes."""
    import datetime as dt

    start = dt.datetime(2015, 1, 1, tzinfo=dt.UTC)
    with path.open("w", encoding="utf-8") as file:
        file.write("Time,Temperature (°C),Humidity (%)\n")
        for i in range(rows):
            at = start + dt.timedelta(minutes=5 * i)
            file.write(f"{at:%Y-%m-%d %H:%M:%S},{15 + i % 997 / 100:.2f},{40 + i % 1999 / 100:.1f}\n")


def one(folder: Path, log: Path, turn: int, name: str) -> Cost:
    """One process on a database of its own."""
    home = folder / f"{name}-{turn}"
    if name == "floor":
        home.mkdir()
        return run(["-c", FLOOR, str(log), str(home / "x.db")], {})
    environ = {"FINISHING_HOME": str(home), "TZ": "UTC"}
    run(["-m", "finishing", "place", "add", "loft", "--low", "10", "--high", "20"], environ)
    return run(["-c", OURS, str(log)], environ)


def measure(folder: Path, rows: int, times: int) -> tuple[Cost, Cost]:
    """Ours and the floor, each at its best."""
    log = folder / f"log-{rows}.csv"
    write(log, rows)
    pairs = [(one(folder, log, i, f"ours-{rows}"), one(folder, log, i, "floor")) for i in range(times)]
    for path in folder.glob("floor-*/*"):
        path.unlink()
    for path in folder.glob("floor-*"):
        path.rmdir()
    best = [Cost(*(min(getattr(pair[k], key) for pair in pairs) for key in ("wall", "cpu", "memory"))) for k in (0, 1)]
    return best[0], best[1]


def main() -> None:
    """Print the ratios."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--rows", type=int, default=1_000_000)
    parser.add_argument("--times", type=int, default=3)
    args = parser.parse_args()
    with tempfile.TemporaryDirectory(prefix="finishing-bench-") as folder:
        small, small_floor = measure(Path(folder), args.rows // 4, 1)
        mine, floor = measure(Path(folder), args.rows, args.times)
    print(f"{args.rows:,} readings: wall {mine.wall:.2f} / {floor.wall:.2f} s = {mine.wall / floor.wall:.2f}")
    print(f"CPU {mine.cpu:.2f} / {floor.cpu:.2f} s = {mine.cpu / floor.cpu:.2f}")
    print(f"memory {mine.memory:.0f} / {floor.memory:.0f} MiB; at a fourth of the rows {small.memory:.0f} / "
          f"{small_floor.memory:.0f} MiB")  # fmt: skip


if __name__ == "__main__":
    main()
