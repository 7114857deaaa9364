"""`finishing compare`: schedules side by side, and by when each must begin, with or without a batch on the bench."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from freezegun import freeze_time
from freezegun.api import FrozenDateTimeFactory

from .conftest import Command

PIECES = ("--pieces", "20", "--species", "hard maple, padauk", "--size", "300x200x18")


def by_name(view: dict[str, Any]) -> dict[str, dict[str, Any]]:
    return {row["schedule"]: row for row in view["schedules"]}


def test_side_by_side_at_80_columns(shop: Command) -> None:
    said = shop.ok("compare", "waterborne-three", "wiped-varnish-four", *PIECES, "--by", "2026-03-28")
    assert all(len(line) <= 80 for line in said.splitlines())
    assert "never pack before" in said
    assert "begin by" in said
    assert "padauk bleeds red" in said
    assert "hourly_rate" in said


def test_many_are_summed_up_on_a_screen_and_told_in_full_when_asked(shop: Command) -> None:
    """24 lines of 80 are the least a terminal has; one is left for the prompt."""
    short = shop.ok("compare", *PIECES, "--by", "2026-03-28", "--wish", "cheapest").splitlines()
    rows = shop.json("compare", *PIECES, "--by", "2026-03-28", "--wish", "cheapest")["schedules"]
    assert len(short) <= 23
    assert max(map(len, short)) <= 80
    shown = [line.split()[0] for line in short[short.index("") + 2 :][:8]]
    assert shown == [row["schedule"] for row in rows[:8]]
    assert f"--full: {len(rows) - 8} more" in " ".join(short)
    assert any(line.startswith(f"{shown[0]}: never pack before") for line in short)
    full = shop.ok("compare", *PIECES, "--by", "2026-03-28", "--wish", "cheapest", "--full")
    assert all(row["schedule"] in full for row in rows)
    assert full.count("never pack before") == sum(row["released"]["pack"] is not None for row in rows)


def test_a_date_of_another_year_says_which(shop: Command, clock: FrozenDateTimeFactory) -> None:
    """Asked in November of what cures in spring; ISO 8601 tells the year."""
    clock.move_to("2026-11-20T09:00:00+00:00")
    said = shop.ok("compare", "wiped-varnish-four", *PIECES)
    use = dt.datetime.fromisoformat(
        shop.json("compare", "wiped-varnish-four", *PIECES)["schedules"][0]["released"]["use"]
    )
    assert use.year == 2027
    assert f" {use.day} {use:%b} 2027 " in said
    assert f"{use:%a} {use.day} {use:%b} 2027 {use:%H:%M}" in " ".join(said.split())


def test_what_a_piece_takes_and_costs(shop: Command) -> None:
    """Minutes from the schedule's own file; amounts are area ÷ spreading rate; a can of 500 mL at 24 was bought."""
    shop.ok("settings", "hourly_rate", "30")
    row = by_name(shop.json("compare", "wiped-varnish-four", *PIECES))["wiped-varnish-four"]
    steps = shop.json("schedules", "show", "wiped-varnish-four")["steps"]
    bare = sum(20 * s.get("minutes_per_piece", 0) + s.get("setup_minutes", 0) for s in steps)
    assert row["hands_on_minutes"] >= bare
    film = shop.json("finishes", "show", "wiping-varnish")["film"]
    area = 20 * (2 * 0.3 * 0.2 + 2 * (0.3 + 0.2) * 0.018)
    litres = area / film["first_m2_per_l"] + 3 * area / film["later_m2_per_l"]
    assert sum(row["finish_used_ml"].values()) == pytest.approx(litres * 1000, rel=1e-3)
    assert row["finish_cost"] == pytest.approx(litres * 1000 / 500 * 24, abs=0.01)
    assert row["labour_cost"] == pytest.approx(row["hands_on_minutes"] / 60 * 30, abs=0.01)
    piece = row["adds_per_piece"]
    assert piece["minutes"] == pytest.approx(row["hands_on_minutes"] / 20, abs=0.001)
    assert piece["total"] == pytest.approx((row["finish_cost"] + row["labour_cost"]) / 20, abs=0.01)


