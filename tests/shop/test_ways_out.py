"""Trace, find, report, export and import, on either kind of database; the commands' own tests are about SQLite."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import numpy as np
import pytest

from finishing.errors import NotFound
from finishing.shop import cans, notes, record
from finishing.shop.drafts import CanDraft
from finishing.shop.exporting import bring_in, export
from finishing.shop.find import find
from finishing.shop.report import report
from finishing.shop.shop import Shop
from finishing.shop.trace import BatchTraced, Recall, trace
from finishing.store import Location, at_file
from finishing.store import places as stored_places
from finishing.store import readings as stored_readings
from finishing.store import rows as stored
from tests.databases import KINDS, database
from tests.shop.built import FILE, NOW, begin
from tests.shop.doing import coat, do

LOT = "Øl-9 100%"
LATER = NOW + 30.0
SECONDS = np.arange(round((NOW - 24) * 3600), round((LATER + 24) * 3600), 600)
WARMTH = np.round(15.0 + 5.0 * np.sin(SECONDS / 9000.0), 2)


@pytest.fixture
def worked(shop: Shop) -> Shop:
    """A lot of two cans on A-1, moved and closed, and on A-2; voided on A-3. Readings every ten minutes in the loft."""
    first, second = (cans.shelve(shop, CanDraft("wiping-varnish", 1000.0, LOT, 24.0), NOW) for _ in range(2))
    for code, can in (("A-1", first), ("A-2", second), ("A-3", first)):
        begin(shop, code, what="trays 'n' \\ boards")
        coat(shop, code, NOW, 40.0, can)
    record.undo(shop, "A-3", NOW)
    with shop.store.write() as w:
        loft = stored_places.by_name(w, "loft")
        stored_readings.add_readings(w, loft.id, SECONDS, WARMTH, np.full(len(SECONDS), 55.5))
        w.commit()
    record.move(shop, "A-1", "cellar", LATER)
    notes.add_note(shop, "A-2", "50% walnut\n=dust", LATER)
    return shop


def test_a_lot_leads_to_its_batches(worked: Shop) -> None:
    for word in (LOT, LOT.lower()):
        found = trace(worked, word, LATER)
        assert isinstance(found, Recall)
        assert [(b.code, b.where.place, b.where.state) for b in found.batches] == [
            ("A-1", "cellar", "on_rack"),
            ("A-2", "loft", "on_rack"),
        ]
        assert [coat.at for b in found.batches for coat in b.coats] == [NOW, NOW]
        assert [coat.amount_ml for b in found.batches for coat in b.coats] == [40.0, 40.0]
        assert (len(found.cans), found.cans[0].can.price, found.pieces) == (2, 24.0, 8)
    one = trace(worked, f"can {found.cans[0].id}", LATER)
    assert isinstance(one, Recall)
    assert [b.code for b in one.batches] == ["A-1"]
    with pytest.raises(NotFound, match="Øl-9"):
        trace(worked, "Øl-8 100%", LATER)


def test_a_batch_leads_to_its_cans_and_the_air_it_dried_in(worked: Shop) -> None:
    """The air against numpy's own means over the readings put in."""
    record.close(worked, "A-2", LATER)
    found = trace(worked, "A-2", LATER)
    assert isinstance(found, BatchTraced)
    (laid,) = found.coats
    assert (laid.lot, laid.at, laid.recorded_at, laid.place) == (LOT, NOW, NOW, "loft")
    inside = WARMTH[(SECONDS >= NOW * 3600) & (SECONDS <= LATER * 3600)]
    assert laid.drying.air.readings == len(inside)
    assert laid.drying.air.temperature_c == pytest.approx((inside.min(), inside.mean(), inside.max()))
    assert laid.drying.air.humidity_pct == (55.5, pytest.approx(55.5), 55.5)
    nearest = np.argmin(np.abs(SECONDS - NOW * 3600))
    assert laid.applied == (WARMTH[nearest], 55.5)
    assert [line.words for line in found.others] == ["note: 50% walnut\n=dust", "closed"]
    assert (found.where.state, found.where.closed_at) == ("closed", LATER)


def test_anything_is_found_by_a_few_letters_or_a_day(worked: Shop) -> None:
    for text, kinds in (
        ("0% wal", ["note"]),
        ("l-9 10", ["lot", "lot"]),
        ("MAPLE", ["wood"] * 3),
        ("N' \\ b", ["batch"] * 3),
        ("no_e", []),
    ):
        assert [hit.kind for hit in find(worked, text, LATER)] == kinds, text
    for day in ("2026-03-11", "11 mar", "11 March 2026"):
        assert {hit.code for hit in find(worked, day, LATER)} == {"A-1", "A-2"}, day
    assert [hit for hit in find(worked, "12 mar", LATER) if hit.kind == "day"] == []


def test_a_batch_is_found_by_its_place_schedule_and_finish(worked: Shop) -> None:
    record.move(worked, "A-2", "cellar", LATER)
    found = find(worked, "CELL", LATER)
    assert ("place", "A-2") in [(hit.kind, hit.code) for hit in found]
    assert found[0].words.startswith("cellar: ")
    name = worked.standing("A-2", LATER).row.schedule
    by_schedule = find(worked, name.replace("-", " "), LATER)
    assert "A-2" in {hit.code for hit in by_schedule}
    assert {hit.kind for hit in by_schedule} == {"schedule"}
    begin(worked, "S-1", "oil-soak-board")
    assert [hit.code for hit in find(worked, "soak", LATER)] == ["S-1"]
    assert find(worked, "oak", LATER) == []
    by_finish = {hit.code: hit for hit in find(worked, "wiping varnish", LATER) if hit.kind == "finish"}
    assert by_finish["A-2"].words.startswith("wiping-varnish: ")


def test_a_month_is_added_up(worked: Shop) -> None:
    do(worked, "A-2", *(LATER + 24.0 * n for n in range(2)))
    month = report(worked, "2026-03", LATER + 200.0)
    assert month.whole.used_ml["wiping-varnish"] > 80.0
    assert month.whole.cost == pytest.approx(month.whole.used_ml["wiping-varnish"] * 24.0 / 1000.0)
    assert sum(hours for _, hours, _ in month.days) * 60.0 == pytest.approx(month.whole.minutes)


@contextmanager
def empty(kind: str, folder: Path) -> Iterator[Shop]:
    """A shop with nothing on record, on a kind of database."""
    if kind == "sqlite":
        opened = Shop.open(NOW, at_file(folder / "new" / FILE))
        yield opened
        opened.close()
        return
    with database() as url:
        opened = Shop.open(NOW, Location(folder / "new", url))
        yield opened
        opened.close()


@pytest.mark.parametrize("form", ["csv", "json"])
@pytest.mark.parametrize("other", KINDS)
def test_out_of_either_and_into_either_is_the_same(worked: Shop, tmp_path: Path, form: str, other: str) -> None:
    counts = export(worked, tmp_path / "out", form, LATER)
    with empty(other, tmp_path) as second:
        assert bring_in(second, tmp_path / "out") == counts
        with worked.store.read() as one, second.store.read() as two:
            for name in counts:
                assert list(stored.rows_of(one, name)) == list(stored.rows_of(two, name)), name
        assert begin(second, "A-4") == "A-4"
        assert isinstance(trace(second, LOT, LATER), Recall)
