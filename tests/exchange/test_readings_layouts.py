"""Layouts of logger exports: invented column names, all written here; each must come back as the series written."""

from __future__ import annotations

import datetime as dt
from itertools import pairwise

import numpy as np
import pytest

from finishing.errors import BadFile, BadInput, FinishingError, NotFound
from finishing.exchange.readings import Columns, LogReading, read_log

ZONE = "Europe/Vienna"
# 2024-02-13 10:00 and on, in Vienna (UTC+1): checked below against the standard library's datetime.
START = int(dt.datetime(2024, 2, 13, 9, 0, tzinfo=dt.UTC).timestamp())


def read(text: str, encoding: str = "utf-8", **options: object) -> LogReading:
    return read_log(text.encode(encoding), zone=ZONE, **options)  # type: ignore[arg-type]


LAYOUTS = {
    "comma, ISO": "Time,Temperature (°C),Humidity (%)\n2024-02-13 10:00:00,18.4,45\n2024-02-13 10:10:00,18.6,46\n",
    "semicolon, decimal comma, dots, two-digit year": (
        "Datum;Uhrzeit;Temperatur °C;Feuchte %rF;Taupunkt °C;\n"
        "13.02.24;10:00;18,4;45;6,1;\n13.02.24;10:10;18,6;46;6,2;\n"
    ),
    "tab, units in a second header line": (
        "Nr\tMoment\tTemp\tRH\n\tdd/mm/yyyy hh:mm\t°C\t%\n"
        "1\t13/02/2024 10:00\t18.4\t45\n2\t13/02/2024 10:10\t18.6\t46\n"
    ),
    "pipe, trailing delimiter": "Stamp|Room °C|Room %RH|\n2024/02/13 10:00|18.4|45|\n2024/02/13 10:10|18.6|46|\n",
    "month first, AM and PM, Fahrenheit in cells": (
        "When,Air temp,Hum\n2/13/2024 10:00:00 AM,65.12 °F,45 %\n2/13/2024 10:10:00 AM,65.48 °F,46 %\n"
    ),
    "kelvin in the header": "Time,Temp (K),RH\n2024-02-13T10:00:00,291.55,45\n2024-02-13T10:10:00,291.75,46\n",
    "preamble, blank lines and a footer": (
        "Shelf log\nExported,2024-02-20 08:00,7\n\nTime,Temperature °C,Humidity %\n"
        "2024-02-13 10:00,18.4,45\n\n2024-02-13 10:10,18.6,46\n\nend of log\n"
    ),
    "offset in the file": (
        "t (time),temp_c,rh_pct\n2024-02-13T04:00:00-05:00,18.4,45\n2024-02-13T04:10:00-05:00,18.6,46\n"
    ),
    "Z in the file": "Time,temp °C,rh\n2024-02-13T09:00:00.250Z,18.4,45\n2024-02-13T09:10:00.250Z,18.6,46\n",
    "zone in the header": "Time (UTC+05:30);Temp °C;RH\n2024-02-13 14:30;18.4;45\n2024-02-13 14:40;18.6;46\n",
    "epoch seconds": f"epoch,tempC,rh,battery C\n{START},18.4,45,20\n{START + 600},18.6,46,20\n",
    "epoch milliseconds": f"unix time;°C;%RH\n{START}000;18,4;45\n{START + 600}000;18,6;46\n",
    "no header, a row count": "1,2024-02-13 10:00,18.4,45\n2,2024-02-13 10:10,18.6,46\n",
    "no header, units in cells": "2024-02-13 10:00;46.1 °F;45 %\n2024-02-13 10:10;18.6 °C;46 %\n",
    "fraction by the header": "Time,Temp °C,Humidity (0-1)\n2024-02-13 10:00,18.4,0.45\n2024-02-13 10:10,18.6,0.46\n",
    "quoted decimal commas": 'Time,"Temp, °C","RH, %"\n'
    '"2024-02-13 10:00","18,4","45"\n"2024-02-13 10:10","18,6","46"\n',
    "newest first": "Time,Temp °C,RH\n2024-02-13 10:10,18.6,46\n2024-02-13 10:00,18.4,45\n",
    "month named": "Time;Temp °C;RH\n13 Feb 2024 10:00;18.4;45\n13 Feb 2024 10:10;18.6;46\n",
    "nearest to the room": (
        "Time,Dew point °C,Probe temp °C,Room temp °C,Heat index °C,Battery temp °C,Surface °C,Absolute humidity,RH %\n"
        "2024-02-13 10:00,6,1,18.4,3,4,5,9,45\n2024-02-13 10:10,6,1,18.6,3,4,5,9,46\n"
    ),
    "the same in two units": (
        "Time,Temperature (°F),Temperature (°C),RH\n2024-02-13 10:00,65.12,18.4,45\n2024-02-13 10:10,65.48,18.6,46\n"
    ),
    "elapsed time beside": "Elapsed,Date,Clock,Temp °C,RH\n"
    "0:00:00,2024-02-13,10:00,18.4,45\n0:10:00,2024-02-13,10:10,18.6,46\n",
    "time first": "Time;Temp °C;RH\n10:00 13.02.2024;18.4;45\n10:10 13.02.2024;18.6;46\n",
}
LAYOUTS["no header, units in cells"] = LAYOUTS["no header, units in cells"].replace("46.1 °F", "65.12 °F")