def test_the_latest_start_makes_the_date_and_the_next_does_not(shop: Command) -> None:
    view = shop.json("compare", "waterborne-three", "tung-oil-five", *PIECES, "--by", "2026-03-28", "--alone")
    rows = by_name(view)
    good, bad = rows["waterborne-three"], rows["tung-oil-five"]
    assert good["makes_date"]
    assert not bad["makes_date"]
    assert bad["latest_start"] is None
    latest = dt.datetime.fromisoformat(good["latest_start"])
    wanted = dt.datetime.fromisoformat(view["wanted_by"])
    # As if it were asked at the latest start itself: ready in time; on the working day after: not.
    with_clock = "%Y-%m-%dT%H:%M:%S+00:00"
    for moment, made in ((latest, True), (latest + dt.timedelta(days=3), False)):
        with freeze_time(moment.astimezone(dt.UTC).strftime(with_clock)):
            again = by_name(shop.json("compare", "waterborne-three", *PIECES, "--by", "2026-03-28", "--alone"))
        ready = dt.datetime.fromisoformat(again["waterborne-three"]["released"]["pack"])
        assert (ready <= wanted) is made


@pytest.mark.parametrize("wish", ["soonest", "hands-on", "cheapest", "toughest"])
def test_the_wish_ranks(shop: Command, wish: str) -> None:
    shop.ok("settings", "hourly_rate", "30")
    names = ("waterborne-three", "wiped-varnish-four", "two-part-film-two")
    rows = shop.json("compare", *names, *PIECES, "--wish", wish)["schedules"]
    key = {
        "soonest": lambda r: r["released"]["pack"],
        "hands-on": lambda r: r["hands_on_minutes"],
        "cheapest": lambda r: (r["finish_cost"] is None, r["adds_per_piece"]["total"]),
        "toughest": lambda r: -r["protection"],
    }[wish]
    assert rows == sorted(rows, key=key)


def test_all_schedules_are_compared_where_none_is_named(shop: Command) -> None:
    known = {s["name"] for s in shop.json("schedules")}
    assert {r["schedule"] for r in shop.json("compare", *PIECES)["schedules"]} == known


def test_around_what_is_planned(shop: Command) -> None:
    """An hour a day, taken by a batch on the bench: the new one is ready later than alone."""
    shop.ok("settings", "hours", "mon-sun 18:00-19:00")
    shop.ok("batch", "add", "--what", "trays", "--pieces", "20", "--code", "T-9", "--species", "hard maple",
            "--schedule", "waterborne-three", "--place", "loft")  # fmt: skip
    words = ("compare", "waterborne-three", "--pieces", "6", "--species", "hard maple")
    busy, alone = (by_name(shop.json(*words, *more))["waterborne-three"] for more in ((), ("--alone",)))
    assert busy["released"]["pack"] > alone["released"]["pack"]


def test_without_a_place_or_a_batch(run: Command) -> None:
    view = run.json("compare", "waterborne-three", "--pieces", "4", "--species", "maple")
    assert view["schedules"][0]["released"]["pack"] is not None
    assert any("no place is known yet" in note for note in view["notes"])


def test_bare_oily_wood_gets_no_date(shop: Command) -> None:
    row = shop.json("compare", "danish-three", "--pieces", "4", "--species", "cocobolo")["schedules"][0]
    assert row["released"] == {"handle": None, "pack": None, "use": None}
    assert "seal or test first" in row["stopped"]
    assert any(c["code"] == "seal_or_test" for c in row["cautions"])


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["no-such", *PIECES], "no-such"),
        (["waterborne-three", "--pieces", "0", "--species", "maple"], "--pieces"),
        (["waterborne-three", "--pieces", "4", "--species", "nowood"], "nowood"),
        (["waterborne-three", *PIECES, "--by", "2020-01-01"], "--by"),
        (["waterborne-three", *PIECES, "--wish", "prettiest"], "--wish"),
        (["waterborne-three", *PIECES, "--place", "attic"], "attic"),
    ],
)
def test_refused(shop: Command, words: list[str], said: str) -> None:
    assert said in shop.refused("compare", *words)


