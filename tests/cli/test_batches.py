"""`finishing batch` and `finishing record`: what they put on record, and what they say of it."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest
from freezegun.api import FrozenDateTimeFactory

from .conftest import Command

ADD = (
    "batch",
    "add",
    "--what",
    "trays",
    "--pieces",
    "2",
    "--species",
    "white oak",
    "--schedule",
    "danish-three",
    "--place",
    "loft",
)


def numbers(shop: Command, code: str = "T-1") -> list[tuple[int, str, int | None]]:
    return [(e["number"], e["kind"], e["voided_by"]) for e in shop.json("batch", "show", code)["record"]]


def test_add(shop: Command) -> None:
    words = (
        "batch", "add", "--what", "boards", "--pieces", "6", "--size", "12 x 8 x 3/4in", "--species",
        "hard maple, padauk 20%", "--schedule", "wiped-varnish-sealed", "--place", "Loft", "--wanted", "2026-04-01",
        "--note", "for the fair",
    )  # fmt: skip
    said = shop.ok(*words)
    assert said.startswith("26-001: boards ×6, on record")
    # Geometry: both faces and four edges of six boards of 12 x 8 x 3/4 in, at 25.4 mm to the inch.
    area = 6 * 2 * (12 * 8 + 12 * 0.75 + 8 * 0.75) * 0.0254**2
    assert "4 coats" in said
    assert f"; {area:.2f} m²" in said
    shown = shop.json("batch", "show", "26-001")
    assert (shown["what"], shown["pieces"], shown["place"], shown["note"]) == ("boards", 6, "loft", "for the fair")
    assert shown["species"] == [{"name": "hard maple", "share": 0.8}, {"name": "padauk", "share": 0.2}]
    # an inch is 25.4 mm, by definition (1959)
    assert shown["size"] == {"length_mm": 304.8, "width_mm": 203.2, "thickness_mm": 19.05, "shape": "rectangle"}
    assert shown["wanted_by"] == "2026-04-01T08:00:00+02:00"
    assert [step["state"] for step in shown["steps"]][:2] == ["next", "ahead"]
    assert shop.json(*words[:-2])["code"] == "26-002"


def test_a_round_piece_has_the_area_of_a_disc(shop: Command) -> None:
    """Two circles and a band, π·d²/2 + π·d·t for each of 10 pieces: Euclid's geometry."""
    added = shop.json(*ADD[:4], "--pieces", "10", *ADD[6:], "--size", "round 100x9")
    assert added["area_m2"] == pytest.approx(10 * 3.14159265 * (0.1**2 / 2 + 0.1 * 0.009))


def test_the_only_place_need_not_be_named(run: Command) -> None:
    run.ok("settings", "zone", "Europe/Oslo")
    assert "finishing place add" in run.refused(*ADD[:-2])
    run.ok("place", "add", "loft", "--low", "15", "--high", "20")
    assert run.json(*ADD[:-2])["place"] == "loft"
    run.ok("place", "add", "attic", "--low", "15", "--high", "20")
    assert "one of loft, attic" in run.refused(*ADD[:-2])


def test_list(shop: Command) -> None:
    shop.ok(*ADD, "--code", "T-2")
    shop.ok("batch", "close", "T-1", "--note", "given up")
    assert [row["code"] for row in shop.json("batch", "list")] == ["T-2"]
    both = shop.json("batch", "list", "--all")
    assert [(row["code"], row["group"]) for row in both] == [("T-2", "now"), ("T-1", None)]
    assert both[1]["closed_at"] == "2026-03-10T09:00:00+01:00"
    assert "T-1" not in shop.ok("batch", "list")
    assert "closed 09:00" in shop.ok("batch", "list", "--all")


def test_show_in_words(shop: Command) -> None:
    shop.ok("record", "coat", "T-1", "--amount", "30", "--can", "1", "--maker", "Ada")
    said = shop.ok("batch", "show", "T-1")
    for part in (
        "T-1: tea trays ×4", "hard maple 100 %", "300 mm × 200 mm × 18 mm", "COAT 1", "could be", "count on",
        "dry to recoat", "shuts", "Oily rags", "RECORD", "coat 1 of 4, 30 mL", "Ada, can 1",
    ):  # fmt: skip
        assert part in said, part