@pytest.mark.parametrize("layout", LAYOUTS)
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "latin-1"])
@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_every_layout_reads_back(layout: str, encoding: str, end: str) -> None:
    got = read(LAYOUTS[layout].replace("\n", end), encoding)
    assert got.seconds.tolist() == [START, START + 600]
    assert got.temperature_c == pytest.approx([18.4, 18.6], abs=1e-9)
    assert got.humidity_pct == pytest.approx([45, 46])
    said = got.understanding
    assert said.rows_read == said.rows_kept + sum(s.count for s in said.skipped)
    assert said.interval_seconds == 600


def test_the_account_says_what_was_taken() -> None:
    text = "\n" + LAYOUTS["semicolon, decimal comma, dots, two-digit year"]
    said = read(text, "latin-1").understanding
    assert (said.encoding, said.delimiter, said.decimal_mark, said.header_line) == ("Latin-1", "semicolon", "comma", 2)
    taken = [(c.role, c.number, c.header, c.unit) for c in said.columns]
    assert taken == [
        ("date", 1, "Datum", ""),
        ("time", 2, "Uhrzeit", ""),
        ("temperature", 3, "Temperatur °C", "°C"),
        ("humidity", 4, "Feuchte %rF", "% RH"),
    ]
    assert said.ignored == ("Taupunkt °C",)
    assert (said.date_order, said.date_reason) == ("day first", "13 occurs in the first place")
    assert said.zone_source == f"no zone in the file: read as the shop's zone {ZONE}"
    assert 'temperature: column 3 "Temperatur °C", °C' in said.lines()


@pytest.mark.parametrize(
    ("layout", "source"),
    [
        ("offset in the file", "UTC, or an offset beside each time in the file"),
        ("Z in the file", "UTC, or an offset beside each time in the file"),
        ("zone in the header", "UTC+05:30, as the header says"),
        ("epoch seconds", "UTC: counted since 1970"),
    ],
)
def test_where_the_zone_came_from(layout: str, source: str) -> None:
    assert read(LAYOUTS[layout]).understanding.zone_source == source


def test_rows_that_cannot_be_read_are_counted_with_reason_and_line() -> None:
    good = [f"2024-02-13 10:{m:02d},18.4,45" for m in range(10)]
    bad = [
        "2024-02-13 11:00,err,45",  # line 12
        "2024-02-13 11:01,61,45",
        "2024-02-13 11:02,18,101",
        "2024-02-13 10:03,99e-1,45",  # 15, the time of line 5
        "2024-02-30 11:04,18,45",
        "2024-02-13 11:05",
        "2024-02-13 11:06,18,4,45",
        "2024-02-13 11:07,18,wet",
        "2024-02-13 11:08,nan,40",
        "2024-02-13 25:00,18,45",  # 21
    ]
    got = read("\n".join(["Time,Temp °C,RH %", *good, *bad]))
    found = {s.reason: (s.count, s.lines) for s in got.understanding.skipped}
    assert found == {
        "not a number": (3, (12, 19, 20)),
        "out of -40 to 60 °C or 0 to 100 % RH": (2, (13, 14)),
        "the same time as an earlier row": (1, (15,)),
        "not a date and time": (2, (16, 21)),
        "too few cells": (1, (17,)),
        "more cells than the header or the other rows": (1, (18,)),
    }
    assert got.understanding.rows_read == 20
    assert got.temperature_c.tolist() == [18.4] * 10
    assert any(line.startswith("skipped 3: not a number (line 12, 19, 20)") for line in got.understanding.lines())


def test_humidity_may_be_missing_and_it_is_said() -> None:
    got = read("Time,Temp °C\n2024-02-13 10:00,18.4\n")
    assert np.isnan(got.humidity_pct).all()
    assert "humidity: none in this log" in got.understanding.lines()
    got = read("Time,Temp °C,RH\n2024-02-13 10:00,18.4,\n2024-02-13 10:10,18.4,---\n2024-02-13 10:20,18.4,44\n")
    assert np.isnan(got.humidity_pct).tolist() == [True, True, False]
    assert "2 of the rows kept have no humidity" in got.understanding.notes


def test_gaps_longer_than_three_hours() -> None:
    hours = [0, 1, 4, 5, 9, 10]
    got = read("Time,Temp °C\n" + "".join(f"2024-02-13 {h:02d}:00,18\n" for h in hours))
    assert [(g.end - g.start) / 3600 for g in got.understanding.gaps] == [4.0]
    assert got.understanding.gap_count == 1


