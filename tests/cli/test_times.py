"""`finishing times` and `finishing air`, against figures from outside the project."""

from __future__ import annotations

import csv
import datetime as dt
import math
from pathlib import Path
from typing import Any

import pytest

from .conftest import Command

GAS_CONSTANT = 8.314462618e-3
"""kJ/(mol·K): CODATA 2018, exact since the SI of 2019."""

CHECKS = Path(__file__).parents[2] / "data" / "checks"

ONE_COAT = """name = "one-coat-{finish}"
title = "One coat of {finish}"
summary = "For a check: one coat on both faces."

[[steps]]
kind = "coat"
finish = "{finish}"
"""


def hours(coat: dict[str, Any], stage: str, level: str = "likely") -> float:
    """Hours from coating to a stage."""
    return between(coat["applied_at"], coat["stages"][stage][level])


def between(start: str, end: str) -> float:
    return (dt.datetime.fromisoformat(end) - dt.datetime.fromisoformat(start)).total_seconds() / 3600.0


def first_coat(run: Command, schedule: str, *options: str, species: str = "hard maple") -> dict[str, Any]:
    coat: dict[str, Any] = run.json("times", schedule, "--species", species, *options)["coats"][0]
    return coat


@pytest.mark.parametrize(("cold", "warm"), [(12.0, 22.0), (20.0, 30.0), (15.5, 16.5)])
def test_arrhenius_ratio_of_two_temperatures(run: Command, cold: float, warm: float) -> None:
    """The rate law as Arrhenius wrote it, k = A·exp(-Ea/(R·T)), from the activation energy the command prints.

    Both stages run on clocks that humidity at 50 % does not bear on. Times are written to the second.
    """
    asked = ["times", "wiped-varnish-four", "--species", "hard maple", "--temperature"]
    answers = [run.json(*asked, str(t)) for t in (cold, warm)]
    energies = answers[0]["activation_energy_kj_mol"]
    for clock, stage in (("flash", "dry_to_touch"), ("cure", "dry_to_recoat"), ("cure", "cured")):
        expected = math.exp(energies[clock] / GAS_CONSTANT * (1 / (cold + 273.15) - 1 / (warm + 273.15)))
        slow, fast = (hours(answer["coats"][0], stage) for answer in answers)
        assert slow / fast == pytest.approx(expected, rel=2e-3), stage


