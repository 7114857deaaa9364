"""What one cell holds: a time, a number with or without a unit, nothing, or text."""

from __future__ import annotations

import math
import re
from enum import Enum, auto
from typing import TypeVar

import numpy as np
import numpy.typing as npt

from finishing.exchange.readings.dates import DateTable
from finishing.exchange.readings.memo import LONGEST
from finishing.exchange.readings.times import BAD, clock_code

MISSING = frozenset({"", "-", "--", "---", "na", "n/a", "nan", "null", "none", "#n/a"})
"""How logs write that there is no value (common practice, no source), folded."""

EPOCH_SECONDS = (631_152_000, 4_102_444_800)
"""Bare counts of seconds taken for a time: 1990 to 2099. Smaller ones are more likely a serial number."""

_NUMBER = re.compile(
    r"([+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:e[+-]?\d{1,3})?)\s*"
    r"(?:(?:°|º|deg\.?)?\s*([cfk])|(%)(?:\s*r\.?\s*[hf]\.?)?)?",
    re.IGNORECASE | re.ASCII,
)
_WHOLE = re.compile(r"\d{9,16}(?:\.\d*)?", re.ASCII)
_JOINT = re.compile(r"(?:\s*[T_,]\s*|\s+-\s+|\s+)(?=\d{1,2}[:.]\d{2})", re.ASCII)
_JOINT_COMPACT = re.compile(r"(?<=\d)T(?=\d{4})", re.ASCII)


Value = TypeVar("Value", float, npt.NDArray[np.float64])


class Kind(Enum):
    """What a cell can be taken for."""

    STAMP = auto()
    DATE = auto()
    CLOCK = auto()
    EPOCH_S = auto()
    EPOCH_MS = auto()
    NUMBER = auto()
    MISSING = auto()
    TEXT = auto()


def kind_of(cell: str) -> Kind:
    """What the cell can be taken for, whatever its column is called."""
    cell = cell.strip()
    if len(cell) > LONGEST:
        return Kind.TEXT
    if cell.casefold() in MISSING:
        return Kind.MISSING
    if _WHOLE.fullmatch(cell) and (epoch := _epoch(cell)):
        return epoch
    if number_and_unit(cell) is not None and not _looks_dated(cell):
        return Kind.NUMBER
    if DateTable().number(cell) >= 0:
        return Kind.DATE
    if ":" in cell and clock_code(cell) != BAD:
        return Kind.CLOCK
    date, clock = split_stamp(cell)
    if clock and DateTable().number(date) >= 0 and clock_code(clock) != BAD:
        return Kind.STAMP
    if clock and DateTable().number(clock) >= 0 and clock_code(date) != BAD:
        return Kind.STAMP
    return Kind.TEXT


def _looks_dated(cell: str) -> bool:
    return len(cell) == 8 and cell.isdigit() and DateTable().number(cell) >= 0


def _epoch(cell: str) -> Kind | None:
    value = float(cell[:20])
    low, high = EPOCH_SECONDS
    if low <= value < high:
        return Kind.EPOCH_S
    return Kind.EPOCH_MS if low * 1000 <= value < high * 1000 else None


def split_stamp(cell: str) -> tuple[str, str]:
    """A cell with a date and a time in their two texts, in the order written; the second "" when it has one part."""
    if len(cell) > LONGEST:
        return cell, ""
    match = _JOINT.search(cell) or _JOINT_COMPACT.search(cell)
    if match is not None and match.start() > 0:
        return cell[: match.start()], cell[match.end() :]
    first, _, second = cell.partition(" ")
    return first, second.strip()


def number_and_unit(cell: str) -> tuple[float, str] | None:
    """A number with "." or "," as its decimal mark, and the unit beside it ("C", "F", "K", "%" or "")."""
    if len(cell) > LONGEST and len(cell := cell.strip()) > LONGEST:
        return None
    match = _NUMBER.fullmatch(cell.strip().replace("\u2212", "-").replace("℃", "°C").replace("℉", "°F"))
    if match is None:
        return None
    value = float(match[1].replace(",", "."))
    return (value, (match[2] or match[3] or "").upper()) if math.isfinite(value) else None


def to_celsius(value: Value, unit: str) -> Value:
    """°C from a value in "C", "F" or "K"."""
    if unit == "F":
        return (value - 32.0) / 1.8
    return value - 273.15 if unit == "K" else value


def temperature_c(cell: str, unit: str) -> float:
    """°C of a cell whose column is in `unit` unless the cell names another; NaN when it is not a temperature."""
    found = number_and_unit(cell)
    if found is None or found[1] == "%":
        return math.nan
    return to_celsius(found[0], found[1] or unit)


def humidity_pct(cell: str, fraction: bool) -> float:
    """% RH of a cell; NaN when it is blank or says there is no value, inf when it is not a number."""
    found = number_and_unit(cell)
    if found is None:
        return math.nan if cell.strip().casefold() in MISSING else math.inf
    if found[1] in ("C", "F", "K"):
        return math.inf
    return found[0] * 100.0 if fraction and not found[1] else found[0]
