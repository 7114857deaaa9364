"""How a log is laid out: its delimiter, the line of its header, and where its readings begin."""

from __future__ import annotations

import csv
from collections import Counter
from dataclasses import dataclass

from finishing.errors import BadFile
from finishing.exchange.readings.cells import Kind, kind_of
from finishing.exchange.readings.source import AS_CSV
from finishing.exchange.readings.words import is_unit, known

DELIMITERS = {"\t": "tab", ";": "semicolon", ",": "comma", "|": "pipe"}
SAMPLE_LINES = 1000
SAMPLE_ROWS = 200
JOINED_LINES = 4
"""A quoted header cell may span so many lines; more is a stray quote."""

STAMPS = frozenset({Kind.STAMP, Kind.DATE, Kind.EPOCH_S, Kind.EPOCH_MS})

LONGEST_NAME = 200
"""A header is cut here: more can be no name, and looking through it would take long."""

Row = tuple[int, list[str]]


@dataclass(frozen=True, slots=True)
class Layout:
    """delimiter; the header's line (None without one), names and units; the first reading's line; cells a row has.

    sample: the first readings. width: cells of a reading, without an empty one after a trailing delimiter.
    """

    delimiter: str
    header_line: int | None
    headers: tuple[str, ...]
    units: tuple[str, ...]
    data_line: int
    width: int
    sample: tuple[list[str], ...]

    def name(self, column: int) -> str:
        """The header over a column with its unit line, "" without one."""
        parts = [t[column].strip() for t in (self.headers, self.units) if column < len(t)]
        return " ".join(" ".join(p for p in parts if p).split())[:LONGEST_NAME]


def split_line(line: str, delimiter: str) -> list[str]:
    """The cells of one line; a quote that is never closed ends with the line."""
    return next(csv.reader([line], delimiter=delimiter, skipinitialspace=True), [])


def trimmed(cells: list[str]) -> list[str]:
    """The cells without empty ones at the end."""
    end = len(cells)
    while end and not cells[end - 1].strip():
        end -= 1
    return cells[:end]


def layout_of(name: str, lines: list[str]) -> Layout:
    """The layout told by the file's first lines. BadFile when no line has a time and another value."""
    lines = lines[:SAMPLE_LINES]
    scored = []
    for delimiter in DELIMITERS:
        rows = _rows(lines, delimiter)
        kinds = _Kinds(rows)
        scored.append((kinds.score(), delimiter, rows, kinds))
    score, delimiter, rows, kinds = max(scored, key=lambda s: s[0])
    if score[0] == 0:
        raise BadFile(name, f"no readable rows: no line of the first {len(lines)} has a time and a reading", AS_CSV)
    return _lay_out(name, delimiter, rows, kinds)


def _rows(lines: list[str], delimiter: str) -> list[Row]:
    """Line number and cells of each line that is not blank; the header may have quoted cells over several lines."""
    rows: list[Row] = []
    reader, last = csv.reader([f"{x}\n" for x in lines], delimiter=delimiter, skipinitialspace=True), 0
    try:
        for cells in reader:
            if reader.line_num - last > JOINED_LINES:
                raise csv.Error("a quote is never closed")
            last = reader.line_num
            rows.append((last, cells))
    except csv.Error:
        rows = [(i, split_line(x, delimiter)) for i, x in enumerate(lines, 1)]
    return [(i, cells) for i, cells in rows if trimmed(cells)]


class _Kinds:
    """What the cells of a sample can be taken for under one delimiter."""

    def __init__(self, rows: list[Row]) -> None:
        self.readings: list[int] = []
        self.timed: dict[int, int] = {}
        understood = total = 0
        for i, (_, cells) in enumerate(rows):
            kinds = [kind_of(c) for c in trimmed(cells)]
            if not STAMPS.intersection(kinds):
                continue
            self.timed[i] = next(j for j, k in enumerate(kinds) if k in STAMPS)
            others = sum(k in (Kind.NUMBER, Kind.CLOCK) for k in kinds) + sum(k in STAMPS for k in kinds) - 1
            if Kind.NUMBER in kinds or others > 1:
                self.readings.append(i)
                understood += sum(k is not Kind.TEXT for k in kinds)
                total += len(kinds)
            if len(self.readings) >= SAMPLE_ROWS:
                break
        self.share = understood / total if total else 0.0

    def usual(self) -> list[int]:
        """Rows whose time stands where it mostly does: not a line above them such as "exported on"."""
        rows = self.readings or list(self.timed)
        place = Counter(self.timed[i] for i in rows).most_common(1)[0][0]
        return [i for i in rows if self.timed[i] == place]

    def score(self) -> tuple[int, float]:
        """Readings first, then how much of them is understood; rows with only a time count least."""
        if self.readings:
            return 1 + len(self.readings), self.share
        return int(bool(self.timed)), 0.0


def _lay_out(name: str, delimiter: str, rows: list[Row], kinds: _Kinds) -> Layout:
    wide = kinds.usual()
    lengths = Counter(len(trimmed(rows[i][1])) for i in wide)
    width = lengths.most_common(1)[0][0]
    if sum(n for length, n in lengths.items() if length > width) > 0.1 * len(wide):
        width = max(lengths)  # A last column that is often blank.
    first = next(i for i in wide if len(trimmed(rows[i][1])) >= width)
    while first - 1 in kinds.timed and abs(len(rows[first - 1][1]) - len(rows[first][1])) <= 1:
        first -= 1
    header, units = _header(rows, first, width)
    headers = () if header is None else tuple(trimmed(rows[header][1]))
    if delimiter == "," and 0 < len(headers) < width:
        raise BadFile(
            name,
            f"line {rows[first][0]} has {width} cells under a header of {len(headers)}",
            "with decimal commas, export with semicolons or quotes",
        )
    return Layout(
        delimiter,
        None if header is None else rows[header][0],
        headers,
        () if units is None else tuple(rows[units][1]),
        rows[first][0],
        max(width, len(headers)),
        tuple(rows[i][1] for i in wide if i >= first),
    )


def _header(rows: list[Row], first: int, width: int) -> tuple[int | None, int | None]:
    """Which rows are the names and the units over the readings."""
    above = first - 1
    if above < 0:
        return None, None
    if above >= 1 and _all_units(rows[above][1]) and _names(rows[above - 1][1], width):
        return above - 1, above
    return (above, None) if _names(rows[above][1], width) else (None, None)


def _all_units(cells: list[str]) -> bool:
    said = [c[:LONGEST_NAME] for c in cells if c.strip()]
    return bool(said) and all(is_unit(c) for c in said)


def _names(cells: list[str], width: int) -> bool:
    """Whether a row can be the names of `width` columns: enough cells, no reading among them."""
    said = [c[:LONGEST_NAME] for c in cells if c.strip()]
    if len(said) < max(2, (width + 1) // 2) or STAMPS.intersection(kind_of(c) for c in said):
        return False
    texts = sum(kind_of(c) in (Kind.TEXT, Kind.MISSING) for c in said)
    return texts >= 0.6 * len(said) and (any(known(c) for c in said) or len(said) >= width)
