"""Tables as CSV (RFC 4180) and as JSON, written so that reading them back gives the same values.

A CSV cell without anything is no value; an apostrophe at its beginning is taken off again. It stands before text that
a spreadsheet would take for a formula, before an apostrophe, and alone for text of no letters.
"""

from __future__ import annotations

import csv
import datetime as dt
import io
import json
import math
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, BinaryIO

from finishing.errors import BadFile

Row = tuple[Any, ...]

FORMULA = frozenset("=+-@\t\r\n＝＋－＠")
"""What a spreadsheet may take for the beginning of a formula, the wide forms among them."""

LONGEST_CELL = 2**30


@dataclass(frozen=True, slots=True)
class Column:
    """A column: kind is instant, json, date, bool, int, float or text; empty: whether it may have no value."""

    name: str
    kind: str
    empty: bool


Shape = tuple[Column, ...]


def harmless(text: str) -> str:
    """Text for a CSV cell: never a formula, never mistaken for no value."""
    first = text.lstrip(" \u00a0")[:1]
    return f"'{text}" if not text or first in FORMULA or text[0] == "'" else text


def cell(kind: str, value: Any) -> str:
    """A value as a CSV cell."""
    if value is None:
        return ""
    match kind:
        case "text":
            return harmless(value)
        case "json":
            return harmless(json.dumps(value, ensure_ascii=False, sort_keys=True, separators=(",", ":")))
        case "bool":
            return "true" if value else "false"
        case "float":
            return repr(float(value))
        case "instant" | "date":
            return str(value.isoformat())
        case _:
            return str(value)


def value_of(column: Column, text: str) -> Any:
    """The value of a CSV cell. ValueError where it is none of its kind."""
    if text == "":
        return _maybe_none(column)
    bare = text[1:] if text.startswith("'") else text
    match column.kind:
        case "text":
            return bare
        case "json":
            return json.loads(bare)
        case "bool":
            return {"true": True, "false": False}[text]
        case _:
            return _PARSE[column.kind](text)


def json_value(kind: str, value: Any) -> Any:
    """A value as JSON has it: times as text, a float beyond all numbers as its name."""
    if value is None or kind in ("text", "json", "bool", "int"):
        return value
    if kind == "float":
        return float(value) if math.isfinite(value) else repr(float(value))
    return value.isoformat()


def from_json(column: Column, value: Any) -> Any:
    """The value that JSON had. ValueError or TypeError where it is none of its kind."""
    if column.kind == "json":
        return value
    if value is None:
        return _maybe_none(column)
    wanted = {"text": str, "bool": bool, "int": int}.get(column.kind)
    if wanted is not None:
        if type(value) is not wanted:
            raise TypeError(f"{column.kind} expected")
        return value
    return _PARSE[column.kind](value)


def _maybe_none(column: Column) -> None:
    if not column.empty:
        raise ValueError("a value expected")


def _instant(text: str) -> dt.datetime:
    moment = dt.datetime.fromisoformat(text)
    if moment.tzinfo is None:
        raise ValueError("an offset expected")
    return moment.astimezone(dt.UTC)


_PARSE: Mapping[str, Callable[[Any], Any]] = {
    "int": int,
    "float": float,
    "instant": _instant,
    "date": dt.date.fromisoformat,
}


def write_csv(out: BinaryIO, shape: Shape, rows: Iterable[Row]) -> int:
    """A table: a line of names, then a line a row; UTF-8 with the mark by which spreadsheets know it. How many rows."""
    text = io.TextIOWrapper(out, encoding="utf-8-sig", newline="", write_through=True)
    writer, count = csv.writer(text, lineterminator="\r\n"), 0
    writer.writerow([column.name for column in shape])
    kinds = [column.kind for column in shape]
    for row in rows:
        writer.writerow([cell(kind, value) for kind, value in zip(kinds, row, strict=True)])
        count += 1
    text.detach()
    return count


def read_csv(path: Path, shape: Shape) -> Iterator[Row]:
    """The rows of a table, as they are read. BadFile naming the line and column of what can't be."""
    csv.field_size_limit(LONGEST_CELL)
    try:
        with path.open(encoding="utf-8-sig", newline="") as text:
            reader = csv.reader(text, strict=True)
            head = next(reader, [])
            if head != [column.name for column in shape]:
                raise BadFile(path.name, f"its first line has other columns than {', '.join(c.name for c in shape)}")
            for row in reader:
                yield _row(path.name, reader.line_num, shape, row)
    except (OSError, UnicodeDecodeError, csv.Error) as error:
        raise BadFile(path.name, f"can't be read as CSV: {error}") from error


def _row(where: str, line: int, shape: Shape, cells: list[str]) -> Row:
    if len(cells) != len(shape):
        raise BadFile(f"{where}, line {line}", f"{len(cells)} cells instead of {len(shape)}")
    found = []
    for column, text in zip(shape, cells, strict=True):
        try:
            found.append(value_of(column, text))
        except (ValueError, KeyError) as error:
            raise BadFile(f"{where}, line {line}, {column.name}", f"{text[:40]!r} is no {column.kind}") from error
    return tuple(found)


def write_json(
    out: BinaryIO, about: Mapping[str, Any], shapes: Mapping[str, Shape], rows: Callable[[str], Iterable[Row]]
) -> dict[str, int]:
    """Everything in one file, a row a line. How many rows by table."""
    counts = dict.fromkeys(shapes, 0)
    head = json.dumps(dict(about), ensure_ascii=False, allow_nan=False)[1:-1]
    out.write(f'{{{head}, "tables": {{'.encode())
    for n, (name, shape) in enumerate(shapes.items()):
        columns = json.dumps([column.name for column in shape])
        out.write(f'{"," if n else ""}\n"{name}": {{"columns": {columns}, "rows": ['.encode())
        for row in rows(name):
            values = [json_value(column.kind, value) for column, value in zip(shape, row, strict=True)]
            line = json.dumps(values, ensure_ascii=False, allow_nan=False)
            out.write(f"{',' if counts[name] else ''}\n{line}".encode())
            counts[name] += 1
        out.write(b"\n]}")
    out.write(b"\n}}\n")
    return counts


def rows_of(where: str, tables: Mapping[str, Any], name: str, shape: Shape) -> Iterator[Row]:
    """The rows of one table of a JSON file that was read. BadFile naming the row of what is wrong."""
    table = tables.get(name)
    if not isinstance(table, dict) or table.get("columns") != [column.name for column in shape]:
        raise BadFile(f"{where}, {name}", f"its columns are other than {', '.join(c.name for c in shape)}")
    for number, row in enumerate(table.get("rows") or [], 1):
        if not isinstance(row, list) or len(row) != len(shape):
            raise BadFile(f"{where}, {name}, row {number}", f"not a list of {len(shape)} values")
        try:
            yield tuple(from_json(column, value) for column, value in zip(shape, row, strict=True))
        except (ValueError, TypeError) as error:
            raise BadFile(f"{where}, {name}, row {number}", f"a value is not of its kind: {error}") from error