def test_a_batch_on_the_bench_is_asked_about(shop: Command) -> None:
    """Its pieces, woods, size, place and date; its own schedule among those named."""
    view = shop.json("compare", "waterborne-three", "--batch", "T-1")
    batch = shop.json("batch", "show", "T-1")
    assert view["pieces"] == batch["pieces"]
    assert view["wanted_by"] == batch["wanted_by"]
    assert set(by_name(view)) == {"waterborne-three", batch["schedule"]}
    more = shop.json("compare", "waterborne-three", "--batch", "T-1", "--pieces", "40", "--by", "2026-04-20")
    assert more["pieces"] == 40
    assert more["wanted_by"].startswith("2026-04-20T08:00")
    assert "--pieces" in shop.refused("compare", "--species", "maple")
    assert "--species" in shop.refused("compare", "--pieces", "3")
    assert "X-9" in shop.refused("compare", "--batch", "X-9")


def test_what_makes_its_date_has_a_start_that_does(shop: Command) -> None:
    """Also where the date is the very minute from which it may be packed, which no quarter of an hour rounds up to."""
    bare = shop.json("compare", *PIECES, "--alone")
    for pack in {row["released"]["pack"] for row in bare["schedules"] if row["released"]["pack"]}:
        minute = dt.datetime.fromisoformat(pack) + dt.timedelta(minutes=1)
        rows = shop.json("compare", *PIECES, "--alone", "--by", minute.strftime("%Y-%m-%dT%H:%M%z"))["schedules"]
        assert [row["schedule"] for row in rows if row["makes_date"] != (row["latest_start"] is not None)] == []


def crowded(shop: Command) -> None:
    """An evening hour a day for three batches with dates, one of them begun."""
    shop.ok("settings", "hours", "mon-sun 18:00-19:00")
    rows = (("T-2", "waterborne-three", "2026-03-20"), ("T-3", "shellac-brushed-two", "2026-03-16"))
    for code, schedule, wanted in rows:
        shop.ok("batch", "add", "--what", "trivets", "--pieces", "6", "--size", "200x200x16", "--code", code,
                "--species", "hard maple", "--schedule", schedule, "--place", "loft", "--wanted", wanted)  # fmt: skip
    shop.ok("record", "step", "T-2")


def planned(shop: Command, code: str) -> str:
    row: dict[str, str] = next(b for b in shop.json("plan", "--quick")["batches"] if b["code"] == code)
    return row["pack"]


def test_a_batch_under_its_own_schedule_is_ready_when_the_plan_says(shop: Command) -> None:
    """Begun or not, kept to or not: the other batches are not put before it."""
    crowded(shop)
    for kept in (False, True):
        if kept:
            shop.ok("plan", "--quick", "--keep")
            shop.ok("batch", "change", "T-3", "--wanted", "2026-03-13")
        for code, own in (("T-1", "wiped-varnish-four"), ("T-2", "waterborne-three"), ("T-3", "shellac-brushed-two")):
            rows = by_name(shop.json("compare", "danish-three", "--batch", code))
            assert rows[own]["released"]["pack"] == planned(shop, code)


def test_another_schedule_is_ready_when_the_plan_says_once_it_is_the_batchs(shop: Command) -> None:
    crowded(shop)
    row = by_name(shop.json("compare", "danish-three", "--batch", "T-1"))["danish-three"]
    shop.ok("batch", "change", "T-1", "--schedule", "danish-three")
    assert row["released"]["pack"] == planned(shop, "T-1")


@pytest.mark.parametrize("code", ["A", "Z"])
def test_a_batch_asked_about_and_then_added_is_ready_when_it_was_said(shop: Command, code: str) -> None:
    """Among others with dates before and after its own, by whatever code."""
    crowded(shop)
    of = ("--pieces", "8", "--species", "hard maple", "--size", "300x200x18")
    for n, schedule in enumerate(("waterborne-three", "wiped-varnish-in-window")):
        row = by_name(shop.json("compare", schedule, *of, "--place", "loft", "--by", "2026-03-18"))[schedule]
        shop.ok("batch", "add", "--what", "boards", *of, "--code", f"{code}-{n}", "--schedule", schedule,
                "--place", "loft", "--wanted", "2026-03-18")  # fmt: skip
        assert row["released"]["pack"] == planned(shop, f"{code}-{n}")
