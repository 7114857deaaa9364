"""Each caution where its work happens, with its public source: a batch walked from the first sanding to the last rest.

Which hazard belongs to which finish is checked in `tests/cure/test_cautions.py`; here, that who does the work is told.
"""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from freezegun.api import FrozenDateTimeFactory

from finishing.cure.cautions import HAZARDS
from finishing.cure.terms import Hazard
from finishing.shop.told import PAST

from .conftest import Command

# What is in a can of it, by common practice: shellac is dissolved in alcohol; sprayed lacquer is thinned with solvent;
# two-part films harden with isocyanate; tung oil is pressed from a nut and heats rags as every drying oil does; wiping
# varnish is oil and solvent.
AT_THE_COAT = {
    "shellac-sealer": {"solvent_vapour"},
    "lacquer-sprayed": {"spray", "solvent_vapour"},
    "two-part-film": {"isocyanate", "solvent_vapour"},
    "tung-oil": {"nut_oil", "oily_rags"},
    "wiping-varnish": {"oily_rags", "solvent_vapour"},
}
SCHEDULES = ("lacquer-sprayed-four", "two-part-film-two", "tung-oil-five", "wiped-varnish-four")
OF_A_FINISH = {hazard.value for hazard in Hazard} - {"sensitising_dust", "food_before_cure"}


def codes(said: Any) -> set[str]:
    """Codes of the cautions in some JSON, each of a hazard with its source and words."""
    for caution in said["cautions"]:
        if caution["code"] in HAZARDS:
            assert caution["source"]
            assert caution["text"]
    return {caution["code"] for caution in said["cautions"]}


@pytest.mark.parametrize("schedule", SCHEDULES)
def test_from_the_first_sanding_to_the_last_rest(shop: Command, schedule: str) -> None:
    shop.ok("batch", "add", "--what", "bowls", "--pieces", "2", "--code", "C-1", "--species", "padauk",
            "--schedule", schedule, "--place", "loft")  # fmt: skip
    kinds, finish, seen = set(), "", set()
    while True:
        sheet = shop.json("batch", "show", "C-1")
        ahead = [step for step in sheet["steps"] if step["state"] == "next"]
        if not codes(sheet) <= seen:  # printed where there is a new one: each look takes its time
            seen |= codes(sheet)
            printed = shop.ok("batch", "show", "C-1")
            for caution in sheet["cautions"]:
                assert f"! {caution['text']}" in printed
        if not ahead:
            break
        kind = ahead[0]["kind"]
        kinds.add(kind)
        if kind == "coat":
            finish = ahead[0]["finish"]
            assert codes(sheet) & OF_A_FINISH >= AT_THE_COAT[finish]
        if kind in ("prepare", "abrade"):  # padauk's dust is on the lists of woods that cause asthma
            assert "sensitising_dust" in codes(sheet)
        if kind == "abrade":
            assert ("isocyanate" in codes(sheet)) == ("isocyanate" in AT_THE_COAT[finish])
        said = shop.json("record", "step", "C-1")
        if kind == "coat":
            assert codes(said) >= AT_THE_COAT[finish] & {"oily_rags"}, "the rags are in the hand now"
    assert {"prepare", "coat"} <= kinds
    assert "food_before_cure" in codes(sheet)


def test_a_coat_just_put_on_says_all_that_is_to_be_heeded_of_it(shop: Command) -> None:
    """Rags in the hand, and vapour for as long as it dries; not what a later step will say itself."""
    said = shop.ok("record", "coat", "T-1")
    for hazard in (Hazard.RAGS, Hazard.VAPOUR):
        assert f"! {HAZARDS[hazard].text}" in said
    assert said.count(HAZARDS[Hazard.VAPOUR].text) == 1


def test_the_rags_are_said_of_work_that_leaves_them_whole_once_in_a_session(
    shop: Command, clock: FrozenDateTimeFactory
) -> None:
    whole, short = f"! {HAZARDS[Hazard.RAGS].text}", f"! {HAZARDS[Hazard.RAGS].short}"
    assert short == "! rags: in the lidded can under water, now"

    def said(*words: str) -> str:
        clock.tick(dt.timedelta(minutes=20))
        lines = shop.ok(*words).splitlines()
        return "whole" if whole in lines else "short" if short in lines else "past" if f"! {PAST}" in lines else ""

    assert said("record", "step", "T-1") == "", "sanding leaves none"
    assert "oily_rags" in codes(shop.json("batch", "show", "T-1")), "a coat is next, and its page says it"
    assert said("record", "coat", "T-1") == "whole", "the first oily work"
    assert said("record", "step", "T-1") == "short", "wiping off"
    assert "Never in a heap" in shop.json("record", "note", "T-1", "even")["cautions"][0]["text"]
    assert "Never in a heap" in shop.ok("due"), "the first line of another command"
    shop.ok("batch", "add", "--what", "bowls", "--pieces", "2", "--code", "C-1", "--species", "hard maple",
            "--schedule", "tung-oil-five", "--place", "loft")  # fmt: skip
    assert said("record", "coat", "C-1") == "short", "another batch of the same session"
    assert said("batch", "split", "C-1", "1") == ""
    assert said("record", "note", "T-1", "late") == ""
    assert said("record", "undo", "T-1") == ""
    clock.tick(dt.timedelta(hours=25))
    assert said("record", "coat", "T-1", "--coat", "2", "--at", "yesterday 14:00") == "whole", "there may be some still"
    clock.tick(dt.timedelta(hours=49))
    assert said("record", "coat", "T-1", "--coat", "3", "--at", "yesterday 7:00") == "past", "days ago is not now"


def test_the_bench_says_what_is_urgent(shop: Command) -> None:
    shop.ok("record", "step", "T-1")
    assert f"! T-1: {HAZARDS[Hazard.RAGS].text}" in shop.ok("due")
    row = shop.json("due")["groups"]["now"][0]
    assert {c["code"]: c["urgent"] for c in row["cautions"]}["oily_rags"]


def test_a_solvent_wipe_gone_stale_is_said_and_done_once_more(shop: Command, clock: FrozenDateTimeFactory) -> None:
    """An evening's wipe, the next evening's coat. An hour is let pass: common practice, no source."""
    shop.ok("batch", "add", "--what", "boxes", "--pieces", "4", "--size", "200x100x80", "--code", "P-1",
            "--species", "padauk", "--schedule", "wiped-varnish-sealed", "--place", "loft")  # fmt: skip
    shop.ok("record", "step", "P-1")
    shop.ok("record", "step", "P-1")
    assert "--again" in shop.refused("record", "step", "P-1", "--again")
    clock.move_to("2026-03-11T08:00:00+00:00")
    said = "wiped with solvent 24 h ago, and oil comes up again: once more, and coat within half an hour"
    assert f"! P-1: {said}" in shop.ok("due")
    assert {c["text"] for c in shop.json("batch", "show", "P-1")["cautions"] if c["code"] == "stale_wipe"} == {said}
    ahead = shop.json("due", "--at", "14:00")["groups"]["now"]
    assert any("wiped with solvent 29 h ago" in c["text"] for row in ahead for c in row["cautions"])
    shop.ok("record", "step", "P-1", "--again")
    assert "stale_wipe" not in codes(shop.json("batch", "show", "P-1"))
    clock.move_to("2026-03-11T12:00:00+00:00")
    late = shop.json("record", "coat", "P-1")
    assert late["heed"] == "4 h after the wipe with solvent"
    assert "stale_wipe" in codes(late)
