"""Day and month, and the nights when the clocks change."""

from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from finishing.errors import BadInput
from finishing.exchange.readings import LogReading, read_log
from finishing.exchange.readings.times import BAD, FIXED, clock_code

HEAD = "Time,Temp °C\n"


def read(times: list[str], zone: str = "UTC", **options: object) -> LogReading:
    text = HEAD + "".join(f"{t},{18 + i % 7}\n" for i, t in enumerate(times))
    return read_log(text.encode(), zone=zone, **options)  # type: ignore[arg-type]


def first(got: LogReading) -> str:
    return dt.datetime.fromtimestamp(int(got.seconds[0]), dt.UTC).isoformat()


def series(start: dt.datetime, step: dt.timedelta, count: int, form: str) -> list[str]:
    return [f"{start + i * step:{form}}" for i in range(count)]


@pytest.mark.parametrize(
    ("times", "order", "start"),
    [
        (["13/02/2024 10:00"], "day first", "2024-02-13T10:00"),
        (["02/13/2024 10:00"], "month first", "2024-02-13T10:00"),
        (["13.02.24 10:00"], "day first", "2024-02-13T10:00"),
        (["2024/02/13 10:00"], "no order to decide", "2024-02-13T10:00"),
        (["20240213T1000"], "no order to decide", "2024-02-13T10:00"),
        (["32-02-13 10:00"], "year first", "2032-02-13T10:00"),
        (["05/05/2024 10:00"], "day first", "2024-05-05T10:00"),
    ],
)
def test_order_by_the_figures(times: list[str], order: str, start: str) -> None:
    got = read(times)
    assert got.understanding.date_order == order
    assert first(got).startswith(start)


@pytest.mark.parametrize("form", ["%d/%m/%Y %H:%M", "%m/%d/%Y %H:%M", "%d-%m-%y %H:%M", "%y-%m-%d %H:%M"])
@pytest.mark.parametrize("step", [dt.timedelta(minutes=10), dt.timedelta(hours=24)])
def test_order_by_how_rows_follow(form: str, step: dt.timedelta) -> None:
    start = dt.datetime(2024, 3, 2, 10, 0)  # noqa: DTZ001 - written as wall-clock text
    count = 6 if step.days else 800
    got = read(series(start, step, count, form))
    assert first(got) == "2024-03-02T10:00:00+00:00"
    assert len(got.seconds) == count
    assert "only so" in got.understanding.date_reason


@pytest.mark.parametrize("times", [["03/04/2024 10:00", "03/04/2024 10:10"], ["03.04.2024 10:00"], ["03/04/05 10:00"]])
def test_dates_that_fit_both_are_asked_about(times: list[str]) -> None:
    with pytest.raises(BadInput, match=r"day-first or month-first.*--day-first") as caught:
        read(times)
    assert caught.value.field == "dates"
    assert read(times, day_first=True).understanding.date_reason == "by setting"
    assert dt.datetime.fromtimestamp(int(read(times, day_first=True).seconds[0]), dt.UTC).month == 4
    assert dt.datetime.fromtimestamp(int(read(times, day_first=False).seconds[0]), dt.UTC).month == 3


def test_a_setting_that_the_file_denies_is_refused() -> None:
    with pytest.raises(BadInput, match="this file's are month first"):
        read(["02/13/2024 10:00", "02/03/2024 10:00"], day_first=True)


def test_mixed_orders_are_refused() -> None:
    with pytest.raises(BadInput, match="one order"):
        read(["02/13/2024 10:00", "13/02/2024 10:10"])


