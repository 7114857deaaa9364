"""`finishing learned`: what touch tests taught, and what a maker says to it."""

from __future__ import annotations

import pytest
from freezegun.api import FrozenDateTimeFactory

from tests.cli.conftest import Command

DAY = "2026-03-10"


def felt(shop: Command, clock: FrozenDateTimeFactory, code: str, tacky: str, dry: str) -> None:
    """A batch of wiping varnish coated at nine, with looks for recoating at these hours (six are stated)."""
    clock.move_to(f"{DAY}T08:00:00+00:00")
    shop.ok("batch", "add", "--what", "trays", "--pieces", "4", "--size", "300x200x18", "--code", code,
            "--species", "hard maple", "--schedule", "wiped-varnish-four", "--place", "loft")  # fmt: skip
    shop.ok("record", "coat", code)
    clock.move_to(f"{DAY}T22:00:00+00:00")
    shop.ok("record", "test", code, "dry_to_recoat", "tacky", "--at", f"{DAY} {tacky}")
    shop.ok("record", "test", code, "dry_to_recoat", "dry", "--at", f"{DAY} {dry}")


def test_with_nothing_to_show_it_says_so(run: Command) -> None:
    assert run.ok("learned").startswith("no finish is on the bench, and no coat was felt yet\n")


def test_a_split_found_tacky_asks_as_a_test_does(shop: Command, clock: FrozenDateTimeFactory) -> None:
    felt(shop, clock, "A-1", "16:00", "17:00")
    felt(shop, clock, "A-2", "16:00", "17:00")
    for code in ("B-1", "B-2"):
        shop.ok("batch", "add", "--what", "trays", "--pieces", "4", "--size", "300x200x18", "--code", code,
                "--species", "hard maple", "--schedule", "wiped-varnish-four", "--place", "loft")  # fmt: skip
        shop.ok("record", "coat", code)
    clock.move_to("2026-03-14T08:00:00+00:00")
    said = shop.json("batch", "split", "B-1", "1", "--tacky", "dry_to_recoat")
    assert said["surprise"]["slower"] is True
    assert "in this shop ×" in said["said"]
    out = shop.ok("batch", "split", "B-2", "1", "--tacky", "dry_to_recoat")
    assert "? if it was a slip: finishing record void B-2.2 " in out


def test_it_says_what_was_found_and_from_what(shop: Command, clock: FrozenDateTimeFactory) -> None:
    felt(shop, clock, "A-1", "16:00", "17:00")
    felt(shop, clock, "A-2", "16:00", "17:00")
    out = shop.ok("learned")
    assert "wiping-varnish  4      2      ×1.2" in out
    assert "past promises: of 2 times to count on (9 in 10), 2 held" in out
    out = shop.ok("learned", "wiping-varnish")
    assert "from 4 tests of 2 coats" in out
    assert out.count("between ×1.17 and ×1.33") == 2
    assert "dry to recoat 6 h" in out
    assert max(len(line) for line in out.splitlines()) <= 80


def test_the_same_as_json(shop: Command, clock: FrozenDateTimeFactory) -> None:
    felt(shop, clock, "A-1", "16:00", "17:00")
    felt(shop, clock, "A-2", "16:00", "17:00")
    every = shop.json("learned")
    assert set(every) == {"now", "zone", "promises", "finishes"}
    assert every["promises"] == {"level": 0.9, "held": 2, "broken": 0, "undecided": 0, "share": 1.0}
    (line,) = (f for f in every["finishes"] if f["tests"])
    assert (line["finish"], line["tests"], line["coats"], line["in_use"]) == ("wiping-varnish", 4, 2, True)
    one = shop.json("learned", "wiping-varnish")
    assert one["factor"]["low"] < one["factor"]["middle"] < one["factor"]["high"]
    assert line["factor"] == one["factor"]
    assert [(look["batch"], look["up_to"]) for look in one["looks"]] == [
        ("A-1", pytest.approx(8 / 6, rel=1e-4)),
        ("A-2", pytest.approx(8 / 6, rel=1e-4)),
    ]
    assert one["looks"][0]["at"] == f"{DAY}T17:00:00+01:00"
    assert one["stated_hours"]["dry_to_recoat"] == 6.0
    assert one["said"] == []
    batch = shop.json("batch", "show", "A-1")
    assert batch["coats"][0]["factors"]["shop"] == pytest.approx(one["factor"]["middle"], rel=0.02)


