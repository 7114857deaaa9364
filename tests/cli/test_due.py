"""`finishing due --at`: what it will say at a time to come."""

from __future__ import annotations

import re

import pytest
from freezegun.api import FrozenDateTimeFactory

from .conftest import Command


@pytest.fixture
def coated(shop: Command, clock: FrozenDateTimeFactory) -> Command:
    """A batch prepared and coated once, at half past ten on a Tuesday, and wiped off."""
    shop.ok("record", "step", "T-1")
    clock.move_to("2026-03-10T09:30:00+00:00")
    shop.ok("record", "coat", "T-1")
    clock.move_to("2026-03-10T10:00:00+00:00")
    shop.ok("record", "step", "T-1")
    return shop


@pytest.mark.parametrize(
    ("typed", "instant"),
    [
        ("20:00", "2026-03-10T19:00:00+00:00"),
        ("tonight", "2026-03-10T19:00:00+00:00"),
        ("tomorrow 06:30", "2026-03-11T05:30:00+00:00"),
        ("saturday", "2026-03-14T07:00:00+00:00"),
        ("30 mar", "2026-03-30T06:00:00+00:00"),  # summer time since the night before
    ],
)
def test_it_says_what_due_says_when_that_time_has_come(
    coated: Command, clock: FrozenDateTimeFactory, typed: str, instant: str
) -> None:
    """Against the command itself, with the clock there. The loft stands at 21 °C whatever the hour."""
    ahead = coated.json("due", "--at", typed)
    asked = ahead["now"]
    said = coated.ok("due", "--at", typed).splitlines()
    clock.move_to(instant)
    come = coated.json("due")
    assert asked == "2026-03-10T11:00:00+01:00"
    assert ahead["as_of"] == come["as_of"] == come["now"]
    for group, rows in come["groups"].items():
        seen = [{**row, "stands": ""} for row in ahead["groups"][group]]
        assert seen == [{**row, "stands": ""} for row in rows]
    assert said[0] == coated.ok("due").splitlines()[0]
    assert said[1] == "As it will stand then, in the air expected, if nothing is recorded until then."


def test_the_words_are_of_that_time(coated: Command) -> None:
    """No "now" and no "in 3 h" of a day to come."""
    now, then = coated.ok("due"), coated.ok("due", "--at", "10:30+00:00")
    assert ("TODAY" in now, "(in " in now) == (True, True)
    assert ("LATER THAT DAY" in then, "(in " in then) == (True, False)
    saturday = coated.ok("due", "--at", "saturday")
    assert "  THEN\n" in saturday
    assert "NOW" not in saturday
    shut = coated.ok("due", "--at", "2026-03-30")
    assert "ago" not in shut
    assert "loft about 21 °C 50 %" in shut


def test_a_day_alone_means_its_morning_wherever_it_is_typed(shop: Command) -> None:
    """Eight, or when its hours begin where that is earlier: what is due then, and by when a batch is wanted."""
    shop.ok("settings", "hours", "mon-fri 18:30-21:00; sat 6:30-12")
    for typed, morning in (
        ("tomorrow", "2026-03-11T08:00:00+01:00"),
        ("sat", "2026-03-14T06:30:00+01:00"),
        ("next sunday", "2026-03-15T08:00:00+01:00"),
    ):
        assert shop.json("due", "--at", typed)["as_of"] == morning
        assert shop.json("batch", "change", "T-1", "--wanted", typed)["wanted_by"] == morning


@pytest.mark.parametrize("typed", ["", "someday", "today 08:30", "2026-03-09", "31 feb", "sat 25:00", "2026-13-01"])
def test_refused(shop: Command, typed: str) -> None:
    said = shop.refused("due", "--at", typed)
    assert said.startswith(
        f"--at: got {typed!r}, expected a date or time ahead of now" if typed else "--at: got nothing"
    )


def test_not_while_watching(shop: Command) -> None:
    assert "--watch" in shop.refused("due", "--at", "saturday", "--watch")


def test_a_long_name_stretches_no_table(shop: Command) -> None:
    """An emoji takes two columns: UAX #11. JSON has all of the name."""
    name = "\U0001fab5" * 90
    shop.ok("batch", "add", "--code", "L-1", "--what", name, "--pieces", "4", "--size", "300x200x18",
            "--species", "hard maple", "--schedule", "wiped-varnish-four", "--place", "loft")  # fmt: skip
    for words, logs in ((("due",), 15), (("batch", "list"), 15), (("plan", "--quick"), 6)):
        [line] = [line for line in shop.ok(*words).splitlines() if re.match(r" *L-1 +\U0001fab5", line)]
        assert " " + name[:logs] + "… ×4 " in line
    assert name in [row["what"] for row in shop.json("batch", "list")]
