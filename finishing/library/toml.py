"""A TOML file as plain tables, refused early when it holds what no library file holds.

Ours are shallow, and hold text, numbers and truth values only. What a parser or a message could choke on (keys of
hundreds of parts, deep nesting, dates, endless numbers, control characters) is refused here in one line.
"""

from __future__ import annotations

import datetime as dt
import math
import re
import tomllib
from typing import Any

from finishing.errors import BadFile
from finishing.library.problems import at, key_path, shown

DEEPEST = 8
LONGEST_TEXT = 4000
LARGEST_INTEGER = 2**53

# Possessive, and begun only at a word's start, so that the scan stays linear in the file.
_MANY_PARTS = re.compile(r"""(?<![\w-])(?:(?:[\w-]++|"[^"\n]*+"|'[^'\n]*+')[ \t]*+\.[ \t]*+){16}""")
_PLACE = re.compile(r" \(at line (\d+), column \d+\)$")
_CONTROL = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]")


def parse(text: str, where: str) -> dict[str, Any]:
    """The tables of a TOML text. BadFile, naming the line or key, when it isn't TOML or not what a library holds."""
    many = _MANY_PARTS.search(text)
    if many is not None:
        line = text.count("\n", 0, many.start()) + 1
        raise BadFile(f"{where}, line {line}", "a key of more than 16 parts")
    try:
        tables = tomllib.loads(text)
    except ValueError as error:  # tomllib.TOMLDecodeError, and int() on thousands of digits
        raise _not_toml(error, where) from error
    except RecursionError as error:
        raise BadFile(where, "is nested too deeply") from error
    _check(tables, where)
    return tables


def _not_toml(error: ValueError, where: str) -> BadFile:
    message = str(error).splitlines()[0]
    place = _PLACE.search(message)
    if place is not None:
        where, message = f"{where}, line {place[1]}", message[: place.start()]
    return BadFile(where, f"is not TOML: {message[:1].lower()}{message[1:]}")


def _check(tables: dict[str, Any], where: str) -> None:
    todo: list[tuple[tuple[str | int, ...], Any]] = [((), tables)]
    while todo:
        path, value = todo.pop()
        if len(path) > DEEPEST:
            raise BadFile(at(where, key_path(path[:3])), "is nested too deeply")
        if isinstance(value, dict):
            todo += [((*path, name), inner) for name, inner in value.items()]
        elif isinstance(value, list):
            todo += [((*path, n), inner) for n, inner in enumerate(value)]
        else:
            expected = _refused(value)
            if expected:
                raise BadFile(at(where, key_path(path)), f"got {shown(value)}, expected {expected}")


def _refused(value: object) -> str:
    """What should have stood in place of a single value; "" when it may stand."""
    if isinstance(value, dt.date | dt.time):
        return "text or a number, not a date or time"
    if isinstance(value, float) and not math.isfinite(value):
        return "a finite number"
    if isinstance(value, int) and abs(value) > LARGEST_INTEGER:
        return "a smaller number"
    if isinstance(value, str) and _CONTROL.search(value):
        return "text without control characters"
    if isinstance(value, str) and len(value) > LONGEST_TEXT:
        return f"text of at most {LONGEST_TEXT:,} characters"
    return ""
