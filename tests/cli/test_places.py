"""`finishing place`, `readings`, `can` and `settings`."""

from __future__ import annotations

import re
from dataclasses import fields
from pathlib import Path

import pytest
from freezegun.api import FrozenDateTimeFactory

from finishing.shop.settings import THEMES, UNITS, Settings

from .conftest import Command

LOG = "Date;Time;Temperature (°F);RH %\n" + "\n".join(
    f"{day:02d}/03/2026;{hour:02d}:00;{50 + hour};{40 + hour}" for day in range(1, 10) for hour in range(24)
)
"""An invented log: nine days, day first, Fahrenheit, semicolons."""


@pytest.fixture
def log(tmp_path: Path) -> Path:
    path = tmp_path / "loft.csv"
    path.write_text(LOG, encoding="utf-8")
    return path


def test_place_show(shop: Command) -> None:
    found = shop.json("place", "show", "cellar")
    assert list(found) == [
        "name", "rack_pieces", "batches", "last_reading", "usual_day", "usual_day_lately", "days_ahead", "air_now",
    ]  # fmt: skip
    assert (found["rack_pieces"], found["last_reading"], found["usual_day_lately"]) == (20, None, None)
    assert found["usual_day"]["low_c"] == 9.0
    assert 9.0 <= found["air_now"]["temperature_c"] <= 11.0
    assert found["air_now"]["measured"] is False
    # 10 °C and 60 % RH: wood moisture 11.1 to 11.2 %, USDA Wood Handbook, table 4-2 (rows for 4.4 and 10 °C)
    assert found["air_now"]["wood_moisture_pct"] == pytest.approx(11.15, abs=0.25)
    said = shop.ok("place", "show", "CELLAR")
    assert "dew point" in said
    assert "11." in said
    assert "cellar" in shop.ok("place", "list")
    assert [place["name"] for place in shop.json("place", "list")] == ["loft", "cellar"]


def test_place_expect(shop: Command) -> None:
    shop.ok("place", "expect", "loft", "2026-03-12", "--low", "5", "--high", "9", "--humidity", "70")
    said = shop.json("place", "expect", "loft", "2026-03-12", "--low", "41F", "--high", "50F")
    assert said["days_ahead"] == [{"date": "2026-03-12", "low_c": 5.0, "high_c": 10.0, "humidity_pct": None}]


def test_import(shop: Command, log: Path) -> None:
    dry = shop.json("readings", "import", str(log), "--place", "loft", "--dry-run", "--day-first")
    assert (dry["readings"], dry["added"], dry["dry_run"]) == (216, 216, True)
    assert shop.json("readings", "list", "--place", "loft") == []
    done = shop.json("readings", "import", str(log), "--place", "loft", "--day-first")
    assert done["added"] == 216
    understood = done["understood"]
    assert [(c["role"], c["unit"]) for c in understood["columns"]] == [
        ("date", None), ("time", None), ("temperature", "°F"), ("humidity", "% RH"),
    ]  # fmt: skip
    assert understood["zone"] == "Europe/Oslo"
    assert (understood["first"], understood["last"]) == ("2026-03-01T00:00:00+01:00", "2026-03-09T23:00:00+01:00")
    again = shop.ok("readings", "import", str(log), "--place", "loft", "--day-first")
    assert "loft: 0 readings added, 216 were there already" in again
    last = shop.json("readings", "list", "--place", "loft", "--last", "2")
    assert [r["at"] for r in last] == ["2026-03-09T22:00:00+01:00", "2026-03-09T23:00:00+01:00"]
    assert last[1]["temperature_c"] == pytest.approx((73 - 32) / 1.8, abs=1e-6)
    assert len(shop.json("readings", "list", "--place", "loft", "--last", "500")) == 216


def test_a_wrong_log_left_out_and_taken_back(shop: Command, log: Path) -> None:
    """Read in an hour off: out with it, in with the right one; what is said is harmless whatever the note."""
    shop.ok("record", "coat", "T-1", "--at", "2026-03-09 12:00")
    before = shop.json("batch", "show", "T-1")["next"]["opens"]
    where = (str(log), "--place", "loft", "--day-first")
    came = shop.json("readings", "import", *where, "--zone", "UTC")
    wrong = shop.json("batch", "show", "T-1")["next"]["opens"]
    assert wrong != before
    assert came["moved"] == [{"batch": "T-1", "opens": wrong, "was": before}]
    assert came["differing"] is None
    out = ("readings", "leave-out", *where)
    assert "log: got 'loft.csv', expected one whose readings stand at loft" in shop.refused(*out)
    dry = shop.json(*out, "--zone", "UTC", "--dry-run")
    assert dry == {
        "place": "loft", "dry_run": True, "number": None, "file": "loft.csv", "readings": 216,
        "from": "2026-03-01T01:00:00+01:00", "until": "2026-03-10T00:00:00+01:00",
        "low_c": 10.0, "high_c": pytest.approx(22.78, abs=0.01), "moved": [],
    }  # fmt: skip
    said = shop.ok(*out, "--zone", "UTC", "--dry-run")
    assert said == "loft: 216 readings, 1 Mar 01:00 to today 00:00, 10 °C to 23 °C: would be left out\n"
    assert shop.json("readings", "left-out") == []
    note = "zone \x1b[2J\u202e =1+1"
    done = shop.json(*out, "--zone", "UTC", "--note", note)
    assert done == dry | {
        "dry_run": False, "number": 1, "moved": [{"batch": "T-1", "opens": before, "was": wrong}],
    }  # fmt: skip
    assert shop.json("readings", "list", "--place", "loft") == []
    [line] = shop.json("readings", "left-out", "--place", "LOFT")
    assert line == {
        "number": 1, "place": "loft", "file": "loft.csv", "readings": 216, "from": dry["from"], "until": dry["until"],
        "at": "2026-03-10T09:00:00+01:00", "maker": "", "note": note, "taken_back": None,
    }  # fmt: skip
    listed = shop.ok("readings", "left-out")
    assert "1       loft   216       1 Mar 01:00 to today 00:00  loft.csv" in listed
    assert not set("\x1b\u202e") & set(listed)
    assert shop.json("readings", "left-out", "--place", "cellar") == []
    assert shop.json("readings", "import", *where, "--zone", "UTC")["left_out"] == 216
    assert shop.json("readings", "import", *where)["added"] == 216
    assert shop.json("readings", "import", *where, "--zone", "UTC", "--again", "--dry-run")["added"] == 1
    back = shop.json("readings", "take-back", "1", "--note", "mine")
    assert (back["number"], back["readings"], back["stay_out"]) == (1, 1, 215)
    [line] = shop.json("readings", "left-out")
    assert line["taken_back"] == {
        "at": "2026-03-10T09:00:00+01:00", "readings": 1, "stay_out": 215, "maker": "", "note": "mine",
    }  # fmt: skip
    assert "taken back 09:00" in shop.ok("readings", "left-out")
    assert "still holds" in shop.refused("readings", "take-back", "1")


