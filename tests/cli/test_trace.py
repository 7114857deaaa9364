"""`finishing trace` and `finishing find`: both ways, against plain SQL and the standard library's statistics."""

from __future__ import annotations

import datetime as dt
import re
import shutil
import sqlite3
import statistics
from contextlib import closing
from pathlib import Path

import pytest
from freezegun.api import FrozenDateTimeFactory

from finishing.__main__ import main
from finishing.clock import now_hour
from finishing.shop.shop import Shop
from finishing.shop.split import SplitDraft, split

from .conftest import NOW, Command

LATER = "2026-03-11T08:00:00+00:00"

ADD = ("batch", "add", "--what", "trays", "--pieces", "6", "--size", "300x200x18", "--species", "hard maple")
VARNISH = ("--schedule", "wiped-varnish-in-window", "--place", "loft", "--code")


@pytest.fixture(scope="module")
def recalled_home(kept: Path, frozen: FrozenDateTimeFactory, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A lot of two cans, L-9, on three batches: one closed, one moved, one voided; made once, to be copied."""
    home = tmp_path_factory.mktemp("recalled") / "home"
    shutil.copytree(kept, home)
    cans = ("3", "4", "5")  # after the two that were there
    coats = zip(("A-1", "A-2", "A-3", "A-4"), (cans[0], cans[1], cans[0], cans[2]), strict=True)
    first = [
        *(("can", "add", "wiping-varnish", "--volume", "1L", "--lot", lot) for lot in ("L-9", "L-9", "other")),
        *(words for n in "1234" for words in ((*ADD, *VARNISH, f"A-{n}"), ("record", "step", f"A-{n}"))),
        *(("record", "coat", code, "--amount", "40mL", "--can", can, "--maker", "Ada") for code, can in coats),
        ("record", "undo", "A-3"),
    ]
    later = [
        ("record", "coat", "A-1", "--amount", "25mL", "--can", cans[1]),
        ("record", "move", "A-2", "cellar"),
        ("batch", "close", "A-1"),
    ]
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("FINISHING_HOME", str(home))
        for at, commands in ((NOW, first), (LATER, later)):
            frozen.move_to(at)
            for words in commands:
                with pytest.raises(SystemExit) as left:
                    main(list(words))
                assert left.value.code == 0, words
    return home


@pytest.fixture
def recalled(run: Command, recalled_home: Path, clock: FrozenDateTimeFactory) -> Command:
    """Commands in a copy of it, a day after it was begun."""
    shutil.copytree(recalled_home, run.home)
    clock.move_to(LATER)
    return run


def test_a_recall_in_one_command(recalled: Command) -> None:
    """The batches plain SQL finds, less the coat that was voided; and where each is now."""
    found = recalled.json("trace", "L-9")
    with closing(sqlite3.connect(recalled.home / "finishing.db")) as plain:
        codes = plain.execute(
            "SELECT DISTINCT b.code FROM batch b JOIN entry e ON e.batch_id = b.id JOIN can c ON c.id = e.can_id"
            " WHERE c.lot = 'L-9' AND e.id NOT IN (SELECT voids FROM entry WHERE voids IS NOT NULL) ORDER BY b.id"
        ).fetchall()
    assert [(batch["code"],) for batch in found["batches"]] == codes == [("A-1",), ("A-2",)]
    assert (found["of"], found["pieces"], len(found["cans"])) == ("lot", 12, 2)
    first, second = found["batches"]
    assert (first["where"]["state"], first["where"]["closed_at"]) == ("closed", "2026-03-11T09:00:00+01:00")
    assert (second["where"]["state"], second["where"]["place"]) == ("on_rack", "cellar")
    assert [(coat["amount_ml"], coat["maker"]) for coat in first["coats"]] == [(40.0, "Ada"), (25.0, None)]
    said = recalled.ok("trace", "l-9")
    assert "2 batches, 12 pieces" in said
    assert "A-3" not in said
    assert all(len(line) <= 80 for line in said.splitlines())


def test_the_last_coat_is_the_latest_whenever_it_was_written_down(recalled: Command) -> None:
    """A correction is written last; by time its coat is still the first. ISO 8601 times by the standard library."""
    entry = recalled.json("trace", "L-9")["batches"][0]["coats"][0]["entry"]
    recalled.ok("record", "correct", "A-1", str(entry), "--at", "2026-03-10 08:30")
    coats = recalled.json("trace", "L-9")["batches"][0]["coats"]
    assert [coat["amount_ml"] for coat in coats] == [40.0, 25.0]
    assert coats[0]["entry"] > coats[1]["entry"]
    hours = [dt.datetime.fromisoformat(coat["at"]) for coat in coats]
    assert hours == sorted(hours)
    row = next(line for line in recalled.ok("trace", "L-9").splitlines() if line.startswith("A-1"))
    assert "09:00, 2 coats" in row
    both = {use["entry"]: use["at"] for can in ("3", "4") for use in recalled.json("can", "show", can)["uses"]}
    assert {coat["entry"]: coat["at"] for coat in coats}.items() <= both.items()


def test_who_may_have_got_it_without_its_can_on_record(recalled: Command, clock: FrozenDateTimeFactory) -> None:
    """Against plain SQL: coats from no can since the day it was bought, till it was empty, less voided ones and other
    finishes."""
    assert recalled.json("trace", "L-9")["may_have"] == []
    assert "All coats of its finish while it was on the shelf say their can." in recalled.ok("trace", "L-9")
    for code, schedule in (("M-1", "walnut-oil-board"), ("M-2", "wiped-varnish-four"), ("M-3", "wiped-varnish-four")):
        recalled.ok(*ADD, "--schedule", schedule, "--place", "loft", "--code", code)
        recalled.ok("record", "coat", code, "--at", "2026-03-10 10:00")
    recalled.ok("record", "undo", "M-3")
    recalled.ok("record", "coat", "M-3", "--at", "2026-03-09 23:50")  # the day before it was bought
    recalled.ok("record", "coat", "T-1", "--at", "2026-03-10 00:10")
    found = recalled.json("trace", "L-9")
    with closing(sqlite3.connect(recalled.home / "finishing.db")) as plain:
        codes = plain.execute(
            "SELECT b.code FROM batch b JOIN entry e ON e.batch_id = b.id WHERE e.kind = 'coat' AND e.can_id IS NULL"
            " AND b.schedule LIKE 'wiped-varnish%' AND e.at >= '2026-03-09 23:00'"  # midnight in Oslo
            " AND e.id NOT IN (SELECT voids FROM entry WHERE voids IS NOT NULL) ORDER BY b.id"
        ).fetchall()
    assert [(batch["code"],) for batch in found["may_have"]] == codes == [("T-1",), ("M-2",)]
    assert [coat["can"] for batch in found["may_have"] for coat in batch["coats"]] == [None, None]
    assert [batch["code"] for batch in found["batches"]] == ["A-1", "A-2"]
    said = recalled.ok("trace", "L-9")
    assert "2 other batches may have got it" in said
    assert all(len(line) <= 80 for line in said.splitlines())
    for can in ("3", "4"):
        recalled.ok("can", "empty", can)
    clock.move_to("2026-03-12T08:00:00+00:00")
    recalled.ok("record", "coat", "M-3", "--coat", "2")
    assert [batch["code"] for batch in recalled.json("trace", "L-9")["may_have"]] == ["T-1", "M-2"]
    assert [batch["code"] for batch in recalled.json("trace", "other")["may_have"]] == ["T-1", "M-2", "M-3"]


def test_a_voided_void_brings_a_coat_back(recalled: Command) -> None:
    last = recalled.json("batch", "show", "A-3")["record"][-1]
    assert last["kind"] == "void"
    recalled.ok("record", "void", "A-3", str(last["number"]))
    assert [b["code"] for b in recalled.json("trace", "L-9")["batches"]] == ["A-1", "A-2", "A-3"]


def test_a_release_is_where_it_is(recalled: Command) -> None:
    for number in ("2", "3", "4"):
        recalled.ok("record", "coat", "A-2", "--coat", number)
    recalled.ok("record", "release", "A-2", "pack")
    where = recalled.json("trace", "L-9")["batches"][1]["where"]
    assert (where["state"], where["released"]) == ("released", {"pack": "2026-03-11T09:00:00+01:00"})
    assert "released to pack 09:00, cellar" in recalled.ok("trace", "L-9")


def test_a_part_that_was_split_off_is_recalled_too(recalled: Command) -> None:
    opened = Shop.open(now_hour())
    split(opened, SplitDraft("A-2", 2), now_hour())
    opened.close()
    assert [(b["code"], b["pieces"]) for b in recalled.json("trace", "L-9")["batches"]] == [
        ("A-1", 6), ("A-2", 4), ("A-2.2", 2),
    ]  # fmt: skip


def test_a_can_and_a_batch(recalled: Command) -> None:
    number = recalled.json("trace", "L-9")["cans"][0]["can"]
    assert [b["code"] for b in recalled.json("trace", str(number))["batches"]] == ["A-1"]
    assert recalled.json("trace", f"can {number}") == {**recalled.json("trace", str(number)), "word": f"can {number}"}
    found = recalled.json("trace", "A-1")
    assert found["finishes"] == ["wiping-varnish"]
    assert (found["lots"], found["makers"]) == (["L-9"], ["Ada"])
    assert [(coat["coat"], coat["can"] is not None) for coat in found["coats"]] == [(1, True), (2, True)]
    assert [other["words"] for other in found["others"]] == ["prepare P220", "closed"]
    assert "dried 24 h" in recalled.ok("trace", "A-1")


def test_conditions_are_what_was_read(shop: Command, clock: FrozenDateTimeFactory, tmp_path: Path) -> None:
    """Low, mean and high against the standard library's statistics, over the readings between two coats."""
    start = dt.datetime(2026, 3, 10, 8, 0, tzinfo=dt.UTC)
    rows = [(start + dt.timedelta(minutes=20 * i), 15 + i % 7, 40 + i % 11) for i in range(100)]
    log = tmp_path / "log.csv"
    lines = [f"{at:%Y-%m-%dT%H:%M:%SZ},{t},{h}" for at, t, h in rows]
    log.write_text("time,temperature (C),humidity (%)\n" + "\n".join(lines), encoding="utf-8")
    clock.move_to("2026-03-12T08:00:00+00:00")
    shop.ok("readings", "import", str(log), "--place", "loft")
    shop.ok("record", "coat", "T-1", "--at", "2026-03-10 09:05")
    shop.ok("record", "coat", "T-1", "--at", "2026-03-10 17:15")
    first, second = shop.json("trace", "T-1")["coats"]
    from_, until = start + dt.timedelta(minutes=5), start + dt.timedelta(hours=8, minutes=15)
    inside = [(t, h) for at, t, h in rows if from_ <= at <= until]
    dried = first["drying"]
    assert dried["readings"] == len(inside) == 24
    for key, values in (("temperature_c", [t for t, _ in inside]), ("humidity_pct", [h for _, h in inside])):
        assert dried[key]["low"] == min(values)
        assert dried[key]["high"] == max(values)
        assert dried[key]["mean"] == pytest.approx(statistics.mean(values), abs=1e-3)
    assert first["applied"] == {"temperature_c": 15.0, "humidity_pct": 40.0}
    assert second["drying"]["until"] == "2026-03-12T09:00:00+01:00"


def test_air_that_nobody_read_is_not_made_up(recalled: Command) -> None:
    coat = recalled.json("trace", "A-1")["coats"][0]
    assert coat["applied"] == {"temperature_c": None, "humidity_pct": None}
    assert (coat["drying"]["readings"], coat["drying"]["temperature_c"]) == (0, None)
    assert "no readings" in recalled.ok("trace", "A-1")


def test_a_word_that_is_two_things_must_be_said_which(recalled: Command) -> None:
    recalled.ok("can", "add", "wiping-varnish", "--volume", "1L", "--lot", "A-1")
    assert "--batch or --lot" in recalled.refused("trace", "A-1")
    assert recalled.json("trace", "A-1", "--batch")["of"] == "batch"
    assert recalled.json("trace", "A-1", "--lot")["of"] == "lot"


def test_nothing_of_that_name(recalled: Command) -> None:
    assert "nearest: L-9" in recalled.refused("trace", "L-99")
    assert "got '0'" in recalled.refused("trace", "0", "--can")
    assert "no coat on record" in recalled.ok("trace", "1")


def test_find(recalled: Command) -> None:
    assert [hit["code"] for hit in recalled.json("find", "TRAYS") if hit["kind"] == "batch"] == [
        "A-4", "A-3", "A-2", "A-1", "T-1",
    ]  # fmt: skip
    cans = {row["can"] for row in recalled.json("trace", "L-9")["cans"]}
    assert {hit["can"] for hit in recalled.json("find", "l-9")} == cans
    assert {hit["kind"] for hit in recalled.json("find", "2026-03-10")} == {"day"}
    assert "hard maple" in recalled.ok("find", "hard", "map")
    assert recalled.ok("find", "100%") == "nothing found\n"
    assert "at least 2 letters" in recalled.refused("find", "x")


def test_a_batch_found_twice_is_told_once_with_both_reasons(shop: Command) -> None:
    add = [
        "batch",
        "add",
        *["--pieces", "4", "--size", "300x200x18", "--schedule", "wiped-varnish-four", "--place", "loft"],
    ]
    shop.ok(*add, "--place", "loft", "--code", "M-1", "--what", "maple boards", "--species", "hard maple, walnut 20%")
    shop.ok(*add, "--place", "loft", "--code", "M-2", "--what", "trays", "--species", "hard maple, soft maple 40%")
    found = {hit["code"]: (hit["kind"], hit["also"], hit["words"]) for hit in shop.json("find", "maple")}
    assert found == {
        "M-1": ("batch", ["wood"], "maple boards ×4, of hard maple"),
        "M-2": ("wood", ["wood"], "hard maple, soft maple: trays"),
        "T-1": ("wood", [], "hard maple: tea trays"),
    }
    assert re.search(r"^batch, wood +M-1 +maple boards ×4, of hard maple", shop.ok("find", "maple"), re.MULTILINE)
