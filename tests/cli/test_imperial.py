"""Where the maker works in °F and inches, nothing of °C, mm, mL or m² is said but in what a source is quoted with."""

from __future__ import annotations

import re
from pathlib import Path

from .conftest import Command

METRIC = re.compile(r"°C|m²|\d ?m?L\b|\d ?mm\b")

SINGLE = re.compile(r"(?<![-\d.,])1 (?:\w+ )?(?:pieces|times|coats|days|readings|batches|sessions|tests)\b")


def test_no_metric_figure_is_said(shop: Command, tmp_path: Path) -> None:
    shop.ok("settings", "units", "imperial")
    assert "usual day 28 to 90 °F" in shop.ok("place", "add", "shed", "--low", "28", "--high", "90", "--humidity", "95")
    added = shop.ok(
        "batch", "add", "--what", "board", "--pieces", "1", "--size", "12x8x3/4", "--species", "maple", "--place",
        "shed", "--schedule", "waterborne-three", "--code", "F-1",
    )  # fmt: skip
    assert "ft²" in added
    said = [
        shop.ok("record", "coat", "F-1", "--amount", "1floz", "--at", "yesterday 17:00"),
        *(shop.ok(*words.split()) for words in (
            "due", "batch show F-1", "place show shed", "place list", "finishes", "schedules show waterborne-three",
            "compare --batch F-1", "trace F-1", "report", "plan --quick", "settings", "learned",
            "air --temperature 30F --humidity 97 --surface 29F", "record undo F-1",
        )),
        re.sub(r"(?s)\nfigure .*?\n\n", "\n", shop.ok("finishes", "show", "waterborne-clear")),
    ]  # fmt: skip
    assert "below its minimum" in "".join(said) or "too cold to coat" in "".join(said)
    for text in said:
        assert not METRIC.search(text), text
        assert not SINGLE.search(text), text


def test_no_coat_waits_for_the_last(run: Command) -> None:
    said = run.ok("times", "wiped-varnish-four", "--species", "hard maple", "--temperature", "70F")
    rows = [re.split(r"  +", line) for line in said.splitlines() if "wiping-varnish " in line]
    assert [row[4:] == ["-", "-", "-"] for row in rows] == [False, False, False, True]
