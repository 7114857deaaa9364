"""`finishing finishes`, `schedules` and `species`: listed, shown with every source, and added to."""

from __future__ import annotations

from pathlib import Path

import pytest

from finishing.library.content import shipped

from .conftest import Command


def test_lists(run: Command) -> None:
    schedules = run.json("schedules")
    assert len(schedules) >= 12
    assert list(schedules[0]) == [
        "name", "title", "summary", "suits", "coats", "finishes", "hands_on_minutes_per_piece",
        "hands_on_minutes_set_up", "own",
    ]  # fmt: skip
    assert len(run.json("finishes")) >= 14
    woods = run.json("species")
    assert len(woods) >= 45
    assert all(wood["botanical"] and wood["source"] for wood in woods)
    for listing in ("schedules", "finishes", "species"):
        assert len(run.ok(listing).splitlines()) == len(run.json(listing)) + 1
    assert not (run.home / "finishing.db").exists(), "they do not open the record"


def test_every_figure_of_a_finish_has_its_evidence_and_source(run: Command) -> None:
    for one in run.json("finishes"):
        for figure in (*one["stages"].values(), *one["clocks"].values(), one["film"], one["limits"]):
            assert figure["evidence"], one["name"]
            assert figure["source"], one["name"]
    found = run.json("finishes", "show", "wiping-varnish")
    said = run.ok("finishes", "show", "wiping-varnish")
    for stage in found["stages"].values():
        assert stage["source"] in said
        assert f"{stage['typical']:g}" in said
    assert "UFC 3-190-06" in said
    assert "Oily rags" in said


def test_species(run: Command) -> None:
    found = run.json("species", "show", "Tectona grandis")
    assert found["name"] == "teak"
    assert found["slows"]["oxidation"]["never_bare"] > 0.2
    said = run.ok("species", "show", "teak")
    assert found["slows"]["oxidation"]["source"] in said
    assert "estimate" in said


def test_schedule(run: Command) -> None:
    found = run.json("schedules", "show", "wiped-varnish-sealed")
    assert len(found["steps"]) == 13
    said = run.ok("schedules", "show", "wiped-varnish-sealed")
    assert "coat 4 of 4" in said
    assert f"{found['hands_on_minutes_per_piece']:g} min a piece" in said


@pytest.fixture
def mine(tmp_path: Path) -> Path:
    text = (shipped("data") / "finishes" / "tung-oil.toml").read_text(encoding="utf-8")
    path = tmp_path / "mine.toml"
    path.write_text(text.replace('name = "tung-oil"', 'name = "bench-oil"'), encoding="utf-8")
    return path


def test_add_ones_own(run: Command, mine: Path) -> None:
    added = run.json("finishes", "add", str(mine))
    assert added["name"] == "bench-oil"
    assert Path(added["file"]) == run.home / "finishes" / "bench-oil.toml"
    assert [f["own"] for f in run.json("finishes") if f["name"] == "bench-oil"] == [True]
    assert "name none of your own" in run.refused("finishes", "add", str(mine))
    mine.write_text(mine.read_text(encoding="utf-8").replace("spread = 0.5", "spread = 0.3"), encoding="utf-8")
    run.ok("finishes", "add", str(mine), "--replace")
    assert run.json("finishes", "show", "bench-oil")["spread"] == 0.3


def test_a_broken_file_of_ones_own_stops_no_listing(run: Command, mine: Path) -> None:
    run.ok("finishes", "add", str(mine))
    bad = run.home / "finishes" / "broken.toml"
    bad.write_text('name = "broken"\ntitle = ', encoding="utf-8")
    code, out, err = run("finishes")
    assert code == 0
    assert "bench-oil" in out
    assert "broken" not in out
    assert err.count("\n") == 1
    assert "finishes/broken.toml: is not TOML" in err
    # a listing of another kind has no business with it
    assert run.ok("species")
    # and where the broken one is asked for, that is what is said
    assert "broken.toml" in run.refused("finishes", "show", "broken")


def test_malformed_files_are_not_added(run: Command, mine: Path, tmp_path: Path) -> None:
    cases = {
        "no TOML": "name = [",
        "a key there is no such": mine.read_text(encoding="utf-8") + "\nglossy = true\n",
        "an impossible figure": mine.read_text(encoding="utf-8").replace("minimum_c = 10", "minimum_c = 400"),
    }
    for what, text in cases.items():
        path = tmp_path / "bad.toml"
        path.write_text(text, encoding="utf-8")
        assert "bad.toml" in run.refused("finishes", "add", str(path)), what
    assert "is not a file" in run.refused("schedules", "add", str(tmp_path / "none.toml"))


def test_one_of_ones_own_is_taken_away(run: Command, mine: Path) -> None:
    run.ok("finishes", "add", str(mine))
    name = "bench-oil"
    assert name in run.ok("finishes")
    assert run.json("finishes", "remove", name) == {"kind": "finish", "name": name, "removed": True}
    assert name not in [item["name"] for item in run.json("finishes") if item["own"]]
    assert "expected one of your own" in run.refused("finishes", "remove", name)