def stage_limits() -> list[dict[str, str]]:
    with (CHECKS / "stage_limits.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize("row", stage_limits(), ids=lambda row: f"{row['finish']} {row['stage']} {row['source'][:24]}")
def test_published_stage_limits(run: Command, row: dict[str, str]) -> None:
    """Each row has its own source: state and federal specifications, an Army manual, the Forest Products Laboratory."""
    folder = run.home / "schedules"
    folder.mkdir(parents=True)
    (folder / f"one-coat-{row['finish']}.toml").write_text(ONE_COAT.format(finish=row["finish"]), encoding="utf-8")
    coat = first_coat(run, f"one-coat-{row['finish']}", "--temperature", row["temperature_c"])
    if row["stage"] == "recoat_limit":
        ours = between(coat["applied_at"], coat["window"]["shuts"])
    else:
        ours = hours(coat, row["stage"])
    assert ours <= float(row["at_most_hours"] or "inf") + 1e-3
    assert ours >= float(row["at_least_hours"] or "0") - 1e-3


@pytest.mark.parametrize("wood", ["teak", "cocobolo"])
@pytest.mark.parametrize("schedule", ["wiped-varnish-four", "danish-three", "tung-oil-five"])
def test_no_date_on_bare_oily_wood(run: Command, wood: str, schedule: str) -> None:
    """Oily woods hold up oxidising finishes, at times for good: common practice, no source."""
    found = run.json("times", schedule, "--species", f"hard maple, {wood}", "--temperature", "21")
    urgent = [c["code"] for c in found["cautions"] if c["urgent"]]
    assert "seal_or_test" in urgent
    for coat in found["coats"]:
        assert not any(coat["stages"].values())
        assert (coat["window"]["opens"], coat["window"]["shuts"]) == (None, None)
    assert set(found["released"].values()) == {None}
    assert "no date" in run.ok("times", schedule, "--species", wood, "--temperature", "21")


def test_sealed_the_same_wood_has_dates(run: Command) -> None:
    """A barrier of dewaxed shellac lets the varnish over it harden: common practice, no source."""
    found = run.json("times", "wiped-varnish-sealed", "--species", "teak", "--temperature", "21")
    assert all(found["released"].values())
    assert "seal_or_test" not in [c["code"] for c in found["cautions"]]


def test_oily_wood_is_slower_and_warmth_is_faster(run: Command) -> None:
    """A moderately oily wood takes longer under an oxidising finish: common practice, no source."""
    maple, bloodwood = (first_coat(run, "wiped-varnish-four", "--temperature", "18", species=wood)
                        for wood in ("hard maple", "bloodwood"))  # fmt: skip
    assert hours(bloodwood, "dry_to_recoat") > 1.2 * hours(maple, "dry_to_recoat")
    whole = [run.json("times", "wiped-varnish-four", "--species", "hard maple", "--temperature", t) for t in
             ("10", "15", "20", "25")]  # fmt: skip
    took = [between(one["start"], one["released"]["use"]) for one in whole]
    assert took == sorted(took, reverse=True)


def test_fahrenheit(run: Command) -> None:
    """64 °F is 17.78 °C: t/°C = (t/°F - 32)/1.8 (NIST SP 811, B.8)."""
    assert run.json("air", "--temperature", "64F", "--humidity", "50")["temperature_c"] == pytest.approx(
        17.78, abs=5e-3
    )
    asked = ["times", "wiped-varnish-four", "--species", "hard maple", "--temperature"]
    assert run.json(*asked, "64F") == run.json(*asked, "64 °f")
    near = run.json(*asked, "17.7778")["coats"][0]
    assert hours(run.json(*asked, "64F")["coats"][0], "cured") == pytest.approx(hours(near, "cured"), rel=1e-5)


def test_dew_point_of_ordinary_air(run: Command) -> None:
    """25 °C and 50 % RH: dew point 13.9 °C, as any psychrometric chart at sea level reads; from memory."""
    found = run.json("air", "--temperature", "25", "--humidity", "50")
    assert list(found) == [
        "temperature_c", "humidity_pct", "surface_c", "dew_point_c", "vapour_pressure_deficit_kpa",
        "wood_moisture_pct", "warnings",
    ]  # fmt: skip
    assert found["dew_point_c"] == pytest.approx(13.9, abs=0.1)
    assert found["wood_moisture_pct"] == pytest.approx(9.1, abs=0.2)  # USDA Wood Handbook, table 4-2: 9.1 at 80 °F
    assert (
        "less than 3 °C" in run.json("air", "--temperature", "15", "--humidity", "60", "--surface", "9")["warnings"][0]
    )
    assert run.json("air", "--temperature", "15", "--humidity", "0")["dew_point_c"] is None


def test_keys(run: Command) -> None:
    found = run.json("times", "wiped-varnish-sealed", "--species", "hard maple,padauk", "--temperature", "20")
    assert list(found) == [
        "schedule", "finishes", "species", "start", "level", "activation_energy_kj_mol", "factors", "coats", "released",
        "cautions", "notes",
    ]  # fmt: skip
    assert set(found["factors"]) == {"species", "limiting_species", "film", "shop"}
    assert found["factors"]["limiting_species"] == "padauk"
    stages = {"dust_free", "tack_free", "dry_to_touch", "dry_to_recoat", "dry_to_handle", "stackable", "cured"}
    for number, coat in enumerate(found["coats"], 1):
        assert coat["coat"] == number
        assert set(coat["stages"]) == stages
        for stage in coat["stages"].values():
            assert stage["could_be"] < stage["likely"] < stage["count_on"]
    assert set(found["released"]) == {"handle", "pack", "use"}


def test_a_finish_that_never_cures(run: Command) -> None:
    """Mineral oil does not dry, ever: common practice, no source."""
    found = run.json("times", "oil-soak-board", "--species", "hard maple", "--temperature", "20")
    assert [coat["stages"]["cured"] for coat in found["coats"]] == [None] * len(found["coats"])
    assert any("never cures" in note for note in found["notes"])


def test_air_from_a_log_and_from_a_day(run: Command, tmp_path: Path) -> None:
    """The same steady air, said three ways, gives the same hours."""
    rows = [f"2026-03-{1 + i // 24:02d}T{i % 24:02d}:00:00Z,18,50" for i in range(24 * 9)]
    log = tmp_path / "log.csv"
    log.write_text("time,temperature C,humidity %\n" + "\n".join(rows), encoding="utf-8")
    ways = (["--temperature", "18"], ["--low", "18", "--high", "18"], ["--readings", str(log)])
    took = [hours(first_coat(run, "wiped-varnish-four", *way), "cured") for way in ways]
    assert took[1:] == pytest.approx([took[0]] * 2, rel=1e-4)


def test_more_finish_on_the_same_area_takes_longer(run: Command) -> None:
    usual = first_coat(run, "brushed-varnish-three", "--temperature", "20", "--amount", "100", "--area", "1m2")
    heavy = first_coat(run, "brushed-varnish-three", "--temperature", "20", "--amount", "200", "--area", "1m2")
    assert hours(heavy, "cured") > hours(usual, "cured")


def test_the_makers_own_finish_is_used(run: Command, tmp_path: Path) -> None:
    shipped = CHECKS.parent / "finishes" / "wiping-varnish.toml"
    text = shipped.read_text(encoding="utf-8").replace('name = "wiping-varnish"', 'name = "bench-varnish"')
    mine = tmp_path / "mine.toml"
    mine.write_text(text.replace("typical = 6", "typical = 9"), encoding="utf-8")
    run.ok("finishes", "add", str(mine))
    own = tmp_path / "one.toml"
    own.write_text(ONE_COAT.format(finish="bench-varnish"), encoding="utf-8")
    run.ok("schedules", "add", str(own))
    coat = first_coat(run, "one-coat-bench-varnish", "--temperature", "21")
    assert hours(coat, "dry_to_recoat") == pytest.approx(9.0, abs=1e-3)