def test_the_earliest_release_of_what_is_under_way(shop: Command) -> None:
    """What was said as it was added is said until the coats are on; by the record alone there is no date yet."""
    added = shop.json(*ADD, "--code", "E-1", "--by", "2026-12-19")
    shown = shop.json("batch", "show", "E-1")
    assert added["earliest"] == shown["earliest"]
    assert shown["released"] == {"handle": None, "pack": None, "use": None}
    assert shown["wanted_by"] == "2026-12-19T08:00:00+01:00"
    whens = [shown["earliest"][release] for release in ("handle", "pack", "use")]
    assert all(whens)
    assert whens == sorted(whens)
    said = shop.ok("batch", "show", "E-1")
    assert said.count("if each step is done as soon as it may be") == 3


def test_three_levels_of_every_stage(shop: Command) -> None:
    shop.ok("record", "coat", "T-1")
    coat = shop.json("batch", "show", "T-1")["coats"][0]
    for stage in coat["stages"].values():
        assert coat["applied_at"] < stage["could_be"] < stage["likely"] < stage["count_on"]
    assert coat["window"]["opens"] < coat["window"]["shuts"]


def test_no_window_where_no_coat_follows(shop: Command) -> None:
    shop.ok("batch", "add", "--what", "boards", "--pieces", "2", "--species", "hard maple", "--schedule",
            "two-part-hard-wax-one", "--size", "300x200x18", "--place", "loft", "--code", "O-1")  # fmt: skip
    shop.ok("record", "coat", "O-1")
    assert shop.json("batch", "show", "O-1")["coats"][0]["window"] == {"opens": None, "shuts": None, "tight": False}
    assert "for the next coat" not in shop.ok("batch", "show", "O-1")
    for number in ("1", "2", "3", "4"):
        shop.ok("record", "coat", "T-1", "--coat", number)
    windows = [coat["window"]["opens"] for coat in shop.json("batch", "show", "T-1")["coats"]]
    assert [opens is None for opens in windows] == [False, False, False, True]
    assert shop.ok("batch", "show", "T-1").count("for the next coat") == 3


def test_reasons_follow_the_coat(shop: Command, clock: FrozenDateTimeFactory) -> None:
    shop.ok("record", "coat", "T-1")
    clock.tick(dt.timedelta(minutes=30))
    assert any("dry to recoat 6 h" in line for line in shop.json("batch", "show", "T-1")["why"])


def test_hold(shop: Command) -> None:
    assert shop.json("batch", "hold", "T-1")["recorded"][0]["words"] == "on hold"
    assert shop.json("due")["groups"]["resting"][0]["held"] is True
    assert "not on hold" in shop.refused("batch", "hold", "T-1")
    shop.ok("batch", "hold", "T-1", "--off")
    assert shop.json("batch", "show", "T-1")["held"] is False


def test_a_coat_says_what_is_next_and_warns_at_once(shop: Command) -> None:
    said = shop.ok("record", "coat", "T-1", "--amount", "30mL").splitlines()
    assert said[0] == "T-1: coat 1 of 4, on record"
    assert any(line.startswith("! Oily rags") for line in said)
    assert any(line.startswith("next: wipe off, ") for line in said)


def test_an_early_coat_is_taken_and_said_to_be_early(shop: Command, clock: FrozenDateTimeFactory) -> None:
    shop.ok("record", "coat", "T-1")
    clock.tick(dt.timedelta(hours=1))
    shop.ok("record", "abrade", "T-1")
    assert "early" in shop.json("record", "coat", "T-1")["heed"]


def test_cold_damp_air_is_said_where_the_coat_goes_on(shop: Command) -> None:
    shop.ok("place", "add", "shed", "--low", "1", "--high", "2", "--humidity", "90")
    shop.ok("record", "move", "T-1", "shed")
    assert "too cold to coat" in shop.ok("record", "coat", "T-1")


def test_left_on_finish_is_slower(shop: Command) -> None:
    """More film takes longer: common practice, no source."""
    shop.ok(*ADD, "--code", "T-2")
    shop.ok(*ADD, "--code", "T-3")
    shop.ok("record", "coat", "T-2")
    shop.ok("record", "coat", "T-3", "--not-wiped")
    wiped, left = (shop.json("batch", "show", code)["coats"][0]["stages"]["cured"]["likely"] for code in ("T-2", "T-3"))
    assert wiped < left


