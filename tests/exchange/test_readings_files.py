"""Logs on disk: size, progress, memory, files that are not files."""

from __future__ import annotations

import datetime as dt
import os
import random
import time
import tracemalloc
from pathlib import Path

import pytest

from finishing.errors import BadFile, FinishingError
from finishing.exchange.plain import plain
from finishing.exchange.readings import read_log


def write_log(path: Path, rows: int) -> None:
    """An invented log, one reading a minute, every value different from the last."""
    start = dt.datetime(2023, 1, 1, tzinfo=dt.UTC)
    with path.open("w", encoding="utf-8") as file:
        file.write("Nr,Moment (UTC),Room °C,Room %,Dew °C\n")
        for i in range(rows):
            at = start + dt.timedelta(minutes=i)
            file.write(f"{i},{at:%d/%m/%Y %H:%M:%S},{15 + i % 997 / 100:.2f},{40 + i % 1999 / 100:.2f},5.1\n")


LARGE = pytest.param(
    1_000_000, marks=pytest.mark.skipif("FINISHING_LARGE" not in os.environ, reason="set FINISHING_LARGE=1 to run")
)


@pytest.mark.parametrize("rows", [50_000, LARGE])
def test_large_logs(tmp_path: Path, rows: int) -> None:
    path = tmp_path / "long.csv"
    write_log(path, rows)
    told: list[tuple[int, int]] = []
    got = read_log(path, zone="UTC", progress=lambda done, whole: told.append((done, whole)))
    assert len(got.seconds) == rows
    assert got.seconds[-1] - got.seconds[0] == 60 * (rows - 1)
    assert got.temperature_c[996] == pytest.approx(24.96)
    size = path.stat().st_size
    assert told[-1] == (size, size)
    assert [d for d, _ in told] == sorted(d for d, _ in told)
    assert len(told) >= rows // 30_000


def peak_of_import(folder: Path, rows: int, shuffled: bool) -> int:
    """Bytes held at most while a log of so many rows is read and gone through, in blocks of some 400 rows."""
    path = folder / f"{rows}.csv"
    write_log(path, rows)
    if shuffled:
        head, *body = path.read_text().splitlines()
        random.Random(1).shuffle(body)
        path.write_text("\n".join([head, *body]))
    tracemalloc.start()
    try:
        log = read_log(path, zone="America/Halifax", day_first=True)
        assert sum(len(part.seconds) for part in log.stretches()) == len(log) >= 0.99 * rows
        return tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()


@pytest.mark.parametrize("shuffled", [False, True], ids=["in order", "in no order"])
def test_memory_does_not_grow_with_the_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, shuffled: bool) -> None:
    for module in ("read", "source"):
        monkeypatch.setattr(f"finishing.exchange.readings.{module}.BLOCK_CHARACTERS", 16 * 1024)
    monkeypatch.setattr("finishing.exchange.readings.in_order.HELD", 512)
    monkeypatch.setattr("finishing.exchange.readings.memo.MOST", 400)
    few, many = (peak_of_import(tmp_path, rows, shuffled) for rows in (1_500, 6_000))
    assert many < few + 10 * 4_500, "less than an instant and its line would take"


def test_no_room_for_what_was_read_is_said_in_a_line(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "log.csv"
    write_log(path, 10)
    with Path("/dev/full").open("wb", buffering=0) as full:
        monkeypatch.setattr("tempfile.TemporaryFile", lambda **_: full)
        with pytest.raises(BadFile, match=r"no room in .* for what was read of it: No space left on device"):
            read_log(path, zone="UTC")


def test_what_is_not_a_file_is_refused(tmp_path: Path) -> None:
    with pytest.raises(BadFile, match="No such file"):
        read_log(tmp_path / "none.csv", zone="UTC")
    with pytest.raises(BadFile, match="is not a file"):
        read_log(tmp_path, zone="UTC")
    os.mkfifo(tmp_path / "pipe")
    with pytest.raises(BadFile, match="is not a file"):
        read_log(tmp_path / "pipe", zone="UTC")
    with pytest.raises(BadFile):
        read_log("bad\0name", zone="UTC")


def test_more_than_two_gigabytes_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "huge\x1b.csv"
    with path.open("wb") as file:
        file.truncate(2 * 1024**3 + 1)  # Sparse: takes no room.
    with pytest.raises(BadFile, match=r"huge\\x1b\.csv: 2\.1 GB is more than 2 GB"):
        read_log(path, zone="UTC")


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("a\x1b[31mb", "a\\x1b[31mb"),
        ("\x00\x7f\x9b\r\n\t", "\\x00\\x7f\\x9b\\x0d\\x0a\\x09"),
        ("\u202eabc\u2066", "\\u202eabc\\u2066"),
        ("\ud800\u2028", "\\ud800\\u2028"),
        ("Öl 温度 حرارة नमी 👩‍🔧 e\u0301", "Öl 温度 حرارة नमी 👩‍🔧 e\u0301"),
    ],
)
def test_plain(text: str, shown: str) -> None:
    assert plain(text) == shown


def test_plain_cuts() -> None:
    assert plain("abcdef", 4) == "abc…"


HOSTILE = {
    "blanks in a cell": "2024-02-13" + " " * 60_000 + "x,18,45\n",
    "one wide row": "2024-02-13 10:00" + ",18" * 20_000 + "\n",
    "brackets": "(" * 60_000 + ",Temp C,RH\n2024-02-13 10:00,18,45\n",
    "date letters": "Time,Temp,RH\n" + "t" * 60_000 + ",C,%\n2024-02-13 10:00,18,45\n",
    "quotes": "Time,Temp C,RH\n2024-02-13 10:00,18,45\n" + '"' * 60_001 + "\n",
    "digits": "Time,Temp C,RH\n" + "9" * 60_000 + ",18,45\n2024-02-13 10:00,18,45\n",
    "long dates": "Time,Temp C,RH\n2024-02-13 10:00,18,45\n" + "".join(f"{i:060000d} 10:00,18,45\n" for i in range(30)),
}


@pytest.mark.parametrize("case", HOSTILE)
def test_hostile_text_takes_no_long_time(case: str) -> None:
    began = time.process_time()
    try:
        read_log((HOSTILE[case] * 8).encode(), zone="UTC")
    except FinishingError as refused:
        assert len(str(refused)) < 1000  # noqa: PT017 - some are read, some refused
    # Quadratic or exponential matching on 60,000 characters would take minutes or for ever.
    assert time.process_time() - began < 20
