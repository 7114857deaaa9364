"""`finishing report`: added up anew here from the schedules' files and plain SQL over the database."""

from __future__ import annotations

import datetime as dt
import math
import sqlite3
from contextlib import closing

import pytest
from freezegun.api import FrozenDateTimeFactory

from finishing.clock import hour_of, now_hour
from finishing.cure.work import CoatEntry
from finishing.shop.shop import Shop
from finishing.store import batches as stored
from finishing.store import entries

from .conftest import Command

COATS = ("1", "2", "3", "4")


@pytest.fixture
def worked(shop: Command, clock: FrozenDateTimeFactory) -> Command:
    """T-1 finished late in March and released, T-2 finished in time in April, T-3 given up; a coat of each voided."""
    shop.ok("settings", "hourly_rate", "30")
    shop.ok("can", "add", "wiping-varnish", "--volume", "1L", "--lot", "W", "--price", "40")
    for code, wanted in (("T-2", "2026-04-30"), ("T-3", "2026-03-25"), ("T-4", "2026-03-12")):
        shop.ok("batch", "add", "--what", "bowls", "--pieces", "6", "--size", "300x200x18", "--species", "hard maple",
                "--schedule", "wiped-varnish-four", "--place", "loft", "--code", code, "--wanted", wanted)  # fmt: skip
    for n in COATS:
        clock.tick(dt.timedelta(days=2))
        shop.ok("record", "coat", "T-4", "--coat", n, "--amount", "50mL", "--can", "3")
    shop.ok("record", "coat", "T-3", "--amount", "10mL")
    shop.ok("record", "undo", "T-3")
    shop.ok("record", "coat", "T-3")
    clock.tick(dt.timedelta(days=1))
    shop.ok("record", "release", "T-4", "pack")
    shop.ok("batch", "close", "T-3")
    clock.move_to("2026-03-31T21:30:00+00:00")  # 23:30 in Oslo, still March
    shop.ok("record", "coat", "T-2", "--amount", "20mL")
    clock.move_to("2026-03-31T22:30:00+00:00")  # half past midnight in Oslo, April
    for n in COATS[1:]:
        shop.ok("record", "coat", "T-2", "--coat", n, "--amount", "20mL")
    shop.ok("batch", "close", "T-4")
    shop.ok("batch", "close", "T-2")
    return shop


def minutes(shop: Command, pieces: int, kinds: tuple[str, ...]) -> float:
    steps = shop.json("schedules", "show", "wiped-varnish-four")["steps"]
    one = [s for s in steps if s["kind"] in kinds]
    per_coat = sum(s.get("setup_minutes", 0) + s.get("minutes_per_piece", 0) * pieces for s in one)
    return float(per_coat)


def test_a_month(worked: Command) -> None:
    found = worked.json("report", "--month", "2026-03")
    assert (found["batches"], found["pieces"], found["promised"], found["kept"]) == (1, 6, 1, 0)
    assert found["given_up"] == ["T-3"]
    # wanted 12 March 08:00, released 19 March 09:00, both in Oslo before the clocks change
    assert found["late"] == [{"code": "T-4", "days": pytest.approx(7 + 1 / 24, abs=0.01)}]
    film = worked.json("finishes", "show", "wiping-varnish")["film"]
    area = 6 * (2 * 0.3 * 0.2 + 2 * (0.3 + 0.2) * 0.018)
    own = area / film["first_m2_per_l"] * 1000
    assert found["finish_used_ml"] == {"wiping-varnish": pytest.approx(4 * 50 + 20 + own, abs=0.01)}
    assert found["finish_cost"] == pytest.approx((4 * 50 + 20 + own) * 40 / 1000, abs=0.01)
    assert found["coats_reckoned"] == 1
    assert (found["hours_timed"], found["hours_learned"]) == (0.0, 0.0)
    four = minutes(worked, 6, ("coat", "wipe"))
    assert found["hours"] == pytest.approx(four * (4 + 1 + 1) / 4 / 60, abs=1e-3)
    assert found["labour_cost"] == pytest.approx(found["hours"] * 30, abs=0.01)
    assert sum(day["hours"] for day in found["days"]) == pytest.approx(found["hours"], abs=1e-3)
    assert (len(found["days"]), found["days"][18]["pieces"]) == (31, 6)
    assert found["from"] == "2026-03-01T00:00:00+01:00"
    assert found["until"] == "2026-04-01T00:00:00+02:00"


