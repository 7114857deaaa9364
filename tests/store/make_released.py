"""Write down the present layout with something in every table, for the migration tests of later versions.

    python -m tests.store.make_released

Makes tests/store/released/NNNN.sql, named after the newest migration. What is there already is never written anew:
it is what a released version left behind. Everything in it is invented.
"""

from __future__ import annotations

import datetime as dt
import sqlite3
import sys
import tempfile
from contextlib import closing
from pathlib import Path

import numpy as np

from finishing.clock import at_zone
from finishing.cure.outlook import DayAhead, UsualDay
from finishing.cure.terms import Stage
from finishing.cure.work import Finding
from finishing.shop import batches, cans, guide, notes, places, record
from finishing.shop.drafts import CanDraft, NewBatchDraft, StepDraft, TestDraft
from finishing.shop.forms import parse_piece_size
from finishing.shop.settings import change_setting
from finishing.shop.shop import Shop
from finishing.store import at_file, left_out, lessons, readings, schema
from finishing.store.readings import LogImport

from .kills import NOW

FOLDER = Path(__file__).with_name("released")


def main() -> int:
    """Write the file of the newest migration."""
    target = FOLDER / f"{schema.HEAD}.sql"
    if target.exists():
        print(f"{target.name} is there already, and stays as it is")  # noqa: T201
        return 1
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "finishing.db"
        fill(file)
        with closing(sqlite3.connect(file)) as plain:
            target.write_text("\n".join(plain.iterdump()) + "\n", encoding="utf-8")
    print(f"{target.name}: {target.stat().st_size:,} bytes")  # noqa: T201
    return 0


def fill(file: Path) -> None:
    """A small shop that has used everything."""
    shop = Shop.open(NOW, at_file(file))
    try:
        change_setting(shop, "zone", "Europe/Oslo", NOW)
        change_setting(shop, "maker", "Åse", NOW)
        places.add_place(shop, "løft", UsualDay(18.0, 22.0, 55.0, 45.0), NOW, rack_pieces=40)
        places.expect(shop, "løft", DayAhead(day(1), 3.0, 12.0, 70.0), NOW)
        can = cans.shelve(shop, CanDraft("wiping-varnish", 500.0, "W7", 24.0, opened=True), NOW)
        size = parse_piece_size("300x200x18")
        woods = (("hard maple", 0.8), ("padauk", 0.2))
        for code in ("R-1", "R-2"):
            draft = NewBatchDraft("trays", 4, "wiped-varnish-four", "løft", woods, size, code, NOW + 900, "a gift")
            batches.begin_batch(shop, draft, NOW)
        record.record_step(shop, StepDraft("R-1"), NOW)
        position = record.coat_position(shop, "R-1", None, None, NOW)
        record.record_step(shop, StepDraft("R-1", position, amount_ml=55.0, can=can), NOW + 1)
        record.touch_test(shop, TestDraft("R-1", Stage.DRY_TO_TOUCH, Finding.TACKY), NOW + 3)
        notes.add_note(shop, "R-1", "a 'quoted' note;\nof two lines \u2713", NOW + 3)
        record.undo(shop, "R-1", NOW + 4)
        guide.begin(shop, "R-1", None, NOW + 30)
        record.close(shop, "R-2", NOW + 4)
        air(shop)
    finally:
        shop.close()


def air(shop: Shop) -> None:
    """Readings, the log they came from, some of them left out, and a word on learning."""
    seconds = np.arange(1_763_000_000, 1_763_000_000 + 50 * 600, 600)
    humidity = np.where(seconds % 1800 == 0, np.nan, 51.5)
    with shop.store.write() as w:
        added = readings.add_readings(w, 1, seconds, 18.0 + seconds % 7 / 10, humidity)
        readings.remember_import(w, LogImport(1, "log.csv", "0" * 64, 50, added, NOW))
        left_out.leave_out(w, 1, 1_763_000_000, 1_763_003_000, left_out.Word(NOW, note="in the sun"))
        second = left_out.leave_out(w, 1, 1_763_010_000, 1_763_012_000, left_out.Word(NOW, "log.csv", "Åse"))
        left_out.put_back(w, second.number, left_out.Word(NOW))
        lessons.exclude(w, "wiping-varnish", 3, NOW, note="felt the wrong tray")
        w.commit()


def day(ahead: int) -> dt.date:
    """The date so many days after NOW."""
    return at_zone(NOW + 24 * ahead, "Europe/Oslo").date()


if __name__ == "__main__":
    sys.exit(main())
