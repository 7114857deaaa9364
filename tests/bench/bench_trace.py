"""Trace and search on a shop with ten years behind it, against the bare SQL through sqlite3, in this process.

    python tests/bench/bench_trace.py [--small]

Both have the file open and everything imported; taken is CPU time, the least of many turns, ours and the floor's turn
about. Floor of a trace: the rows it needs, joined, the air of each coat summed up by
SQL, nothing made of them. Floor of a search: the same four
LIKE queries.
"""

from __future__ import annotations

import argparse
import random
import sqlite3
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from bench_due import make_old_shop

from finishing.clock import now_hour
from finishing.shop.find import MOST, find
from finishing.shop.shop import Shop
from finishing.shop.trace import BatchTraced, Recall, trace
from finishing.store.location import locate

TURNS = 60
COATS_A_CAN = 25

CANS = "SELECT * FROM can WHERE lot = ? ORDER BY id"
REACHED = "(SELECT e.batch_id FROM entry e JOIN can c ON c.id = e.can_id WHERE c.lot = ?)"
RECALL = (
    "SELECT e.batch_id, e.can_id, e.id, e.at, e.step, e.amount_ml, e.maker FROM can c JOIN entry e ON c.id = e.can_id"
    " WHERE c.lot = ? ORDER BY e.id",
    "SELECT b.id, b.code, b.what, b.pieces, b.held, b.closed_at, p.name FROM batch b JOIN place p ON p.id = b.place_id"
    f" WHERE b.id IN {REACHED} ORDER BY b.id",
    "SELECT batch_id, id, kind, at, body, voids FROM entry WHERE kind IN ('void', 'move', 'release')"
    f" AND batch_id IN {REACHED} ORDER BY id DESC",
    "WITH c AS (SELECT min(bought_on, date(created_at)) AS begun, coalesce(emptied_at, datetime()) AS over FROM can"
    " WHERE lot = ?) SELECT e.batch_id, b.frozen_key, e.id, e.step, e.at FROM c JOIN batch b ON b.closed_at IS NULL OR"
    " b.closed_at >= c.begun JOIN entry e ON e.batch_id = b.id AND e.kind = 'coat' AND e.can_id IS NULL"
    " AND e.at BETWEEN c.begun AND c.over",
)
CAN = tuple(query.replace("lot = ?", "id = ?") for query in (CANS, *RECALL))
BATCH = (
    "SELECT b.*, p.name FROM batch b JOIN place p ON p.id = b.place_id WHERE b.code = ?",
    "SELECT w.* FROM batch_wood w JOIN batch b ON b.id = w.batch_id WHERE b.code = ? ORDER BY w.position",
    "SELECT f.body FROM frozen f JOIN batch b ON b.frozen_key = f.key WHERE b.code = ?",
    "SELECT e.*, c.lot FROM entry e JOIN batch b ON b.id = e.batch_id LEFT JOIN can c ON c.id = e.can_id"
    " WHERE b.code = ? ORDER BY e.id",
    "WITH span AS (SELECT b.place_id, e.id, unixepoch(e.at) AS begun,"
    " unixepoch(lead(e.at) OVER (ORDER BY e.id)) AS over FROM batch b JOIN entry e ON e.batch_id = b.id"
    " WHERE b.code = ? AND e.kind IN ('coat', 'close'))"
    " SELECT s.id, count(*), min(r.temperature_c), avg(r.temperature_c), max(r.temperature_c), min(r.humidity_pct),"
    " avg(r.humidity_pct), max(r.humidity_pct) FROM span s JOIN reading r ON r.place_id = s.place_id"
    " AND r.at BETWEEN s.begun AND s.over GROUP BY s.id",
)
SEARCH = (
    "SELECT code, what, pieces, created_at FROM batch WHERE code LIKE ?1 OR what LIKE ?1 OR note LIKE ?1"
    f" ORDER BY id DESC LIMIT {MOST}",
    "SELECT b.code, w.species, b.what, b.created_at FROM batch b JOIN batch_wood w ON w.batch_id = b.id"
    f" WHERE w.species LIKE ?1 ORDER BY b.id DESC LIMIT {MOST}",
    f"SELECT id, lot, finish FROM can WHERE lot LIKE ?1 OR finish LIKE ?1 ORDER BY id DESC LIMIT {MOST}",
    "SELECT b.code, e.body, e.at FROM entry e JOIN batch b ON b.id = e.batch_id"
    f" WHERE e.kind = 'note' AND e.body LIKE ?1 ORDER BY e.id DESC LIMIT {MOST}",
)


