"""An open hourly data set that a package carries, read in end to end and compared with the package's own reading.

`vega_datasets` (BSD licence, with the data) holds a year of hourly temperatures of two cities, in °F, as CSV: one with
the time first, one with it last, and neither naming a unit of its numbers.
"""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
import vega_datasets

from finishing.__main__ import main
from finishing.errors import BadInput
from finishing.exchange.readings import Columns, read_log

FOLDER = Path(vega_datasets.__file__).parent / "_data"
NAMES = ("seattle-temps", "sf-temps")


def written(name: str) -> tuple[np.ndarray, np.ndarray]:  # type: ignore[type-arg]
    """Epoch seconds (its times taken for UTC) and °C, as pandas reads the package's file."""
    frame = vega_datasets.local_data(name)
    seconds = frame["date"].to_numpy().astype("datetime64[s]").astype(np.int64)
    order = np.argsort(seconds, kind="stable")
    return seconds[order], (frame["temp"].to_numpy()[order] - 32.0) / 1.8


@pytest.mark.parametrize("name", NAMES)
def test_a_year_of_hours_comes_in_whole(name: str) -> None:
    got = read_log(FOLDER / f"{name}.csv", zone="UTC", columns=Columns(temperature_unit="F"))
    seconds, celsius = written(name)
    assert got.seconds.tolist() == seconds.tolist()
    assert got.temperature_c == pytest.approx(celsius, abs=1e-9)
    assert np.isnan(got.humidity_pct).all()
    assert got.understanding.interval_seconds == 3600
    assert got.understanding.skipped == ()


def test_in_the_citys_own_zone_the_spring_night_is_told_of() -> None:
    got = read_log(FOLDER / "seattle-temps.csv", zone="America/Los_Angeles", columns=Columns(temperature_unit="F"))
    said = " ".join(got.understanding.notes)
    assert "do not exist in America/Los_Angeles (spring clock change)" in said or "autumn clock change" in said
    assert len(got.seconds) >= 8755


def test_its_unit_is_asked_for_rather_than_guessed() -> None:
    with pytest.raises(BadInput, match="--temperature-unit"):
        read_log(FOLDER / "sf-temps.csv", zone="UTC")


def test_end_to_end(capsys: pytest.CaptureFixture[str]) -> None:
    def run(*words: str) -> str:
        with pytest.raises(SystemExit) as left:
            main(list(words))
        out, err = capsys.readouterr()
        assert (left.value.code, err) == (0, "")
        return out

    run("place", "add", "loft", "--low", "5", "--high", "15")
    file = str(FOLDER / "seattle-temps.csv")
    asked = ("readings", "import", file, "--place", "loft", "--zone", "UTC", "--temperature-unit", "F")
    said = json.loads(run(*asked, "--json"))
    seconds, celsius = written("seattle-temps")
    assert (said["readings"], said["added"]) == (len(seconds), len(seconds))
    assert "0 readings added" in run(*asked)
    back = json.loads(run("readings", "list", "--place", "loft", "--last", "10000", "--json"))
    assert [reading["temperature_c"] for reading in back] == pytest.approx(celsius.tolist(), abs=1e-9)
