"""The dates of a log: every distinct date once, its day and month told apart only when all have been seen."""

from __future__ import annotations

import datetime as dt
import re
from enum import StrEnum

import numpy as np
import numpy.typing as npt

from finishing.exchange.readings.memo import LONGEST

FIRST_YEAR, LAST_YEAR = 1970, 2099
NO_DAY = -(1 << 40)
"""In an array of days: not a date under that order."""

_EPOCH = dt.date(1970, 1, 1).toordinal()
_WEEKDAY = r"(?:(?:mon|tue|wed|thu|fri|sat|sun)[a-z]*\.?,?\s+)?"
_NUMBERS = re.compile(r"(\d{1,4})\s*([-/.])\s*(\d{1,2})\s*\2\s*(\d{1,4})\.?", re.ASCII)
_COMPACT = re.compile(r"(\d{4})(\d{2})(\d{2})", re.ASCII)
_DAY_NAME = re.compile(r"(\d{1,2})[-\s./]*([a-z]{3,9})\.?[-\s,./]*(\d{4}|\d{2})", re.ASCII)
_NAME_DAY = re.compile(r"([a-z]{3,9})\.?[-\s]+(\d{1,2})(?:st|nd|rd|th)?[-\s,]+(\d{4})", re.ASCII)
_LEAD = re.compile(_WEEKDAY, re.ASCII)
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")


class Order(StrEnum):
    """Which place of a numeric date is which."""

    DAY_FIRST = "day first"
    MONTH_FIRST = "month first"
    YEAR_FIRST = "year first"


class DateTable:
    """The distinct dates seen, each with a number, as their three figures or as a day that needs no deciding."""

    def __init__(self) -> None:
        self.numbers: dict[tuple[int, int, int, bool], int] = {}
        self.fixed: dict[int, int] = {}
        self.named = False

    def number(self, text: str) -> int:
        """The number of a date's text, -1 when it is not a date under any order."""
        text = text.strip()
        if len(text) > LONGEST:
            return -1
        if match := _NUMBERS.fullmatch(text):
            return self._numeric(match)
        if match := _COMPACT.fullmatch(text):
            return self._known(*(int(g) for g in match.groups()))
        return self._spelt(text.casefold()) if text else -1

    def number_of_day(self, day: int) -> int:
        """The number of a known epoch day."""
        return self._intern((day, 0, 0, True), day)

    def days(self, order: Order) -> npt.NDArray[np.int64]:
        """Epoch day of each number under an order, NO_DAY where it is no date."""
        out = np.full(len(self.numbers), NO_DAY, dtype=np.int64)
        for (a, b, c, dots), number in self.numbers.items():
            day = self.fixed.get(number)
            if day is None:
                day = _day_under(order, a, b, c, dots)
            if day is not None:
                out[number] = day
        return out

    def undecided(self) -> dict[int, tuple[int, int, int, bool]]:
        """Numbers of the dates whose meaning hangs on the order: their three figures, and whether dots part them."""
        return {n: key for key, n in self.numbers.items() if n not in self.fixed}

    def _numeric(self, match: re.Match[str]) -> int:
        first, mark, second, third = match.groups()
        a, b, c = int(first), int(second), int(third)
        if len(first) == 4:
            return self._known(a, b, c) if len(third) <= 2 else -1
        if len(first) == 3 or len(third) not in (2, 4):
            return -1
        long = len(third) == 4
        # A four-digit year cannot be taken for a day, and dots never part a year from a month in two digits.
        key = (a, b, c, mark == "." or long)
        if all(_day_under(o, *key) is None for o in Order):
            return -1
        return self._intern(key, None)

    def _spelt(self, text: str) -> int:
        text = _LEAD.sub("", text, count=1)
        if match := _DAY_NAME.fullmatch(text):
            day, name, year = match.groups()
        elif match := _NAME_DAY.fullmatch(text):
            name, day, year = match.groups()
        else:
            return -1
        if name[:3] not in _MONTHS:
            return -1
        month = _MONTHS.index(name[:3]) + 1
        self.named = True
        return self._known(_full_year(int(year)), month, int(day))

    def _known(self, year: int, month: int, day: int) -> int:
        value = epoch_day(year, month, day)
        return -1 if value is None else self.number_of_day(value)

    def _intern(self, key: tuple[int, int, int, bool], day: int | None) -> int:
        number = self.numbers.setdefault(key, len(self.numbers))
        if day is not None:
            self.fixed[number] = day
        return number


def epoch_day(year: int, month: int, day: int) -> int | None:
    """Days since 1970-01-01, None when there is no such date from 1970 to 2099."""
    if not FIRST_YEAR <= year <= LAST_YEAR:
        return None
    try:
        return dt.date(year, month, day).toordinal() - _EPOCH
    except ValueError:
        return None


def _day_under(order: Order, a: int, b: int, c: int, never_year_first: bool) -> int | None:
    if order is Order.YEAR_FIRST:
        return None if never_year_first or c > 31 else epoch_day(_full_year(a), b, c)
    if a > 31:
        return None
    month, day = (b, a) if order is Order.DAY_FIRST else (a, b)
    return epoch_day(_full_year(c), month, day)


def _full_year(year: int) -> int:
    """POSIX strptime: two-digit years from 69 are of the 1900s."""
    if year > 99:
        return year
    return year + (1900 if year >= 69 else 2000)
