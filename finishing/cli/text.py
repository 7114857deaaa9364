"""Plain text for the terminal: tables in columns, headings, and JSON. Everything printed passes through `plain`."""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from typing import Any

import click
from rich.cells import cell_len, set_cell_size

from finishing.exchange.plain import escaped_json, plain

WHAT = 32
"""Columns of what a batch is, in a table; its own page and JSON have all of it."""


def say(text: str = "") -> None:
    """Print a line, harmlessly."""
    click.echo(plain(text))


def complain(text: str) -> None:
    """Print a line on standard error, harmlessly: what went wrong beside the work that goes on."""
    click.echo(f"finishing: {plain(text)}", err=True)


def say_json(view: Any) -> None:
    """Print JSON: UTF-8, two spaces, no NaN; what could move a terminal's cursor or turn its line is escaped."""
    text = json.dumps(view, ensure_ascii=False, indent=2, allow_nan=False)
    click.echo("\n".join(map(escaped_json, text.split("\n"))))


def table(rows: Sequence[Sequence[str]], head: Sequence[str], *, indent: str = "") -> None:
    """Print rows in columns as wide as their widest cell, the last one unpadded."""
    cells = [[plain(cell) for cell in row] for row in [list(head), *rows]]
    widths = [max(cell_len(row[i]) for row in cells) for i in range(len(head))]
    for row in cells:
        padded = [set_cell_size(cell, w) for cell, w in zip(row[:-1], widths[:-1], strict=True)]
        click.echo((indent + "  ".join([*padded, row[-1]])).rstrip())


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
    return f"{value:.{digits}f}".rstrip("0").rstrip(".") if digits else f"{value:.0f}"
