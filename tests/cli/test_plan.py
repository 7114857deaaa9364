"""`finishing plan`: what it prints, what it keeps, and what it refuses."""

from __future__ import annotations

import datetime as dt
import os
import signal
import time

import pytest

# Imported before any clock is frozen: the solver's own imports don't take a frozen datetime.
import finishing.plan.solver.batches  # noqa: F401

from .conftest import Command


def begin(shop: Command, code: str, schedule: str, wanted: str, pieces: str = "6") -> None:
    shop.ok("batch", "add", "--what", "trivets", "--pieces", pieces, "--size", "200x200x16", "--code", code,
            "--species", "hard maple", "--schedule", schedule, "--place", "loft", "--wanted", wanted)  # fmt: skip


def works(view: dict[str, object], code: str) -> list[dict[str, object]]:
    days: list[dict[str, list[dict[str, list[dict[str, object]]]]]] = view["days"]  # type: ignore[assignment]
    return [w for d in days for s in d["sessions"] for w in s["work"] if w["code"] == code]


def test_by_day_at_80_columns(shop: Command) -> None:
    begin(shop, "T-2", "waterborne-three", "2026-03-12")
    for words in (["plan", "--quick"], ["plan", "--seconds", "5"]):
        said = shop.ok(*words)
        assert [line for line in said.splitlines() if len(line) > 80] == []
        assert "TUE 10 MAR" in said
        assert "T-1" in said
        assert "have " in said
        assert "night: loft down to 21 °C" in said
        assert "days late" in said
    assert "WHAT WOULD HELP" in said
    assert "T-2: promise it for" in said
    assert "best possible" in said


def test_json_keys(shop: Command) -> None:
    view = shop.json("plan", "--quick")
    assert set(view) == {
        "now", "zone", "level", "until", "days", "batches", "hands_on_minutes", "late_days", "score", "bound",
        "best_possible", "words", "kept_at", "moved", "pins_not_kept", "splits", "clashes", "reliefs",
    }  # fmt: skip
    first = view["days"][0]["sessions"][0]
    assert set(first) == {"begins", "ends", "hands_on_minutes", "outside_hours", "work"}
    assert set(first["work"][0]) == {
        "code", "what", "pieces", "place", "begins", "ends", "minutes", "steps", "words", "finish", "ready_ml",
        "passes", "heed", "pinned", "of_batch",
    }  # fmt: skip
    begins = dt.datetime.fromisoformat(first["begins"])
    assert (begins.hour, begins.utcoffset()) == (9, dt.timedelta(hours=1))
    assert view["bound"] is None
    row = next(b for b in view["batches"] if b["code"] == "T-1")
    assert dt.datetime.fromisoformat(row["pack"]) < dt.datetime.fromisoformat(row["use"])


def test_until_shows_less(shop: Command) -> None:
    whole, short = shop.json("plan", "--quick"), shop.json("plan", "--quick", "--until", "2026-03-10")
    assert [d["date"] for d in short["days"]] == ["2026-03-10"]
    assert len(whole["days"]) > 1
    assert short["batches"] == whole["batches"]
    assert "more days with work" in shop.ok("plan", "--quick", "--until", "2026-03-10")


def test_a_kept_plan_is_gone_on_from(shop: Command) -> None:
    first = shop.json("plan", "--quick", "--keep")
    again = shop.json("plan", "--quick")
    assert again["kept_at"] == first["now"]
    assert again["moved"] == []
    assert again["days"] == first["days"]
    begin(shop, "T-2", "shellac-brushed-two", "2026-04-12")
    more = shop.json("plan", "--quick")
    assert works(more, "T-1") == works(first, "T-1")
    assert {m["code"] for m in more["moved"]} == {"T-2"}
    assert "goes on from the plan of" in shop.ok("plan", "--quick")
    assert shop.json("plan", "--quick", "--fresh")["kept_at"] is None


def test_pins(shop: Command) -> None:
    pinned = shop.json("plan", "--quick", "--pin", "T-1=2026-03-11T14:00")
    first = works(pinned, "T-1")[0]
    assert first["begins"] == "2026-03-11T14:00:00+01:00"
    assert first["pinned"]
    assert works(shop.json("plan", "--quick"), "T-1")[0]["pinned"]
    saturday = works(shop.json("plan", "--quick", "--pin", "T-1=sat 9:00"), "T-1")[0]
    assert (saturday["begins"], saturday["pinned"]) == ("2026-03-14T09:00:00+01:00", True)
    free = shop.json("plan", "--quick", "--unpin", "T-1")
    assert not works(free, "T-1")[0]["pinned"]