def test_one_face_at_a_time(shop: Command) -> None:
    shop.ok(*ADD[:-4], "--schedule", "brushed-varnish-three", *ADD[-2:], "--code", "T-2")
    assert "coat 1 of 3, top first" in shop.refused("record", "coat", "T-2", "--face", "bottom")
    shop.ok("record", "coat", "T-2", "--face", "top")
    assert "bottom" in shop.json("record", "coat", "T-2", "--face", "bottom")["said"]
    assert [coat["face"] for coat in shop.json("batch", "show", "T-2")["coats"]] == ["top", "bottom"]


def test_touch_test(shop: Command, clock: FrozenDateTimeFactory) -> None:
    shop.ok("record", "coat", "T-1")
    before = shop.json("batch", "show", "T-1")["coats"][0]["stages"]["dry_to_recoat"]
    clock.tick(dt.timedelta(hours=8))
    said = shop.json("record", "test", "T-1", "dry to recoat", "tacky")
    assert said["recorded"][0]["kind"] == "test"
    after = shop.json("batch", "show", "T-1")["coats"][0]["stages"]["dry_to_recoat"]
    assert after["likely"] > before["likely"]
    shop.ok("record", "test", "T-1", "dry_to_recoat", "dry")
    assert (
        shop.json("batch", "show", "T-1")["coats"][0]["stages"]["dry_to_recoat"]["found"] == "2026-03-10T17:00:00+01:00"
    )


TWO_COATS = """name = "two-coats"
title = "Two coats and nothing between"
summary = "For a check."
steps = [{ kind = "coat", finish = "wiping-varnish" }, { kind = "coat", finish = "wiping-varnish" }]
"""


def test_abrading_between_coats_reopens_a_shut_window(
    shop: Command, clock: FrozenDateTimeFactory, tmp_path: Path
) -> None:
    own = tmp_path / "own.toml"
    own.write_text(TWO_COATS, encoding="utf-8")
    shop.ok("schedules", "add", str(own))
    shop.ok(*ADD[:-4], "--schedule", "two-coats", *ADD[-2:], "--code", "T-2")
    shop.ok("record", "coat", "T-2")
    clock.tick(dt.timedelta(days=4))
    following = shop.json("batch", "show", "T-2")["next"]
    assert following["state"] == "shut"
    assert "P320" in following["reopen"]
    assert "window shut" in shop.ok("due")
    assert shop.json("record", "abrade", "T-2", "--grit", "320")["next"]["state"] == "open"
    assert shop.json("record", "coat", "T-2")["heed"] is None


def test_move_takes_it_along(shop: Command) -> None:
    shop.ok("record", "coat", "T-1")
    warm = shop.json("batch", "show", "T-1")["next"]
    assert shop.json("record", "move", "T-1", "Cellar")["recorded"][0]["words"] == "moved to cellar"
    assert shop.json("batch", "show", "T-1")["place"] == "cellar"
    assert shop.json("place", "show", "cellar")["batches"] == ["T-1"]
    assert warm is not None


def test_release(shop: Command) -> None:
    assert "last coat is on" in shop.refused("record", "release", "T-1", "pack")
    for number in ("1", "2", "3", "4"):
        shop.ok("record", "coat", "T-1", "--coat", number)
    said = shop.json("record", "release", "T-1", "pack")
    assert said["may"]["pack"] is True
    assert "before its time" in said["said"]


def test_void_and_undo_stay_visible(shop: Command) -> None:
    shop.ok("record", "step", "T-1")
    shop.ok("record", "coat", "T-1", "--note", "a bit thick")
    assert numbers(shop) == [(1, "step", None), (2, "coat", None), (3, "note", None)]
    shop.ok("record", "void", "T-1", "2")
    assert numbers(shop)[1] == (2, "coat", 4)
    assert shop.json("batch", "show", "T-1")["coats"] == []
    assert "void, by entry 4" in shop.ok("batch", "show", "T-1")
    shop.ok("record", "void", "T-1", "4")
    assert numbers(shop)[1] == (2, "coat", None)
    undone = shop.json("record", "undo", "T-1")
    assert undone["recorded"][0]["words"] == "voided entry 3"
    assert len(numbers(shop)) == 6


def test_cans_trace_both_ways(shop: Command) -> None:
    shop.ok("record", "coat", "T-1", "--amount", "30mL", "--can", "1")
    can = shop.json("can", "show", "1")
    assert (can["left_ml"], can["uses"]) == (
        470.0, [{"batch": "T-1", "entry": 1, "at": "2026-03-10T09:00:00+01:00", "amount_ml": 30.0}],
    )  # fmt: skip
    assert shop.json("batch", "show", "T-1")["record"][0]["can"] == 1
    assert "T-1" in shop.ok("can", "show", "1")


