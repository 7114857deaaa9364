"""Reading a shipped CSV table (RFC 4180, one header line) row by row."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from pathlib import Path

from finishing.errors import BadFile
from finishing.library.files import label, read_text


def read_rows(path: Path, columns: tuple[str, ...]) -> Iterator[tuple[str, dict[str, str]]]:
    """Each row, with the place to name in a message. BadFile when header or row lengths are not as they should be."""
    where = label(path)
    reader = csv.reader(io.StringIO(read_text(path), newline=""), strict=True)
    try:
        header = next(reader, [])
        if tuple(header) != columns:
            raise BadFile(f"{where}, line 1", f"has columns {', '.join(header)}; expected {', '.join(columns)}")
        for row in reader:
            place = f"{where}, line {reader.line_num}"
            if len(row) != len(columns):
                raise BadFile(place, f"has {len(row)} fields, expected {len(columns)}")
            yield place, dict(zip(columns, row, strict=True))
    except csv.Error as error:
        raise BadFile(f"{where}, line {reader.line_num}", f"is not CSV: {error}") from error


def number(text: str, place: str, column: str) -> float:
    """A number of a field. BadFile naming the column."""
    try:
        return float(text)
    except ValueError as error:
        raise BadFile(f"{place}, {column}", f"got {text!r}, expected a number") from error


def several(text: str) -> list[str]:
    """A field of several entries, separated by semicolons."""
    return [part.strip() for part in text.split(";") if part.strip()]