def test_a_part_not_yet_split_off_is_pinned(shop: Command) -> None:
    begin(shop, "T-9", "waterborne-three", "2026-04-12", "30")
    shop.ok("settings", "hours", "mon-sun 18:00-19:00")
    pinned = shop.json("plan", "--quick", "--pin", "T-9.2=2026-03-16T18:00")
    assert works(pinned, "T-9.2")[0]["begins"] == "2026-03-16T18:00:00+01:00"
    assert works(pinned, "T-9.2")[0]["pinned"]
    shop.ok("plan", "--quick", "--pin", "T-1=2026-03-17T18:00")
    assert works(shop.json("plan", "--quick"), "T-9.2")[0]["pinned"]
    assert not works(shop.json("plan", "--quick", "--unpin", "T-9.2"), "T-9.2")[0]["pinned"]
    assert "--pin" not in shop.refused("plan", "--quick", "--pin", "T-9.7=2026-03-16T18:00")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--until", "never"], "--until"),
        (["--until", "2026-03-01"], "--until"),
        (["--pin", "T-1"], "--pin"),
        (["--pin", "T-1=2026-03-01T10:00"], "--pin"),
        (["--pin", "X-9=2026-03-11T10:00"], "X-9"),
        (["--unpin", "T-1"], "--unpin"),
    ],
)
def test_refused(shop: Command, words: list[str], said: str) -> None:
    assert said in shop.refused("plan", "--quick", *words)


def test_without_a_batch(run: Command) -> None:
    assert "nothing for the hands to plan" in run.ok("plan", "--quick")


def test_a_date_and_a_priority_are_changed(shop: Command) -> None:
    view = shop.json("batch", "change", "T-1", "--wanted", "2026-04-20", "--priority", "3")
    assert view["wanted_by"].startswith("2026-04-20T08:00")
    assert view["priority"] == 3
    assert shop.json("batch", "show", "T-1")["priority"] == 3
    assert shop.json("batch", "change", "T-1", "--wanted", "none")["wanted_by"] is None
    assert shop.json("batch", "show", "T-1")["priority"] == 3
    assert "--wanted" in shop.refused("batch", "change", "T-1")
    assert "--priority" in shop.refused("batch", "change", "T-1", "--priority", "10")
    assert "X-9" in shop.refused("batch", "change", "X-9", "--priority", "1")


def test_ctrl_c_gives_the_best_plan_so_far(shop: Command, monkeypatch: pytest.MonkeyPatch) -> None:
    """The first one; the plan is printed whole, and what ctrl-c did before it does again afterwards."""
    before = signal.getsignal(signal.SIGINT)
    monkeypatch.setattr("finishing.cli.plan._watched", lambda: True)
    monkeypatch.setattr("finishing.cli.plan._heard", lambda _: os.kill(os.getpid(), signal.SIGINT))
    begin(shop, "T-2", "waterborne-three", "2026-03-12")
    begun = time.process_time()
    code, said, beside = shop("plan", "--seconds", "600")
    assert code == 0
    assert "TUE 10 MAR" in said
    assert "stopped looking: the best plan so far" in beside
    assert time.process_time() - begun < 60.0
    assert signal.getsignal(signal.SIGINT) is before


def test_nothing_is_planned_beyond_seal_or_test_first(shop: Command) -> None:
    """Bare cocobolo, very oily, under an oil that hardens with air: common practice, no source. The plan prepares it
    and stops there, as `due` warns; once the coat is next nothing is left to plan."""
    shop.ok("batch", "add", "--what", "trays", "--pieces", "4", "--size", "300x200x18", "--code", "C-1", "--species",
            "cocobolo", "--schedule", "hard-wax-two", "--place", "loft")  # fmt: skip
    view = shop.json("plan", "--quick")
    (only,) = works(view, "C-1")
    assert (only["finish"], only["ready_ml"]) == (None, None)
    assert only["words"] == "prepare P180; then seal or test first: no date on bare oily wood"
    row = next(b for b in view["batches"] if b["code"] == "C-1")
    assert (row["why"], row["pack"]) == ("seal or test first: no date on bare oily wood", None)
    shop.ok("record", "step", "C-1")
    said = "seal or test first: no date on bare oily wood"
    assert "C-1: Seal or test first" in shop.ok("due")
    assert works(shop.json("plan", "--quick"), "C-1") == []
    assert f"C-1: {said}" in shop.ok("plan", "--quick")
    assert "coat 1 of 2" not in shop.ok("plan", "--quick").partition("C-1 ")[2]


