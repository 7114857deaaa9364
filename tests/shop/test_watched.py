"""A watched folder: logs read in once they are whole; and what came up on the bench since it was looked at."""

from __future__ import annotations

import os
import re
from pathlib import Path

import pytest

from finishing.errors import BadInput
from finishing.shop.places import add_reading, last_readings
from finishing.shop.reminders import news, standing_of
from finishing.shop.shop import Shop
from finishing.shop.watched import Watched, take_in
from tests.shop.built import NOW, begin
from tests.shop.doing import coat

LOG = "time,temperature °C,humidity %\n2026-03-01T08:00:00Z,20.5,50\n2026-03-01T08:10:00Z,20.6,51\n"


def look(shop: Shop, watched: Watched) -> list[tuple[str, bool]]:
    return take_in(shop, watched, "loft", "UTC", NOW)


def test_a_log_is_read_in_once_it_is_whole_and_again_when_it_grows(shop: Shop, tmp_path: Path) -> None:
    folder = tmp_path / "logs"
    folder.mkdir()
    watched = Watched(folder)
    log = folder / "loft.CSV"
    log.write_text(LOG[:40], encoding="utf-8")  # still being written
    assert look(shop, watched) == []
    log.write_text(LOG, encoding="utf-8")
    assert look(shop, watched) == []
    assert look(shop, watched) == [("loft.CSV: loft: 2 readings added; no next step moves", True)]
    assert look(shop, watched) == []
    log.write_text(LOG + "2026-03-01T08:20:00Z,20.7,52\n", encoding="utf-8")
    assert look(shop, watched) == []
    assert look(shop, watched) == [("loft.CSV: loft: 1 reading added, 2 were there already; no next step moves", True)]
    assert len(last_readings(shop, "loft", 10)) == 3
    again = Watched(folder)  # another start of the program adds nothing twice
    look(shop, again)
    assert look(shop, again) == [("loft.CSV: loft: 0 readings added, 3 were there already; no next step moves", True)]


def test_a_log_that_moves_a_step_and_differs_says_both(shop: Shop, tmp_path: Path) -> None:
    begin(shop)
    coat(shop, "B-1", NOW - 2.0)
    for hours in (1.0, 0.5):
        add_reading(shop, "loft", round((NOW - hours) * 3600), 21.0, 50.0)
    watched = Watched(tmp_path)
    rows = [f"{round((NOW - hours) * 3600)},9.0,50" for hours in (1.5, 1.0 - 1 / 60, 0.25)]
    (tmp_path / "cold.csv").write_text("\n".join(("epoch,temperature °C,humidity %", *rows)))
    look(shop, watched)
    (added, well), *_, (differs, _) = look(shop, watched)
    assert re.fullmatch(r"cold\.csv: loft: 3 readings added; B-1 now .+, was .+", added)
    assert well
    assert differs.startswith(
        "! cold.csv: 1 of its readings lies within ten minutes of others there that differ by up to 12 °C"
    )
    assert differs.endswith("readings leave-out undoes it")


def test_what_cant_be_understood_is_said_once_and_other_files_are_left(shop: Shop, tmp_path: Path) -> None:
    watched = Watched(tmp_path / "logs")
    with pytest.raises(BadInput, match="folder"):
        look(shop, watched)
    watched.folder.mkdir()
    (watched.folder / "bad.csv").write_text("nothing of use")
    (watched.folder / "photo.jpg").write_bytes(os.urandom(50))
    (watched.folder / ".part.csv").write_text(LOG)
    look(shop, watched)
    [(words, well)] = look(shop, watched)
    assert words.startswith("bad.csv: not read in: ")
    assert not well
    assert look(shop, watched) == []


def test_one_reading(shop: Shop) -> None:
    assert add_reading(shop, "loft", 1_700_000_000, 20.5, float("nan")).added
    assert not add_reading(shop, "loft", 1_700_000_000, 99.0, 1.0).added
    [reading] = last_readings(shop, "loft", 10)
    assert (reading.temperature_c, reading.humidity_pct) == (20.5, None)


def test_what_comes_into_the_hands_is_told_and_what_was_there_is_not(shop: Shop) -> None:
    begin(shop, "B-1", "wiped-varnish-four")
    before = standing_of(shop.bench(NOW))
    begin(shop, "B-2", "wiped-varnish-four")
    assert [r.code for r in news(before, shop.bench(NOW))] == ["B-2"]
    coat(shop, "B-1", NOW)
    waiting = standing_of(shop.bench(NOW + 3))
    assert news(waiting, shop.bench(NOW + 3)) == []
    opened = next(h for h in range(4, 200) if news(waiting, shop.bench(NOW + h)))
    [one] = news(waiting, shop.bench(NOW + opened))
    assert one.code == "B-1"
