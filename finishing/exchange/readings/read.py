"""A logger's CSV or text export, whatever its layout, as one series of temperature and humidity."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator

from finishing.errors import BadFile
from finishing.exchange.readings.account import Form
from finishing.exchange.readings.assemble import LogReading, assemble
from finishing.exchange.readings.cells import number_and_unit
from finishing.exchange.readings.columns import Chosen, Columns, choose
from finishing.exchange.readings.layout import SAMPLE_LINES, Layout, layout_of
from finishing.exchange.readings.rows import Rows
from finishing.exchange.readings.source import BLOCK_CHARACTERS, Source, blocks, encoding_of, source_of
from finishing.exchange.readings.zones import zone_of

Progress = Callable[[int, int], None]

_ENCODINGS = {"utf-8": "UTF-8", "utf-8-sig": "UTF-8 with byte order mark", "latin-1": "Latin-1"}


def read_log(
    path: str | os.PathLike[str] | bytes,
    *,
    zone: str,
    day_first: bool | None = None,
    columns: Columns | None = None,
    progress: Progress | None = None,
) -> LogReading:
    """Read the export of a temperature and humidity logger: a file, or its bytes.

    zone: IANA name for times without an offset. day_first: settles dates such as 03/04/2024; None: by the file.
    progress: called with bytes done and bytes in all, every ten to thirty thousand rows; it starts again
    from 0 when bytes turn up late in the file that are not UTF-8 and it is read anew as Latin-1.
    Fractions of a second are dropped. BadFile, BadInput: nothing is returned unless all of it was understood.
    """
    wanted = columns or Columns()
    zone_of(zone)
    source = source_of(path)
    encoding = encoding_of(source)
    try:
        return _read(source, encoding, zone, day_first, wanted, progress)
    except UnicodeDecodeError as trouble:
        if encoding != "utf-8":
            raise BadFile(source.name, f"not text in {_encoding_words(encoding)}, as it begins") from trouble
    return _read(source, "latin-1", zone, day_first, wanted, progress)


def _encoding_words(encoding: str) -> str:
    return _ENCODINGS.get(encoding, "UTF-16")


def _read(
    source: Source, encoding: str, zone: str, day_first: bool | None, wanted: Columns, progress: Progress | None
) -> LogReading:
    stream = blocks(source, encoding)
    head, done = _head(stream)
    layout = layout_of(source.name, head)
    chosen = choose(layout, wanted)
    comma = _decimal_comma(layout, chosen)
    rows = Rows(source.name, layout, chosen, comma)
    rows.add(head[layout.data_line - 1 :], layout.data_line)
    line = len(head) + 1
    del head
    if progress:
        progress(done, source.size)
    for lines, done in stream:
        rows.add(lines, line)
        line += len(lines)
        if progress:
            progress(done, source.size)
    form = Form(source.name, _encoding_words(encoding), zone, layout, chosen, comma)
    return assemble(form, rows, day_first)


def _head(stream: Iterator[tuple[list[str], int]]) -> tuple[list[str], int]:
    """Lines enough to tell the layout from, and the bytes read for them."""
    lines: list[str] = []
    done = 0
    for more, at in stream:
        lines += more
        done = at
        if len(lines) >= SAMPLE_LINES or sum(map(len, lines)) >= BLOCK_CHARACTERS // 2:
            break
    return lines, done


def _decimal_comma(layout: Layout, chosen: Chosen) -> bool:
    marks = "".join(
        cell
        for row in layout.sample
        for column in (chosen.temperature, chosen.humidity)
        if column is not None and column < len(row) and number_and_unit(cell := row[column])
    )
    return marks.count(",") > marks.count(".")
