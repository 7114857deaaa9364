"""Any series in any layout comes back; any bytes are read or refused in words."""

from __future__ import annotations

import datetime as dt
import unicodedata
from random import Random
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from finishing.errors import FinishingError
from finishing.exchange.readings import read_log

ZONE = "America/Halifax"
FORMS = ["%Y-%m-%d %H:%M:%S", "%d.%m.%Y %H:%M:%S", "%m/%d/%Y %I:%M:%S %p", "%Y/%m/%dT%H:%M:%S", "%d %b %y %H:%M:%S"]
UNITS = {"°C": lambda t: t, "°F": lambda t: t * 1.8 + 32, "K": lambda t: t + 273.15}


@st.composite
def logs(draw: st.DrawFn) -> tuple[bytes, list[int], list[float], list[float]]:
    """A log written in a drawn layout, and the instants, °C and % RH in it. Dates reach past the 12th of a month."""
    start = draw(st.integers(946_684_800, 1_900_000_000))
    step = draw(st.sampled_from([60, 300, 600, 1800]))
    count = draw(st.integers(2, 60))
    form = draw(st.sampled_from(FORMS))
    if form[1] in "dm":
        day = dt.datetime.fromtimestamp(start, dt.UTC)
        start = int(day.replace(day=14 + day.day % 12).timestamp())
    seconds = [start + i * step for i in range(count)]
    degrees = draw(st.lists(st.floats(-30, 45), min_size=count, max_size=count))
    humid = draw(st.lists(st.floats(0, 100), min_size=count, max_size=count))
    unit, mark = draw(st.sampled_from(list(UNITS))), draw(st.sampled_from(".,"))
    delimiter = draw(st.sampled_from(";\t|" if mark == "," else ";\t|,"))
    header = draw(st.booleans())
    rows = [delimiter.join(["Nr", "Moment", "Temp", "RH %", "Dew °C"])] if header else []
    for i, (s, t, h) in enumerate(zip(seconds, degrees, humid, strict=True)):
        wall = dt.datetime.fromtimestamp(s, ZoneInfo(ZONE)).strftime(form)
        cells = [f"{i}", wall, f"{UNITS[unit](t):.4f} {unit}", f"{h:.4f}" + ("" if header else " %"), "4.5"]
        rows.append(delimiter.join(c.replace(".", mark) if k > 1 else c for k, c in enumerate(cells)))
    encoding = draw(st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "latin-1"]))
    end = draw(st.sampled_from(["\n", "\r\n", "\r"]))
    return (
        end.join(rows).encode(encoding) + end.encode(encoding.replace("utf-16", "utf-16-le")),
        seconds,
        degrees,
        humid,
    )


@settings(max_examples=80, deadline=None)
@given(logs())
def test_written_series_read_back(log: tuple[bytes, list[int], list[float], list[float]]) -> None:
    data, seconds, degrees, humid = log
    got = read_log(data, zone=ZONE)
    assert got.seconds.tolist() == seconds
    assert got.temperature_c == pytest.approx(degrees, abs=1e-4)
    assert got.humidity_pct == pytest.approx(humid, abs=1e-4)


@settings(max_examples=60, deadline=None)
@given(logs(), st.randoms(use_true_random=False), st.integers(2, 40))
def test_any_order_comes_back_in_order_whatever_the_pieces(
    log: tuple[bytes, list[int], list[float], list[float]], random: Random, held: int
) -> None:
    """Offsets beside the times, so that no order is needed to tell autumn's doubled hour apart."""
    _, seconds, degrees, _ = log
    lines = [
        f"{dt.datetime.fromtimestamp(s, ZoneInfo(ZONE)).isoformat()},{t:.4f}"
        for s, t in zip(seconds, degrees, strict=True)
    ]
    again = [f"{line.split(',')[0]},59.5" for line in random.sample(lines, k=len(lines) // 3)]
    random.shuffle(lines)
    with pytest.MonkeyPatch.context() as patch:
        for name, value in {
            "read.BLOCK_CHARACTERS": 200,
            "source.BLOCK_CHARACTERS": 200,
            "in_order.HELD": held,
        }.items():
            patch.setattr(f"finishing.exchange.readings.{name}", value)
        patch.setattr("finishing.exchange.readings.in_order.LEAST", 1)
        got = read_log("\n".join(["Time,Temp °C", *lines, *again]).encode(), zone=ZONE)
    assert got.seconds.tolist() == seconds
    assert got.temperature_c == pytest.approx(degrees, abs=1e-4), "of two of one instant, the first in the file stays"
    assert sum(skipped.count for skipped in got.understanding.skipped) == len(again)


GRAINS = st.sampled_from([
    "Time", "Temp °C", "RH", ",", ";", "\t", "|", "\n", '"', "2024-02-13", "13/02/24", " ", "T", "10:00",
    "10:00:00+02:00",     "18.4", "18,4", "45 %", "1707814800", "-", "°F", "nan", "1e9",
    "\x00", "\x1b[2J", "\u202e", "²", "٣", "9" * 40,
])  # fmt: skip


def _read_or_refused(data: bytes) -> None:
    try:
        got = read_log(data, zone=ZONE)
    except FinishingError as refused:
        assert not any(unicodedata.category(c) == "Cc" for c in str(refused))  # noqa: PT017 - most inputs are refused, some are not
        return
    assert len(got.seconds) == len(got.temperature_c) == len(got.humidity_pct) > 0
    assert np.all(np.diff(got.seconds) > 0)
    assert np.all((got.temperature_c >= -40) & (got.temperature_c <= 60))
    said = got.understanding
    assert said.rows_read == said.rows_kept + sum(s.count for s in said.skipped)
    # Letters not yet assigned, or of private use, may stay: they are not isprintable but move no cursor.
    assert all(unicodedata.category(c) not in ("Cc", "Cs", "Zl", "Zp") for line in said.lines() for c in line)


@settings(max_examples=150, deadline=None)
@given(st.binary(max_size=400))
def test_any_bytes_are_read_or_refused(data: bytes) -> None:
    _read_or_refused(data)


@settings(max_examples=250, deadline=None)
@given(st.lists(GRAINS, max_size=60))
def test_any_text_is_read_or_refused(grains: list[str]) -> None:
    _read_or_refused("".join(grains).encode())


@settings(max_examples=80, deadline=None)
@given(logs(), st.data())
def test_damaged_logs_are_read_or_refused(
    log: tuple[bytes, list[int], list[float], list[float]], data: st.DataObject
) -> None:
    raw = bytearray(log[0])
    for _ in range(data.draw(st.integers(1, 6))):
        raw[data.draw(st.integers(0, len(raw) - 1))] = data.draw(st.integers(0, 255))
    _read_or_refused(bytes(raw))
