"""What was left out stays out when its log comes in again: a watched folder, or a logger that still holds it.

A log is taken for the one that was left out where more than half of its readings in that time are the very same. So the
same log read in another zone or unit comes in whole, though a few of its readings may be as before by chance.
"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from finishing.store import left_out as stored
from finishing.store.left_out import Leaving, Mask, Rows, same_readings, slices
from finishing.store.work import Reader


class StaysOut:
    """Of a log that is to come in at a place, which readings stay out."""

    def __init__(self, r: Reader, place_id: int, first: int, last: int, rows: Iterable[Rows]) -> None:
        """first, last: epoch seconds of the log."""
        self._r = r
        near = [line for line in stored.holding(r) if line.place_id == place_id]
        near = [line for line in near if line.first <= last and line.last >= first]
        within, same = dict.fromkeys(near, 0), dict.fromkeys(near, 0)
        for part in slices(rows) if near else ():
            for line in near:
                within[line] += int(np.count_nonzero((part[0] >= line.first) & (part[0] <= line.last)))
                same[line] += int(np.count_nonzero(self._same(line, part)))
        self._lines = [line for line in near if 2 * same[line] > within[line]]

    def mask(self, rows: Rows) -> Mask:
        """Those of some readings that stay out."""
        out = np.zeros(len(rows[0]), dtype=np.bool_)
        for line in self._lines:
            out |= self._same(line, rows)
        return out

    def _same(self, line: Leaving, rows: Rows) -> Mask:
        return same_readings(rows, stored.kept(self._r, line, int(rows[0][0]), int(rows[0][-1])))