def test_hours_are_as_timed_else_as_learned_else_as_stated(worked: Command) -> None:
    """Two coats timed at three times the stated minutes: reckoned here by the rule the README states, in logarithms.

    The stated minutes weigh as two sessions, so the median lies half way: the square root of three.
    """
    steps = worked.json("schedules", "show", "wiped-varnish-four")["steps"]
    coats = [n for n, step in enumerate(steps) if step["kind"] == "coat"]
    each, setup = steps[coats[0]]["minutes_per_piece"], steps[coats[0]].get("setup_minutes", 0)
    before = worked.json("report", "--month", "2026-03")
    opened = Shop.open(now_hour())
    with opened.store.write() as w:
        row = stored.by_code(w, "T-1")
        for position in coats[:2]:
            at = hour_of(dt.datetime(2026, 3, 20, tzinfo=dt.UTC)) + position * 24.0
            entries.add(w, row.id, CoatEntry(0, at, position, None, False, 3.0 * each), recorded_at=at)
        w.commit()
    opened.close()
    after = worked.json("report", "--month", "2026-03")
    assert after["hours_timed"] == pytest.approx(2 * 4 * 3.0 * each / 60, abs=1e-3)
    coated = 6  # T-4's four, T-3's and T-2's, of six pieces each: none timed
    assert after["hours_learned"] == pytest.approx(coated * 6 * each * math.sqrt(3.0) / 60, abs=1e-3)
    untimed = before["hours_stated"] - coated * 6 * each / 60 + 2 * setup / 60
    assert after["hours_stated"] == pytest.approx(untimed, abs=1e-3)
    assert after["hours"] == pytest.approx(sum(after[f"hours_{k}"] for k in ("timed", "learned", "stated")), abs=1e-3)
    said = worked.ok("report", "--month", "2026-03")
    assert f"{after['hours_timed']:.1f} h as timed, {after['hours_learned']:.1f} h at your learned pace, " in said
    assert all(len(line) <= 80 for line in said.splitlines())


def test_what_was_poured_is_what_the_record_says(worked: Command) -> None:
    """Over both months: the amounts of standing coats, by plain SQL, and what no amount was said of."""
    with closing(sqlite3.connect(worked.home / "finishing.db")) as plain:
        (poured,) = plain.execute(
            "SELECT sum(amount_ml) FROM entry WHERE kind = 'coat' AND id NOT IN"
            " (SELECT voids FROM entry WHERE voids IS NOT NULL)"
        ).fetchone()
    months = [worked.json("report", "--month", month) for month in ("2026-03", "2026-04")]
    film = worked.json("finishes", "show", "wiping-varnish")["film"]
    own = 6 * (2 * 0.3 * 0.2 + 2 * (0.3 + 0.2) * 0.018) / film["first_m2_per_l"] * 1000
    assert sum(m["finish_used_ml"]["wiping-varnish"] for m in months) == pytest.approx(poured + own, abs=0.01)
    april = months[1]
    assert (april["batches"], april["pieces"], april["kept"], april["late"]) == (1, 6, 1, [])
    assert april["schedules"][0]["schedule"] == "wiped-varnish-four"


def test_in_words_at_80_columns(worked: Command) -> None:
    said = worked.ok("report", "--month", "2026-03")
    for part in ("March 2026", "6 pieces in 1 batch", "0 of 1 promised date kept", "wiped-varnish-four", "T-4 by 7.0 d",
                 "not counted: T-3", "1 coat without a recorded amount", "most 6"):  # fmt: skip
        assert part in said, part
    assert all(len(line) <= 80 for line in said.splitlines())
    assert worked.ok("report").startswith("April 2026")


def test_an_empty_month_and_none(worked: Command) -> None:
    assert "nothing was recorded" in worked.ok("report", "--month", "2025-02")
    assert len(worked.json("report", "--month", "2024-02")["days"]) == 29
    for wrong in ("2026-13", "2026", "march", "2026-03-01", "9999-01"):
        assert "such as 2026-11" in worked.refused("report", "--month", wrong)
