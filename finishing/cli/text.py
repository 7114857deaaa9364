"""Plain text for the terminal: tables in columns, headings, and JSON. Everything printed passes through `plain`."""

from __future__ import annotations

import json
import math
import shutil
import sys
import textwrap
from collections.abc import Sequence
from typing import Any

import click
from rich.cells import cell_len, set_cell_size

from finishing.exchange.plain import escaped_json, plain

WHAT = 32
"""Columns of what a batch is, in a table; its own page and JSON have all of it."""


NARROWEST = 16
"""Cells that a broken line is given at the least."""


def say(text: str = "") -> None:
    """Print a line, harmlessly; broken between words where a terminal is narrower, and whole anywhere else."""
    click.echo("\n".join(_broken(plain(text))))


def _broken(text: str, after: int = 0) -> list[str]:
    """A line as a terminal has room for it; what follows is set in, by so many cells where those leave room enough."""
    if not sys.stdout.isatty() or cell_len(text) <= (width := shutil.get_terminal_size().columns):
        return [text]
    least = len(text) - len(text.lstrip()) + 2
    indent = " " * (after if least < after <= width - NARROWEST else least)
    return textwrap.wrap(
        text, max(width, NARROWEST), subsequent_indent=indent, break_long_words=False, break_on_hyphens=False
    )


def complain(text: str) -> None:
    """Print a line on standard error, harmlessly: what went wrong beside the work that goes on."""
    click.echo(f"finishing: {plain(text)}", err=True)


def say_json(view: Any) -> None:
    """Print JSON: UTF-8, two spaces, no NaN; what could move a terminal's cursor or turn its line is escaped."""
    text = json.dumps(view, ensure_ascii=False, indent=2, allow_nan=False)
    click.echo("\n".join(map(escaped_json, text.split("\n"))))


def columns(rows: Sequence[Sequence[str]]) -> list[int]:
    """How wide each column of some rows is, for tables that stand beneath each other."""
    return [max(cell_len(plain(cell)) for cell in column) for column in zip(*rows, strict=True)]


def table(
    rows: Sequence[Sequence[str]],
    head: Sequence[str] = (),
    *,
    indent: str = "",
    widths: Sequence[int] | None = None,
) -> None:
    """Print rows in columns as wide as their widest cell, or as given, the last one unpadded, and broken within its
    column where a terminal is narrower."""
    cells = [[plain(cell) for cell in row] for row in ([head, *rows] if head else rows)]
    widths = columns(cells) if widths is None else widths
    for row in cells:
        padded = [set_cell_size(cell, w) for cell, w in zip(row[:-1], widths[:-1], strict=True)]
        line = (indent + "  ".join([*padded, row[-1]])).rstrip()
        click.echo("\n".join(_broken(line, len(indent) + sum(widths[:-1]) + 2 * len(padded))))


def cut(text: str, most: int) -> str:
    """A text over no more than so many columns of the terminal, harmless, the cut shown by "…"."""
    shown = plain(text)
    return shown if cell_len(shown) <= most else set_cell_size(shown, most - 1).rstrip() + "…"


def what_words(what: str, pieces: int, most: int = WHAT) -> str:
    """What a batch is and how many of it, for a table that a long name must not stretch."""
    return f"{cut(what, most)} ×{pieces}"


def number(value: float, digits: int = 1) -> str:
    """A number with so many digits after the point, and no trailing zeros; "-" for none."""
    if not math.isfinite(value):
        return "-"
    text = f"{round(value, digits) + 0.0:.{digits}f}"  # no minus before what rounds to nought
    return text.rstrip("0").rstrip(".") if digits else text
