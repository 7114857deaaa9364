"""Fill a database with ten invented years of a shop, through the store's own tables.

    python tests/bench/make_shop.py OUT [--batches 20000] [--open 200] [--entries 15] [--readings 1000000]
        [--coats-a-can 0]

OUT is the file to make. Every name and figure is invented; the same arguments give the same shop. `--frozen` takes a
file with the body that every batch is begun with, and `--kinds` its steps; without it a placeholder is kept.
"""

from __future__ import annotations

import argparse
import random
from collections.abc import Iterator
from itertools import repeat
from pathlib import Path
from typing import Any

import numpy as np
from sqlalchemy import insert

from finishing.clock import hour_of
from finishing.cure.outlook import UsualDay
from finishing.cure.terms import Face, Stage
from finishing.cure.work import AbradeEntry, CloseEntry, CoatEntry, Entry, Finding, StepEntry, TestEntry
from finishing.store import Store, Writer, at_file, frozen, places
from finishing.store.engine import driver
from finishing.store.kinds import COAT, NoteEntry, columns_of
from finishing.store.tables import BATCH, BATCH_WOOD, CAN, ENTRY
from finishing.store.types import instant, maybe_instant

YEARS = 10
END = hour_of(instant(490_000.0))
"""The shop's present unless another is given: an hour late in 2025."""

WOODS = ("maple", "walnut", "cherry", "oak", "teak", "ash")
KINDS = "prepare,coat,abrade,coat,abrade,coat,abrade,coat,buff"
READING_PLACES = ("bench room", "loft")
LOT_CANS = 4


