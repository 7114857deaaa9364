"""What is taken out of a shop on either database goes into the other, row by row, and is traced there all the same."""

from __future__ import annotations

import json
from contextlib import nullcontext
from pathlib import Path

import pytest

from finishing.shop import exporting, left_out, places
from finishing.shop.change import change_batch
from finishing.shop.correct import correct
from finishing.shop.drafts import BatchChange, CorrectDraft
from finishing.shop.notes import add_note
from finishing.shop.shop import Shop
from finishing.shop.trace import trace
from finishing.store import Location, at_file
from tests.databases import database
from tests.shop.built import NOW, begin
from tests.shop.doing import coat, do


def filled(shop: Shop) -> Shop:
    """With a coated batch, readings, one of them left out, and text that tables and spreadsheets take amiss."""
    begin(shop)
    do(shop, "B-1", NOW)
    coat(shop, "B-1", NOW + 1.0, 110.0)
    add_note(shop, "B-1", '=1+1; "a"\n\tÅse, ok', NOW)
    correct(shop, CorrectDraft("B-1", 2, NOW + 0.5), NOW + 2.0)
    change_batch(shop, "B-1", BatchChange(woods=(("padauk", 0.0), ("hard maple", 0.0)), sized=True), NOW + 2.0)
    for hour in range(4):
        places.add_reading(
            shop, "loft", round((NOW + hour) * 3600), 20.1 + hour / 3, float("nan") if hour == 2 else 51.5
        )
    left_out.leave_out(shop, "loft", NOW + 1.0, NOW + 1.0, NOW, "=in the sun")
    left_out.leave_out(shop, "loft", NOW + 2.0, NOW + 2.0, NOW)
    left_out.take_back(shop, 2, NOW, "'")
    return shop


def rows(file: Path) -> dict[str, object]:
    """What an export holds, but for when it was made."""
    body = json.loads(file.read_text("utf-8"))
    return {key: value for key, value in body.items() if key != "exported_at"}


@pytest.mark.parametrize("into", ["sqlite", "postgresql"])
def test_out_of_one_database_and_into_another(shop: Shop, tmp_path: Path, into: str) -> None:
    first, second = tmp_path / "first.json", tmp_path / "second.json"
    counted = exporting.export(filled(shop), first, "json", NOW)
    with database() if into == "postgresql" else nullcontext(at_file(tmp_path / "other" / "finishing.db").url) as url:
        other = Shop.open(NOW, Location(tmp_path / "other", url))
        try:
            assert exporting.bring_in(other, first) == counted
            exporting.export(other, second, "json", NOW)
            assert rows(second) == rows(first)
            assert trace(other, "B-1", NOW + 4.0) == trace(shop, "B-1", NOW + 4.0)
            assert left_out.lines(other) == left_out.lines(shop)
            assert left_out.take_back(other, 1, NOW).back == 1
            do(other, "B-1", NOW + 1.1)  # numbers go on from where they were
            assert len(other.standing("B-1", NOW + 2.0).entries) == 7
            assert other.standing("B-1", NOW + 2.0).row.woods == shop.standing("B-1", NOW + 2.0).row.woods
        finally:
            other.close()


OLDER = {"0001": ("lesson", "leaving", "left_reading"), "0002": ("leaving", "left_reading")}
"""By layout of the tables, those that came after it."""


@pytest.mark.parametrize("layout", OLDER)
@pytest.mark.parametrize("form", ["csv", "json"])
def test_an_export_of_an_older_layout_comes_in(shop: Shop, tmp_path: Path, layout: str, form: str) -> None:
    """As the versions of those layouts wrote it: without the tables they did not have."""
    begin(shop)
    do(shop, "B-1", NOW)
    places.add_reading(shop, "loft", round(NOW * 3600), 20.5, 51.5)
    source, back = tmp_path / "old", tmp_path / "back.json"
    counted = exporting.export(shop, source, form, NOW)
    about = source / "about.json" if form == "csv" else source
    body = json.loads(about.read_text("utf-8"))
    body["schema"] = layout
    for table in OLDER[layout]:
        assert counted.pop(table) == 0
        del body["tables"][table]
        if form == "csv":
            (source / f"{table}.csv").unlink()
    about.write_text(json.dumps(body), encoding="utf-8")
    other = Shop.open(NOW, at_file(tmp_path / "other" / "finishing.db"))
    try:
        assert exporting.bring_in(other, source) == counted
        exporting.export(other, back, "json", NOW)
        exporting.export(shop, tmp_path / "now.json", "json", NOW)
        assert rows(back) == rows(tmp_path / "now.json")
        (_,) = places.last_readings(other, "loft", 9)
        assert left_out.leave_out(other, "loft", NOW, NOW, NOW).number == 1
    finally:
        other.close()