def test_unordered_rows_are_sorted_and_the_first_of_equal_times_stays() -> None:
    got = read("Time,Temp °C\n2024-02-13 12:00,20\n2024-02-13 10:00,18\n2024-02-13 12:00,30\n2024-02-13 11:00,19\n")
    assert got.temperature_c.tolist() == [18.0, 19.0, 20.0]
    assert all(a < b for a, b in pairwise(got.seconds))


TWO = (
    "Time,Temperature 1,Temperature 2,Humidity 1,Humidity 2\n"
    "2024-02-13 10:00,18,19,45,55\n2024-02-13 10:10,18,19,45,55\n"
)


def test_alike_columns_must_be_chosen() -> None:
    with pytest.raises(BadInput, match=r'"Temperature 1", "Temperature 2".*--temperature-column'):
        read(TWO)
    got = read(TWO, columns=Columns(temperature="temperature 2"))
    assert (got.temperature_c[0], got.humidity_pct[0]) == (19.0, 55.0)
    got = read(TWO, columns=Columns(temperature="3", humidity="4"))
    assert (got.temperature_c[0], got.humidity_pct[0]) == (19.0, 45.0)
    with pytest.raises(NotFound):
        read(TWO, columns=Columns(temperature="Temperature 3"))


def test_a_unit_is_not_guessed_from_high_numbers() -> None:
    warm = "Time,Temp\n2024-02-13 10:00,66\n2024-02-13 10:10,67\n"
    with pytest.raises(BadInput, match="temperature unit"):
        read(warm)
    assert read(warm, columns=Columns(temperature_unit="F")).temperature_c[0] == pytest.approx(34 / 1.8)
    assert "the file names no unit of temperature: °C assumed" in read(warm.replace("6", "1")).understanding.notes


def test_a_share_of_one_is_not_guessed() -> None:
    got = read("Time,Temp °C,RH\n2024-02-13 10:00,18,0.45\n")
    assert got.humidity_pct[0] == 0.45
    assert any("fractions" in note for note in got.understanding.notes)


BAD = {
    "empty": (b"", "the file is empty"),
    "blank": (b"\n \n\n", "nothing but blank lines"),
    "binary": (bytes(range(256)) * 40, "binary"),
    "workbook": (b"PK\x03\x04" + b"\0" * 50, "workbook"),
    "prose": (b"these are words\nand more words\n", "no readable rows"),
    "no temperature": (b"Time,State,Level\n2024-01-13 10:00,on,5\n", 'column: got \'"Time", "State", "Level"\''),
    "only dew": (b"Time,Dew point C,RH\n2024-01-13 10:00,9,50\n", "Dew point C"),
    "all bad": (b"Time,Temp C,RH\n2024-01-13 10:00,99,50\n2024-01-13 10:10,98,50\n", "no readable rows: 2 skipped"),
    "unquoted commas": (b"Time,Temp C,RH\n2024-01-13 10:00,18,4,45,2\n", "5 cells under a header of 3"),
}


@pytest.mark.parametrize("case", BAD)
def test_bad_files_are_refused_in_one_line(case: str) -> None:
    data, words = BAD[case]
    with pytest.raises(FinishingError) as caught:
        read_log(data, zone=ZONE)
    assert words in str(caught.value)
    assert str(caught.value).isprintable()


def test_long_lines_are_refused() -> None:
    rows = "Time,Temp °C\n2024-02-13 10:00,18\n"
    with pytest.raises(BadFile, match="line 3 is longer than 65,536"):
        read(rows + "x" * 65_537)
    with pytest.raises(BadFile, match="line 3 is longer"):
        read(rows + "x" * 2_000_000)


def test_bytes_that_are_not_utf8_late_in_the_file() -> None:
    rows = "".join(f"2024-02-13 {m // 60:02d}:{m % 60:02d},18,ok\n" for m in range(1440)) * 4
    text = ("Time,Temp C,Note\n" + rows).encode() + "2024-02-14 00:00,18,schön\n".encode("latin-1")
    got = read_log(text, zone=ZONE)
    assert len(text) > 64 * 1024
    assert (got.understanding.encoding, len(got.seconds)) == ("Latin-1", 1441)


def test_a_stray_quote_costs_its_own_row_only() -> None:
    notes = ["x"] * 1440
    notes[700] = '"'
    rows = [f"2024-02-13 {m // 60:02d}:{m % 60:02d},18,{note}" for m, note in enumerate(notes)]
    assert len(read("Time,Temp C,Note\n" + "\n".join(rows)).seconds) == 1440


def test_header_cells_over_two_lines() -> None:
    got = read('Time,"Temperature\n(°F)","RH\n(%)"\n2024-02-13 10:00,68,45\n')
    assert (got.temperature_c.tolist(), got.understanding.header_line) == ([20.0], 3)


def test_nothing_from_the_file_reaches_the_terminal_raw() -> None:
    got = read("Time,Temp \x1b[31m\u202e°C,RH\n2024-02-13 10:00,18,45\n2024-02-13 10:10,18,45\n" + "# pad\n" * 40)
    text = "\n".join(got.understanding.lines())
    assert "\x1b" not in text
    assert "\u202e" not in text
    assert "Temp \\x1b[31m\\u202e°C" in text