@pytest.mark.parametrize(
    ("text", "seconds"),
    [
        ("12:00 AM", 0), ("12:30 pm", 45000), ("1:05:09 p.m.", 47109), ("24:00", 86400), ("10.30", 37800),
        ("23:59:59.999", 86399), ("13:00 PM", BAD), ("24:01", BAD), ("10:60", BAD), ("", BAD), ("x", BAD),
        ("10:00Z", FIXED + 36000), ("00:30+01:00", FIXED - 1800), ("10:00 UTC", FIXED + 36000),
        ("10:00 GMT-5", FIXED + 54000), ("10:00+99:00", BAD), ("1030", 37800),
    ],
)  # fmt: skip
def test_times_of_day(text: str, seconds: int) -> None:
    assert clock_code(text) == seconds


# Source of the nights and offsets below: the IANA time zone database, read through the standard library's zoneinfo.
NIGHTS = [
    ("Europe/Vienna", dt.datetime(2023, 10, 28, 20, tzinfo=dt.UTC)),
    ("America/New_York", dt.datetime(2023, 11, 4, 20, tzinfo=dt.UTC)),
    ("Australia/Lord_Howe", dt.datetime(2024, 4, 6, 8, tzinfo=dt.UTC)),  # half an hour
    ("Europe/Vienna", dt.datetime(2024, 3, 30, 20, tzinfo=dt.UTC)),
    ("America/New_York", dt.datetime(2024, 3, 9, 20, tzinfo=dt.UTC)),
    ("America/St_Johns", dt.datetime(2010, 11, 6, 20, tzinfo=dt.UTC)),  # at one minute past midnight
]


@pytest.mark.parametrize(("zone", "start"), NIGHTS)
@pytest.mark.parametrize("minutes", [1, 10, 25])
@pytest.mark.parametrize("newest_first", [False, True])
def test_nights_when_clocks_change(zone: str, start: dt.datetime, minutes: int, newest_first: bool) -> None:
    instants = [start + dt.timedelta(minutes=minutes * i) for i in range(1440 // minutes)]
    walls = [f"{t.astimezone(ZoneInfo(zone)):%Y-%m-%d %H:%M:%S}" for t in instants]
    got = read(walls[::-1] if newest_first else walls, zone)
    assert got.seconds.tolist() == [int(t.timestamp()) for t in instants]
    assert got.understanding.skipped == ()


def test_hourly_readings_in_the_doubled_hour() -> None:
    hours = ["00:00", "01:00", "02:00", "02:00", "03:00", "04:00"]
    got = read([f"2023-10-29 {h}" for h in hours], "Europe/Vienna")
    assert np.diff(got.seconds).tolist() == [3600] * 5
    assert any("told apart by their order" in n for n in got.understanding.notes)


def test_doubled_hour_passed_once_is_the_first_pass() -> None:
    got = read(["2023-10-29 01:50", "2023-10-29 02:30"], "Europe/Vienna")
    wanted = dt.datetime(2023, 10, 29, 2, 30, tzinfo=ZoneInfo("Europe/Vienna"), fold=0)
    assert got.seconds[1] == int(wanted.timestamp())


def test_a_file_without_order_leaves_doubled_hours_unsettled() -> None:
    times = ["2023-10-29 09:00", "2023-10-29 02:30", "2023-10-29 05:00", "2023-10-29 07:00", "2023-10-29 06:00"]
    assert any("no order to tell" in n for n in read(times, "Europe/Vienna").understanding.notes)


def test_times_that_do_not_exist_take_the_offset_before() -> None:
    got = read(["2024-03-31 01:30", "2024-03-31 02:30"], "Europe/Vienna")
    # PEP 495: fold=0 in a gap means the offset before the transition.
    wanted = dt.datetime(2024, 3, 31, 2, 30, tzinfo=ZoneInfo("Europe/Vienna"), fold=0)
    assert got.seconds[1] == int(wanted.timestamp())
    assert any("do not exist" in n for n in got.understanding.notes)


def test_unknown_zones_are_refused() -> None:
    for zone in ("Mars/Base", "../etc", ""):
        with pytest.raises(BadInput, match="zone"):
            read(["2024-01-13 10:00"], zone)