def test_more_pieces_than_the_rack_holds_are_coated_in_parts(shop: Command) -> None:
    """The cellar has room for twenty: fifty are three parts of no more than that, each with every coat."""
    shop.ok("settings", "hours", "mon-sun 8:00-20:00")
    said = shop.ok("batch", "add", "--what", "boards", "--pieces", "50", "--size", "300x200x18", "--code", "R-1",
                   "--species", "hard maple", "--schedule", "waterborne-three", "--place", "cellar",
                   "--wanted", "2026-04-30")  # fmt: skip
    assert "! the rack in cellar has room for 20: each coat goes on in parts" in said
    view = shop.json("plan", "--quick")
    (split,) = view["splits"]
    assert split["parts"] == {"R-1": 17, "R-1.2": 17, "R-1.3": 16}
    assert "the rack in cellar has room for 20, not for all 50" in split["words"]
    assert "your longest hours" not in split["words"]
    for code in split["parts"]:
        assert sum("coat" in str(w["words"]) for w in works(view, code)) == 3
    assert all(b["pack"] for b in view["batches"] if b["of_batch"] == "R-1")
    row = shop.ok("compare", "waterborne-three", "--batch", "R-1")
    assert "in batches of 17, 17 and 16, to fit the rack" in " ".join(row.split())


def test_days_late_are_those_of_the_table(shop: Command) -> None:
    """Also where a batch counts more by its priority, and one that only rests is late: the sum of its column."""
    begin(shop, "T-2", "waterborne-three", "2026-03-12")
    begin(shop, "T-3", "shellac-brushed-two", "2026-03-11")
    shop.ok("batch", "change", "T-2", "--priority", "3")
    for words in (["--quick"], ["--seconds", "3"]):
        view = shop.json("plan", *words)
        shown = [int(line.split(" day")[0].split()[-1]) for line in shop.ok("plan", *words).splitlines()
                 if line.startswith("T-") and "late" in line]  # fmt: skip
        assert view["late_days"] == sum(b["late_days"] for b in view["batches"]) == sum(shown)
        assert view["score"]["late_days"] > view["late_days"] > 0
        late = sum(b["late_days"] > 0 for b in view["batches"])
        assert f"{late} batches late" in shop.ok("plan", *words)


def test_what_moved_is_told_part_by_part(shop: Command) -> None:
    """A long preparing is planned in two parts: each by its own name, and only if it moved."""
    shop.ok("settings", "hours", "mon-sun 18:00-20:00")
    begin(shop, "T-2", "waterborne-three", "2026-04-12", "40")
    view = shop.json("plan", "--quick", "--keep", "--pin", "T-2=2026-03-12T18:00")
    parts = [w for w in works(view, "T-2") if w["steps"] == works(view, "T-2")[0]["steps"]]
    assert len(parts) > 1
    moved = shop.json("plan", "--quick", "--pin", "T-2=2026-03-20T18:00")["moved"]
    named = [tuple(m["part"]) for m in moved if m["code"] == "T-2" and m["steps"] == parts[0]["steps"]]
    assert named == [(n + 1, len(parts)) for n in range(len(parts))]
    said = shop.ok("plan", "--quick").partition("MOVED")[2].splitlines()
    for n in range(len(parts)):
        assert sum(line.startswith("  T-2 prepare") and f" ({n + 1} of {len(parts)}): " in line for line in said) == 1
    assert len(set(said)) == len(said)


def test_a_pin_is_said_in_every_plan_and_where_it_is_outside_the_hours(shop: Command) -> None:
    """Until it is let go of, kept or not."""
    said = shop.ok("plan", "--quick", "--pin", "T-1=2026-03-12T03:30")
    for text in (said, shop.ok("plan", "--quick")):
        assert "! T-1 prepare P220: pinned to Thu 03:30, outside your hours" in text
        assert "every later plan leaves T-1 there until finishing plan --unpin" in " ".join(text.split())
        assert "of work, outside your hours" in text
    view = shop.json("plan", "--quick")
    assert [s["outside_hours"] for d in view["days"] for s in d["sessions"]].count(True) == 1
    assert "unpin" not in shop.ok("plan", "--quick", "--unpin", "T-1")
    assert "partly outside your hours" in " ".join(shop.ok("plan", "--quick", "--pin", "T-1=2026-03-12T11:45").split())
