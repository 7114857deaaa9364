"""From a batch on the rack to the hour of its next coat, by commands alone."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest
from freezegun.api import FrozenDateTimeFactory

from .conftest import Command


def hour(text: str) -> dt.datetime:
    when = dt.datetime.fromisoformat(text)
    assert when.utcoffset() is not None, "an offset is always written"
    return when


def log_of(path: Path, end: dt.datetime, hours: int, celsius: float, humidity: float) -> Path:
    """An invented log: a reading every ten minutes, up to the hour `end`."""
    rows = ["Time,Temperature (°C),Humidity (%)"]
    for i in range(hours * 6 + 1):
        at = end - dt.timedelta(minutes=10 * (hours * 6 - i))
        rows.append(f"{at:%Y-%m-%d %H:%M:%S},{celsius},{humidity}")
    path.write_text("\n".join(rows), encoding="utf-8")
    return path


def test_from_rack_to_second_coat(run: Command, clock: FrozenDateTimeFactory, tmp_path: Path) -> None:
    run.ok("settings", "zone", "Europe/Oslo")
    run.ok("place", "add", "loft", "--low", "15", "--high", "21")
    log = log_of(tmp_path / "loft.csv", hour("2026-03-10T09:00+01:00"), 72, 21.0, 50.0)
    assert "433 readings added" in run.ok("readings", "import", str(log), "--place", "loft")

    added = run.ok(
        "batch", "add", "--what", "tea trays", "--pieces", "12", "--size", "300x200x18",
        "--species", "hard maple", "--schedule", "wiped-varnish-four",
    )  # fmt: skip
    assert added.startswith("26-001: tea trays ×12, on record")
    assert run.json("due")["groups"]["now"][0]["do"].startswith("prepare")

    run.ok("record", "step", "26-001")
    said = run.json("record", "coat", "26-001", "--coat", "1", "--amount", "90mL")
    assert said["recorded"][0]["kind"] == "coat"
    assert "oily_rags" in [c["code"] for c in said["cautions"] if c["urgent"]]

    # Right after the coat it has to be wiped off; ten minutes later the next coat is what is due, and it says when.
    clock.move_to("2026-03-10T08:10:00+00:00")
    later = run.json("due")["groups"]
    row = (later["today"] + later["later"])[0]
    assert row["next"]["state"] == "waiting"
    opens, likely = hour(row["next"]["opens"]), hour(row["next"]["likely"])
    assert opens > likely > hour("2026-03-10T08:10:00+00:00")
    assert opens.strftime("%H:%M") in run.ok("due")

    # After that hour it is under "now", and a second coat may go on once the faces are abraded.
    clock.move_to(opens + dt.timedelta(minutes=5))
    row = run.json("due")["groups"]["now"][0]
    assert (row["code"], row["next"]["state"]) == ("26-001", "open")
    while run.json("batch", "show", "26-001")["next"]["kind"] != "coat":
        run.ok("record", "step", "26-001")
    said = run.json("record", "coat", "26-001", "--coat", "2")
    assert said["heed"] is None
    shown = run.json("batch", "show", "26-001")
    assert [coat["coat"] for coat in shown["coats"]] == [1, 2]
    assert hour(shown["coats"][1]["applied_at"]) == opens + dt.timedelta(minutes=5)


def test_to_the_end(shop: Command, clock: FrozenDateTimeFactory) -> None:
    """Every step at the hour the program gives, until the batch may be used, and it closes."""
    for _ in range(40):
        following = shop.json("batch", "show", "T-1")["next"]
        if following is None:
            break
        assert following["state"] in ("open", "waiting")
        clock.move_to(max(hour(following["opens"]), hour(shop.json("due")["now"])) + dt.timedelta(minutes=1))
        shop.ok("record", "step", "T-1")
    shown = shop.json("batch", "show", "T-1")
    assert shown["next"] is None
    assert [coat["coat"] for coat in shown["coats"]] == [1, 2, 3, 4]
    handle, pack, use = (hour(shown["released"][r]) for r in ("handle", "pack", "use"))
    assert handle < pack < use
    rest = shown["steps"][-1]
    assert (rest["kind"], rest["state"]) == ("rest", "ahead")  # it hardens; nothing says that it is done
    assert "hardens until" in shop.ok("batch", "show", "T-1")
    assert shop.json("due")["groups"]["resting"][0]["code"] == "T-1"
    clock.move_to(pack + dt.timedelta(hours=1))
    ready = shop.json("due")["groups"]["ready"][0]
    assert ready["may"] == {"handle": True, "pack": True, "use": False}
    assert "may be packed" in shop.ok("due")
    shop.ok("batch", "close", "T-1", "--note", "sent out")
    assert not any(shop.json("due")["groups"].values())


@pytest.mark.parametrize("at", ["08:30", "2026-03-10 08:30", "2026-03-10T07:30:00Z"])
def test_a_coat_put_on_earlier_counts_from_then(shop: Command, at: str) -> None:
    said = shop.json("record", "coat", "T-1", "--at", at)
    assert said["recorded"][0]["at"] == "2026-03-10T08:30:00+01:00"
    assert said["recorded"][0]["recorded_at"] == "2026-03-10T09:00:00+01:00"


def test_an_entry_that_was_otherwise_is_corrected(shop: Command, clock: FrozenDateTimeFactory) -> None:
    shop.ok("record", "coat", "T-1", "--amount", "60", "--at", "8:00")
    clock.tick(3600 * 30)
    shop.ok("record", "coat", "T-1")
    made = shop.json("record", "correct", "T-1", "1", "--at", "tue 7:30", "--amount", "30mL", "--can", "1")
    assert made["said"].startswith(
        "T-1: coat 1 of 4, 30 mL, corrected, entry 3 in place of 1; yesterday 07:30, was yesterday 08:00"
    )
    assert [(e["kind"], e["number"]) for e in made["recorded"]] == [("coat", 3), ("void", 4)]
    shown = shop.json("batch", "show", "T-1")
    first = shown["record"][0]
    assert (first["voided_by"], first["replaced_by"]) == (4, 3)
    assert [coat["applied_at"] for coat in shown["coats"]] == ["2026-03-10T07:30:00+01:00", "2026-03-11T15:00:00+01:00"]
    assert shop.json("trace", "T-1")["cans"] == [1]
    assert "corrected entry 1: it is entry 3 now" in shop.ok("batch", "show", "T-1")
    clock.tick(3600)
    assert "time: got '15:30', expected a time before coat 2 of 4, 15:00" in shop.refused(
        "record", "correct", "T-1", "3", "--at", "15:30"
    )
    assert "--can: got 'x', expected the number of a can, or none" in shop.refused(
        "record", "correct", "T-1", "3", "--can", "x"
    )
    assert "entry 1 holds again" in shop.ok("record", "undo", "T-1")  # takes the correction back