def test_a_time_left_out(shop: Command, log: Path) -> None:
    shop.ok("readings", "import", str(log), "--place", "loft", "--day-first")
    span = ("--place", "loft", "--from", "2026-03-09 20:00", "--until", "2026-03-09 22:00")
    said = shop.ok("readings", "leave-out", *span, "--note", "in the sun")
    assert (
        said == "loft: 3 readings, yesterday 20:00 to 22:00, 21 °C to 22 °C: left out, number 1; no next step moves\n"
    )
    last = shop.json("readings", "list", "--place", "loft", "--last", "2")
    assert [r["at"] for r in last] == ["2026-03-09T19:00:00+01:00", "2026-03-09T23:00:00+01:00"]
    assert shop.ok("readings", "take-back", "1") == "loft: 3 readings taken back; no next step moves\n"


def test_the_place_knows_what_was_read(shop: Command, log: Path, clock: FrozenDateTimeFactory) -> None:
    clock.move_to("2026-03-09T22:30:00+00:00")
    shop.ok("readings", "import", str(log), "--place", "loft", "--day-first")
    found = shop.json("place", "show", "loft")
    assert found["air_now"]["measured"] is True
    assert found["last_reading"]["at"] == "2026-03-09T23:00:00+01:00"
    # every day of the log: 50 °F at midnight, 73 °F an hour before the next
    assert found["usual_day_lately"]["low_c"] == pytest.approx(10.0, abs=0.01)
    assert found["usual_day_lately"]["high_c"] == pytest.approx(22.78, abs=0.01)


def test_cans(shop: Command) -> None:
    added = shop.json("can", "add", "tung-oil", "--volume", "16 fl oz", "--opened", "--keeps", "90", "--price", "12.5")
    assert added["volume_ml"] == pytest.approx(473.18, abs=0.01)  # 1 US pint: NIST Handbook 44, appendix C
    assert (added["can"], added["opened_on"], added["use_within_days"]) == (3, "2026-03-10", 90)
    for typed, day in (("yesterday", "2026-03-09"), ("2 Mar", "2026-03-02"), ("2026-03-01 18:00", "2026-03-01")):
        one = shop.json("can", "add", "raw-linseed-oil", "--volume", "1L", "--opened-on", typed)
        assert one["opened_on"] == day
        shop.ok("can", "empty", str(one["can"]))
    assert "a day that has come" in shop.refused(
        "can", "add", "tung-oil", "--volume", "1L", "--opened-on", "2026-03-11"
    )
    assert [can["can"] for can in shop.json("can", "list")] == [2, 3, 1]
    assert shop.ok("can", "empty", "3") == "can 3: empty, off the shelf\n"
    assert "tung-oil" not in shop.ok("can", "list")
    assert shop.json("can", "show", "3")["emptied_at"] == "2026-03-10T09:00:00+01:00"
    assert "not empty" in shop.refused("can", "empty", "3")


def test_settings(shop: Command) -> None:
    assert shop.json("settings")["zone"] == "Europe/Oslo"
    shop.ok("settings", "units", "imperial")
    shop.ok("settings", "level", "90%")
    assert shop.json("settings", "level") == {"level": 0.9}
    assert "°F" in shop.ok("place", "show", "loft")
    # from here on, what is typed without a unit is in the maker's own
    shop.ok("place", "expect", "loft", "2026-03-12", "--low", "50", "--high", "59")
    assert shop.json("place", "show", "loft")["days_ahead"][0]["high_c"] == pytest.approx(15.0)


def test_the_help_of_settings_names_every_one_and_what_it_takes(run: Command) -> None:
    said = run.ok("settings", "--help")
    for name in (field.name for field in fields(Settings)):
        assert re.search(rf"^  {name}  ", said, re.MULTILINE), name
    for word in (*UNITS, *THEMES):
        assert word in said