def test_a_note_is_kept_on_an_open_batch_and_on_a_closed_one(shop: Command) -> None:
    shop.ok(*ADD, "--code", "N-1")
    assert "N-1: noted, on record" in shop.ok("record", "note", "N-1", "from", "the", "[b]wet[/b] board")
    shop.ok("batch", "close", "N-1")
    shop.ok("record", "note", "N-1", "came back")
    notes = [e["words"] for e in shop.json("batch", "show", "N-1")["record"] if e["kind"] == "note"]
    assert notes == ["note: from the [b]wet[/b] board", "note: came back"]
    assert shop.refused("record", "note", "N-1", " ").startswith("note:")
    assert "N-9" in shop.refused("record", "note", "N-9", "x")


def test_a_batch_is_split_and_put_together_again(shop: Command) -> None:
    shop.ok(*ADD, "--code", "S-1")
    shop.ok("record", "coat", "S-1", "--amount", "30mL")
    said = shop.json("batch", "split", "S-1", "1", "--tacky", "dry to touch", "--note", "near the door")
    assert "S-1.2" in said["said"]
    old, new = shop.json("batch", "show", "S-1"), shop.json("batch", "show", "S-1.2")
    assert (old["pieces"], new["pieces"]) == (1, 1)
    assert new["record"][-1]["kind"] == "test"
    assert shop.refused("batch", "split", "S-1", "0").startswith("pieces")
    assert shop.refused("batch", "split", "S-1", "1", "--tacky", "wet").startswith("--tacky")
    shop.ok("record", "undo", "S-1")
    assert shop.json("batch", "show", "S-1")["pieces"] == 2


def test_a_date_that_cannot_be_made_is_said_as_the_batch_is_added(shop: Command) -> None:
    """Arithmetic: from when it is wanted to when it may be packed at the earliest."""
    soon = dt.datetime.fromisoformat(shop.json(*ADD, "--code", "L-1", "--by", "14 Mar")["earliest"]["pack"])
    late = soon - dt.datetime.fromisoformat("2026-03-14T08:00:00+01:00")
    assert late > dt.timedelta(days=1)
    said = shop.ok(*ADD, "--code", "L-2", "--by", "14 Mar")
    assert f"at the earliest: {late.days} d" in said
    assert "too late" in said
    assert "too late" not in shop.ok(*ADD, "--code", "L-3", "--by", "2027-03-14")


def test_tonight_and_a_price_with_a_comma(shop: Command) -> None:
    shop.ok("place", "expect", "loft", "tonight", "--low", "3", "--high", "9")
    assert shop.json("place", "show", "loft")["days_ahead"][0]["date"] == "2026-03-11"
    shop.ok("can", "add", "wiping-varnish", "--volume", "0,75 L", "--price", "39,90")
    assert 39.9 in [can["price"] for can in shop.json("can", "list")]
    assert "--price" in shop.refused("can", "add", "wiping-varnish", "--volume", "1L", "--price", "dear")


def test_what_a_batch_is_can_be_changed(shop: Command) -> None:
    made = shop.json(
        "batch", "change", "T-1", "--pieces", "3", "--size", "round 100x9", "--species", "maple, padauk 20%"
    )
    assert made["said"].startswith(
        "T-1: pieces 3, was 4; size round 100 × 9 mm, was 300 × 200 × 18 mm; woods hard maple 80%, padauk 20%, was hard"
        " maple 100%, on record; "
    )
    assert (made["pieces"], made["size"]["shape"], len(made["species"])) == (3, "round", 2)
    assert [entry["kind"] for entry in made["record"]] == ["change"]
    assert "was 100" not in shop.ok("batch", "change", "T-1", "--what", "coasters")
    assert "changed: what coasters, was tea trays" in shop.ok("batch", "show", "T-1")
    assert shop.json("find", "coasters")[0]["code"] == "T-1"
    assert "what is otherwise: --pieces" in shop.refused("batch", "change", "T-1")
    shop.ok("record", "coat", "T-1")
    assert "schedule: got 'hard-wax-two', expected wiped" in shop.refused(
        "batch", "change", "T-1", "--schedule", "hard-wax-two"
    )