def bare(file: sqlite3.Connection, queries: tuple[str, ...], *values: str) -> list[list[object]]:
    """The rows of some queries."""
    return [file.execute(query, values).fetchall() for query in queries]


def least(ours: Callable[[], object], floor: Callable[[], object], turns: int = TURNS) -> tuple[float, float]:
    """The least seconds of CPU time of either, turn about."""
    rows = [(taken(ours), taken(floor)) for _ in range(turns)]
    return min(row[0] for row in rows), min(row[1] for row in rows)


def taken(act: Callable[[], object]) -> float:
    """Seconds of CPU time of one call."""
    begun = time.process_time()
    act()
    return time.process_time() - begun


def show(name: str, pair: tuple[float, float]) -> None:
    """One line of the outcome."""
    mine, base = pair
    print(f"{name}: {mine * 1e3:.2f} / {base * 1e3:.2f} ms = {mine / base:.2f}", flush=True)


def lot_codes(shop: Shop, lot: str, now: float) -> set[str]:
    """Codes of the batches that a lot leads to."""
    found = trace(shop, lot, now)
    assert isinstance(found, Recall)
    return {batch.code for batch in found.batches}


def main() -> None:
    """Make the shop, see that both sides find the same, then compare."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--small", action="store_true", help="a hundredth of the shop, to see that it runs")
    small = parser.parse_args().small
    with tempfile.TemporaryDirectory() as home:
        made = make_old_shop(Path(home), small=small, coats_a_can=COATS_A_CAN)
        shop, now = Shop.open(now_hour(), locate({"FINISHING_HOME": home})), now_hour()
        file = sqlite3.connect(made)
        lots = [row[0] for row in file.execute("SELECT DISTINCT lot FROM can")]
        cans = [row[0] for row in file.execute("SELECT DISTINCT can_id FROM entry WHERE can_id > 0")]
        codes = [row[0] for row in file.execute("SELECT code FROM batch WHERE closed_at IS NOT NULL")]
        lot, code = random.Random(1).choice(lots), random.Random(2).choice(codes)
        can = str(random.Random(3).choice(cans))
        rows = bare(file, RECALL, lot)
        assert {row[1] for row in rows[1]} == lot_codes(shop, lot, now)
        found = trace(shop, code, now)
        assert isinstance(found, BatchTraced)
        coats = file.execute(
            "SELECT count(*) FROM entry e JOIN batch b ON b.id = e.batch_id WHERE b.code = ? AND e.kind = 'coat'",
            (code,),
        ).fetchone()[0]
        assert len(found.coats) == coats
        for coat, (_, _, low, *_) in zip(found.coats, bare(file, BATCH, code)[-1], strict=True):
            assert coat.drying.air.temperature_c is not None
            assert coat.drying.air.temperature_c[0] == low
        print(f"lot {lot}: {len(rows[0])} coats in {len(rows[1])} batches")
        show("lot to batches", least(lambda: trace(shop, lot, now), lambda: bare(file, (CANS, *RECALL), lot)))
        one = trace(shop, can, now)
        assert isinstance(one, Recall)
        coats_of_it = sum(len(batch.coats) for batch in one.batches)
        assert coats_of_it == len(bare(file, CAN, can)[1])
        show(
            f"can of {coats_of_it} coats to batches", least(lambda: trace(shop, can, now), lambda: bare(file, CAN, can))
        )
        show("batch to lots and conditions", least(lambda: trace(shop, code, now), lambda: bare(file, BATCH, code)))
        for text in ("walnut", "no such thing", lot):
            ours = len(find(shop, text, now))
            by_name, by_wood, *others = bare(file, SEARCH, f"%{text}%")
            assert ours == len({row[0] for row in by_name + by_wood}) + sum(map(len, others))
            pair = least(lambda t=text: find(shop, t, now), lambda t=text: bare(file, SEARCH, f"%{t}%"), 10)
            show(f"find {text!r}, {ours} found", pair)
        file.close()
        shop.close()


if __name__ == "__main__":
    main()
