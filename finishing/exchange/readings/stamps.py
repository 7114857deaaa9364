"""The instants of many rows at once: each date and each time of day is parsed once, then looked up."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np
import numpy.typing as npt

from finishing.exchange.readings.cells import EPOCH_SECONDS, split_stamp
from finishing.exchange.readings.columns import Chosen, StampKind
from finishing.exchange.readings.dates import DateTable
from finishing.exchange.readings.memo import Memo
from finishing.exchange.readings.times import BAD, FIXED, clock_code

Ids = npt.NDArray[np.int32]
Codes = npt.NDArray[np.int64]
Pair = tuple[list[str], list[str]]
Split = Callable[[Sequence[str]], Pair]


def _at(mark: str) -> Split:
    def split(cells: Sequence[str]) -> Pair:
        place = cells[0].find(mark) if cells else -1
        if place > 0 and all(c[place : place + 1] == mark for c in cells):
            # Two slices cost a third of a partition, which makes a tuple for the collector to look through.
            return [c[:place] for c in cells], [c[place + 1 :] for c in cells]
        parts = [c.strip().partition(mark) for c in cells]
        return [p[0] for p in parts], [p[2] for p in parts]

    return split


def _anywhere(cells: Sequence[str]) -> Pair:
    parts = [split_stamp(c.strip()) for c in cells]
    return [p[0] for p in parts], [p[1] for p in parts]


def _time_first(cells: Sequence[str]) -> Pair:
    first, second = _anywhere(cells)
    return second, first


SPLITS: tuple[Split, ...] = (_at(" "), _at("T"), _anywhere, _time_first)
"""Fastest first; the first that understands most of the sample is used for the file."""


class Stamper:
    """Reads the time columns of rows: a number in `table` for the date, a code (see `times`) for the time of day."""

    def __init__(self, chosen: Chosen, sample: Sequence[list[str]]) -> None:
        self.table = DateTable()
        self._dates = Memo(self.table.number)
        self._clocks = Memo(clock_code)
        self._chosen = chosen
        self._split = _learn([r[chosen.time] for r in sample if len(r) > chosen.time])

    def read(self, rows: Sequence[list[str]]) -> tuple[Ids, Codes]:
        """Date numbers and time codes, -1 and BAD where the row has no instant. Rows must have the columns."""
        kind, column = self._chosen.stamp, self._chosen.time
        cells = [r[column] for r in rows]
        if kind in (StampKind.EPOCH_S, StampKind.EPOCH_MS):
            return self._epochs(cells, 1000 if kind is StampKind.EPOCH_MS else 1)
        dates, clocks = self._dates, self._clocks
        if kind is StampKind.DATE_ONLY:
            ids = [dates[c] for c in cells]
            return np.array(ids, dtype=np.int32), np.zeros(len(ids), dtype=np.int64)
        if kind is StampKind.PARTED and self._chosen.clock is not None:
            days, times = cells, [r[self._chosen.clock] for r in rows]
        else:
            days, times = self._split(cells)
        ids, codes = [dates[d] for d in days], [clocks[t] for t in times]
        return np.array(ids, dtype=np.int32), np.array(codes, dtype=np.int64)

    def _epochs(self, cells: Sequence[str], scale: int) -> tuple[Ids, Codes]:
        """Counts since 1970 as the day 0 and so many seconds, fixed in UTC."""
        number = self.table.number_of_day(0)
        seconds = [_epoch_second(c, scale) for c in cells]
        codes = np.array([BAD if s is None else s + FIXED for s in seconds], dtype=np.int64)
        return np.where(codes == BAD, -1, number).astype(np.int32), codes


def _epoch_second(cell: str, scale: int) -> int | None:
    try:
        value = float(cell) / scale
    except ValueError:
        return None
    return math.floor(value) if EPOCH_SECONDS[0] <= value < EPOCH_SECONDS[1] else None


def _learn(cells: Sequence[str]) -> Split:
    table = DateTable()

    def understood(split: Split) -> int:
        return sum(table.number(d) >= 0 and clock_code(c) != BAD for d, c in zip(*split(cells), strict=True))

    return max(SPLITS, key=understood)