def test_a_surprising_test_is_asked_about_and_may_be_left_out(shop: Command, clock: FrozenDateTimeFactory) -> None:
    felt(shop, clock, "A-1", "15:00", "16:00")
    felt(shop, clock, "A-2", "15:00", "16:00")
    felt(shop, clock, "A-3", "15:00", "16:00")
    shop.ok("record", "coat", "T-1", "--at", f"{DAY} 09:00")
    clock.move_to("2026-03-11T16:00:00+00:00")
    said = shop.json("record", "test", "T-1", "dry_to_recoat", "tacky")
    surprise = said["surprise"]
    assert surprise["slower"] is True
    assert surprise["chance"] < 0.02
    assert "a heavy coat, a cold or damp spot, or another coat than you meant?" in surprise["words"]
    number = said["recorded"][0]["number"]
    assert surprise["test"] == number
    before = shop.json("learned", "wiping-varnish")
    assert [look["surprising"] for look in before["looks"]] == [False, False, False, True]
    assert f"finishing learned exclude {number}" in " ".join(shop.ok("learned", "wiping-varnish").split())
    assert "left out of learning, on record" in shop.ok("learned", "exclude", str(number), "--note", "cold corner")
    after = shop.json("learned", "wiping-varnish")
    assert after["tests"] == before["tests"] - 1
    (one,) = after["said"]
    assert (one["kind"], one["test"], one["batch"], one["note"]) == ("exclude", number, "T-1", "cold corner")
    assert f"1: left out T-1, test {number}: tacky for dry to recoat (cold corner)" in shop.ok(
        "learned", "wiping-varnish"
    )
    shop.ok("learned", "take-back", "1")
    assert shop.json("learned", "wiping-varnish")["factor"] == before["factor"]


def test_it_asks_in_words_and_not_of_a_test_that_goes_with_the_others(
    shop: Command, clock: FrozenDateTimeFactory
) -> None:
    felt(shop, clock, "A-1", "15:00", "16:00")
    felt(shop, clock, "A-2", "15:00", "16:00")
    shop.ok("record", "coat", "T-1", "--at", f"{DAY} 09:00")
    assert shop.json("record", "test", "T-1", "dry_to_recoat", "tacky", "--at", f"{DAY} 15:00")["surprise"] is None
    clock.move_to("2026-03-12T16:00:00+00:00")
    out = shop.ok("record", "test", "T-1", "dry_to_recoat", "tacky")
    assert "? coat 1 took longer than ×" in out
    assert "surprising: as slow as this by chance" in out


def test_a_finish_is_begun_afresh(shop: Command, clock: FrozenDateTimeFactory) -> None:
    felt(shop, clock, "A-1", "16:00", "17:00")
    felt(shop, clock, "A-2", "16:00", "17:00")
    assert "begun afresh, on record" in shop.json("learned", "reset", "wiping-varnish", "--note", "new can")["said"]
    one = shop.json("learned", "wiping-varnish")
    assert (one["tests"], one["in_use"], one["said"][0]["kind"]) == (0, False, "reset")


@pytest.mark.parametrize(
    ("words", "field"),
    [
        (("learned", "no-such"), "finish"),
        (("learned", "exclude", "999"), "test"),
        (("learned", "exclude", "x"), ""),
        (("learned", "reset", "no-such"), "finish"),
        (("learned", "take-back", "7"), "number"),
    ],
)
def test_what_makes_no_sense_is_refused(shop: Command, words: tuple[str, ...], field: str) -> None:
    assert field in shop.refused(*words)
