"""The shipped finishes against published limits, and the check tables' own form. The other tables meet the core in
tests/cure."""

from __future__ import annotations

import csv
import math
from pathlib import Path

import numpy as np
import pytest

from finishing.cure.rates import RateLaw, rate
from finishing.cure.terms import Stage
from finishing.library import Library
from finishing.library.content import shipped

DATA = shipped("data")
CHECKS = DATA / "checks"
LIBRARY = Library()


def rows(name: str) -> list[dict[str, str]]:
    with (CHECKS / f"{name}.csv").open(newline="", encoding="utf-8") as stream:
        return list(csv.DictReader(stream, strict=True))


@pytest.mark.parametrize("path", sorted(CHECKS.glob("*.csv")), ids=lambda p: p.stem)
def test_every_row_is_whole_and_has_its_source(path: Path) -> None:
    found = rows(path.stem)
    assert found
    assert all(row["source"].strip() for row in found)
    assert all(None not in row and None not in row.values() for row in found)


@pytest.mark.parametrize("path", sorted([*DATA.glob("*.csv"), *CHECKS.glob("*.csv")]), ids=lambda p: p.stem)
def test_tables_are_plain_rfc_4180(path: Path) -> None:
    # RFC 4180, section 2: lines end in CRLF, the last too; the same number of fields in each.
    raw = path.read_bytes()
    assert raw.endswith(b"\r\n")
    assert raw.count(b"\n") == raw.count(b"\r\n")
    assert not raw.startswith(b"\xef\xbb\xbf")
    cells = list(csv.reader(raw.decode("utf-8").splitlines(), strict=True))
    assert len({len(line) for line in cells}) == 1
    assert not any(cell.startswith(("=", "+", "@")) for line in cells for cell in line)


@pytest.mark.parametrize(
    "row", rows("stage_limits"), ids=lambda r: f"{r['finish']}-{r['stage']}-{r['temperature_c']}-{r['source'][:14]}"
)
def test_shipped_times_keep_to_published_limits(row: dict[str, str]) -> None:
    finish = LIBRARY.finish(row["finish"])
    time = finish.recoat_limit if row["stage"] == "recoat_limit" else finish.stages[Stage(row["stage"])]
    assert time is not None
    law = RateLaw.of(finish, time.clock)
    speed = float(rate(law, np.array([float(row["temperature_c"])]), np.array([50.0]))[0])
    hours = time.typical / speed
    assert row["at_most_hours"] or row["at_least_hours"]
    assert hours <= float(row["at_most_hours"] or math.inf) * 1.0001
    assert hours >= float(row["at_least_hours"] or 0.0)


@pytest.mark.parametrize(
    ("name", "cut"), [("shellac-1lb", 1), ("shellac-sealer", 1), ("shellac-2lb", 2), ("shellac-3lb", 3)]
)
def test_shellac_solids_follow_the_cut(name: str, cut: int) -> None:
    (row,) = [r for r in rows("shellac_cut") if r["kind"] == "volume_solids_pct" and r["cut_lb_gal"] == str(cut)]
    assert LIBRARY.finish(name).film.volume_solids_pct == pytest.approx(
        float(row["value"]), abs=float(row["tolerance"])
    )


def test_more_coats_keep_out_more_damp_so_varnish_schedules_have_three() -> None:
    # USDA Wood Handbook, table 16-3, moisture excluded after 14 days at 90 % RH by oil-modified urethane varnish:
    # one coat 2 %... three coats 44 %.
    for schedule in LIBRARY.schedules():
        if {"brushing-varnish", "wiping-varnish", "rubbing-varnish"} & set(schedule.finishes):
            assert schedule.coats >= 3
