"""A log's readings in order of time, each instant once, read from the disk as they are wanted."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import numpy.typing as npt

from finishing.exchange.readings.spool import Rows, Spool

READING = [("at", "i8"), ("line", "i8"), ("temperature", "f8"), ("humidity", "f8")]
"""UTC epoch second, line in the file, °C, % RH (NaN where there is none)."""

HELD = 32_768
"""So many rows are held while parts that overlap in time are merged."""
LEAST = 64


class Readings:
    """Readings added in any order, handed out by time; of one instant the first in the file stays."""

    def __init__(self, name: str) -> None:
        self._spool = Spool(name, READING)
        self._spans: list[tuple[int, int]] = []

    def add(self, rows: Rows) -> None:
        """More readings, their lines rising."""
        if len(rows):
            rows = rows[np.argsort(rows["at"], kind="stable")]
            self._spool.add(rows)
            self._spans.append((int(rows["at"][0]), int(rows["at"][-1])))

    def all(self) -> Iterator[Rows]:
        """Every reading by time, of one instant by line."""
        group: list[int] = []
        reached = 0
        for part in sorted(range(len(self._spans)), key=self._spans.__getitem__):
            first, last = self._spans[part]
            if group and first > reached:
                yield from self._merged(group)
                group = []
            reached = max(reached, last) if group else last
            group.append(part)
        if group:
            yield from self._merged(group)

    def _merged(self, parts: list[int]) -> Iterator[Rows]:
        """Parts that overlap: of each, a piece is held; what no piece still on the disk can precede is handed out."""
        if len(parts) == 1:
            yield self._spool.part(parts[0])
            return
        room = max(LEAST, HELD // len(parts))
        held = {part: self._spool.part(part, 0, room) for part in parts}
        taken = {part: len(rows) for part, rows in held.items()}
        while held:
            more = [part for part in held if taken[part] < self._spool.sizes[part]]
            bound = min(((held[p]["at"][-1], held[p]["line"][-1]) for p in more), default=None)
            ready = []
            for part, rows in list(held.items()):
                count = len(rows) if bound is None else _up_to(rows, *bound)
                ready.append(rows[:count])
                held[part] = rows[count:]
                if len(held[part]) == 0:
                    held[part] = self._spool.part(part, taken[part], room)
                    taken[part] += len(held[part])
                    if len(held[part]) == 0:
                        del held[part]
            rows = np.concatenate(ready)
            yield rows[np.lexsort((rows["line"], rows["at"]))]


def _up_to(rows: Rows, at: int, line: int) -> int:
    """How many of sorted rows come no later than an instant and a line."""
    low, high = np.searchsorted(rows["at"], at, side="left"), np.searchsorted(rows["at"], at, side="right")
    return int(low + np.searchsorted(rows["line"][low:high], line, side="right"))


def again(rows: Rows, last: int | None) -> npt.NDArray[np.bool_]:
    """Which rows are of the same instant as the row before; `last`: the instant before the first."""
    out = np.zeros(len(rows), dtype=bool)
    out[1:] = rows["at"][1:] == rows["at"][:-1]
    if len(rows) and last is not None:
        out[0] = rows["at"][0] == last
    return out