def main() -> None:
    """Make the file."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("out", type=Path)
    parser.add_argument("--batches", type=int, default=20_000, help="batches already closed")
    parser.add_argument("--open", type=int, default=200, help="batches still open")
    parser.add_argument("--entries", type=int, default=15, help="entries of a closed batch")
    parser.add_argument("--coats-a-can", type=int, default=0, help="coats that come from one can; 0: no cans")
    parser.add_argument("--readings", type=int, default=1_000_000, help="readings of all places together")
    parser.add_argument("--schedule", default="invented", help="name of the schedule every batch follows")
    parser.add_argument("--kinds", default=KINDS, help="kinds of the schedule's steps, in order")
    parser.add_argument("--frozen", type=Path, help="file with the frozen schedule, finishes and woods")
    parser.add_argument("--end", type=float, default=END, help="the shop's present, in hours since 1970")
    args = parser.parse_args()
    body = args.frozen.read_text(encoding="utf-8") if args.frozen else '{"invented":true}'
    start = args.end - YEARS * 365.25 * 24
    with Store.open(at_file(args.out), args.end) as store:
        with store.write() as w:
            place_ids = [places.create(w, name, start) for name in READING_PLACES]
            for place_id in place_ids:
                places.set_usual(w, place_id, UsualDay(14.0, 21.0, 62.0, 45.0), start)
            key = frozen.freeze(w, body)
            add_batches(w, args, start, key, place_ids)
            w.commit()
        for place_id in place_ids:
            add_air(store, place_id, args.readings // len(place_ids), start, args.end)


def add_batches(w: Writer, args: argparse.Namespace, start: float, key: str, place_ids: list[int]) -> None:
    """Closed batches evenly over the years, then the open ones of the last days."""
    chance = random.Random(1)
    batches, woods, entries = [], [], []
    for i in range(args.batches + args.open):
        is_open = i >= args.batches
        span = args.end - start - 800
        begun = args.end - chance.uniform(2, 220) if is_open else start + span * i / max(args.batches, 1)
        record = list(record_of(begun, args.kinds.split(","), args.entries, chance))
        closed = None if is_open else record[-1].at
        batches.append(batch_values(i, begun, closed, chance, key, args.schedule, place_ids))
        woods.append({"batch_id": i + 1, "position": 0, "species": chance.choice(WOODS), "share": 1.0})
        entries += [entry_values(i + 1, entry) for entry in record if entry.at <= args.end]
    w.connection.execute(insert(BATCH), batches)
    w.connection.execute(insert(BATCH_WOOD), woods)
    entries.sort(key=lambda values: values["recorded_at"])
    if args.coats_a_can:
        pour_from_cans(w, entries, args.coats_a_can)
    w.connection.execute(insert(ENTRY), entries)


def batch_values(
    i: int, begun: float, closed: float | None, chance: random.Random, key: str, schedule: str, place_ids: list[int]
) -> dict[str, Any]:
    """One row of batch."""
    return {
        "id": i + 1,
        "code": f"D{i:05d}",
        "what": "invented serving board",
        "pieces": chance.randint(2, 24),
        "length_mm": 380.0,
        "width_mm": 220.0,
        "thickness_mm": 18.0,
        "shape": "rectangle",
        "schedule": schedule,
        "frozen_key": key,
        "place_id": chance.choice(place_ids),
        "wanted_by": instant(begun + 500),
        "priority": 0,
        "note": "",
        "created_at": instant(begun),
        "closed_at": maybe_instant(closed),
        "held": False,
    }


def record_of(begun: float, kinds: list[str], length: int, chance: random.Random) -> Iterator[Entry]:
    """The steps in order with touch tests between, a close nine days after, and notes up to the length."""
    at, told = begun, 1
    for step, kind in enumerate(kinds):
        at += chance.uniform(6, 20)
        match kind:
            case "coat":
                yield CoatEntry(0, at, step, amount_ml=round(chance.uniform(8, 20), 1))
                finding = Finding.DRY if chance.random() < 0.8 else Finding.TACKY
                yield TestEntry(0, at + 5.0, Stage.DRY_TO_TOUCH, finding)
                told += 1
            case "abrade":
                yield AbradeEntry(0, at, Face.BOTH, 320, step)
            case _:
                yield StepEntry(0, at, step)
        told += 1
    for _ in range(length - told):
        yield NoteEntry(0, at + 10.0, "invented")
    yield CloseEntry(0, at + 220.0)


def entry_values(batch_id: int, entry: Entry) -> dict[str, Any]:
    """One row of entry."""
    columns = columns_of(entry)
    return {
        "batch_id": batch_id,
        "kind": columns.kind,
        "at": instant(entry.at),
        "recorded_at": instant(entry.at),
        "step": columns.step,
        "body": columns.body,
        "voids": columns.voids,
        "maker": "",
        "amount_ml": columns.amount_ml,
    }


def pour_from_cans(w: Writer, entries: list[dict[str, Any]], coats_a_can: int) -> None:
    """Every coat in turn from cans that hold so many, four cans to a lot; all but the last cans are empty."""
    coats = [values for values in entries if values["kind"] == COAT]
    for i, values in enumerate(coats):
        values["can_id"] = i // coats_a_can + 1
    for values in entries:
        values.setdefault("can_id", None)
    cans = []
    for number in range(1, (len(coats) - 1) // coats_a_can + 2):
        first, last = coats[(number - 1) * coats_a_can], coats[min(number * coats_a_can, len(coats)) - 1]
        full = number * coats_a_can < len(coats)
        cans.append(
            {
                "id": number,
                "finish": "wiping-varnish",
                "lot": f"L{(number - 1) // LOT_CANS:04d}",
                "volume_ml": 950.0,
                "price": 24.0,
                "note": "",
                "opened_on": first["at"].date(),
                "created_at": first["at"],
                "emptied_at": last["at"] if full else None,
            }
        )
    w.connection.execute(insert(CAN), cans)


def add_air(store: Store, place_id: int, count: int, start: float, end: float) -> None:
    """Readings evenly over the years: a yearly and a daily swing, and a little noise."""
    seconds = np.linspace(start * 3600, end * 3600, count).astype(np.int64)
    noise = np.random.default_rng(place_id).normal(0.0, 0.4, count)
    days = seconds / 86_400
    temperatures = 17.0 - 4.0 * np.cos(2 * np.pi * days / 365.25) - 3.0 * np.cos(2 * np.pi * (days - 0.1)) + noise
    humidities = np.clip(55.0 + 8.0 * np.cos(2 * np.pi * days) + 3.0 * noise, 20.0, 95.0)
    rows = zip(repeat(place_id), *(a.tolist() for a in (seconds, np.round(temperatures, 2), np.round(humidities, 1))))
    with store.write() as w:
        # past the store's own way, which asks of each second whether it is there: ten million take half an hour so
        driver(w.connection).executemany("INSERT OR IGNORE INTO reading VALUES (?, ?, ?, ?)", rows)
        w.commit()


if __name__ == "__main__":
    main()
