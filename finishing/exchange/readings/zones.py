"""Wall-clock times of a log to UTC, through the nights when the clocks change."""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np
import numpy.typing as npt
import pendulum
from pendulum.tz.exceptions import InvalidTimezone

from finishing.errors import BadInput
from finishing.exchange.readings.tally import Tally

DAY = 86_400
ORDERLY = 0.95
"""A log is in time order when so many of its steps outside doubled hours go the same way."""

Seconds = npt.NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Changes:
    """A zone's changes of offset in a period: UTC instants, and offsets (seconds east): one more, the first before."""

    at: Seconds
    offsets: Seconds


def zone_of(name: str) -> dt.tzinfo:
    """The IANA zone of a name. BadInput when there is none."""
    expected = "an IANA time zone such as Europe/Vienna"
    if not re.fullmatch(r"[A-Za-z0-9_+\-]+(/[A-Za-z0-9_+\-]+)*", name):
        raise BadInput("zone", name, expected)
    try:
        return pendulum.timezone(name)
    except (InvalidTimezone, OSError, ValueError) as trouble:
        raise BadInput("zone", name, expected) from trouble


def changes(zone: dt.tzinfo, start: int, end: int) -> Changes:
    """The zone's changes from start to end (UTC seconds), found to the second. Two within a day may be missed."""
    edges = [*range(start, end, DAY), end]
    at, offsets = [], [_offset(zone, start)]
    for low, high in pairwise(edges):
        before, after = offsets[-1], _offset(zone, high)
        if after == before:
            continue
        while high - low > 1:
            middle = (low + high) // 2
            low, high = (middle, high) if _offset(zone, middle) == before else (low, middle)
        at.append(high)
        offsets.append(after)
    return Changes(np.array(at, dtype=np.int64), np.array(offsets, dtype=np.int64))


def _offset(zone: dt.tzinfo, second: int) -> int:
    found = dt.datetime.fromtimestamp(second, zone).utcoffset()
    return 0 if found is None else int(found.total_seconds())


class WallClock:
    """Wall-clock seconds of a log to UTC, handed over in stretches, so that it need not be held whole.

    A time that the spring change skips is read with the offset before it, as a clock nobody has put forward.
    A doubled time of autumn is the first pass (the offset before the change) until time steps back within the
    doubled hour, then the second; repeating the same time counts as stepping back when readings are as far
    apart as the hour is long. In a file without order, doubled times cannot be told apart: all are taken for the
    first pass and counted as unsettled.

    Where `doubles`, hand the whole file to `watch` first. Then hand it to `place`: backwards if `backwards`.
    """

    def __init__(self, zone: dt.tzinfo, first: int, last: int) -> None:
        """first, last: the least and the largest of the times to come."""
        found = changes(zone, first - 2 * DAY, last + 2 * DAY)
        self._offsets = found.offsets
        before, after = found.offsets[:-1], found.offsets[1:]
        self._ends = found.at + np.maximum(before, after)
        self._begins = np.append(found.at + np.minimum(before, after), np.iinfo(np.int64).max)
        self._falls = np.append(after < before, False)
        self._widths = np.append(before - after, 0)
        self.doubles = bool(self._falls.any())
        self.doubled = self.nonexistent = 0
        self._watched = _Heading()
        self._passes = _Passes()

    @property
    def unsettled(self) -> int:
        """How many doubled times can't be told apart."""
        return self.doubled if self._watched.direction == 0 else 0

    @property
    def backwards(self) -> bool:
        """Whether the file runs from the newest to the oldest."""
        return self._watched.direction < 0

    def watch(self, local: Seconds) -> None:
        """Learn from the next stretch which way the file runs, and how far its times are apart."""
        self._watched.add(local, self._doubled(local, self._change(local)))

    def place(self, local: Seconds) -> Seconds:
        """UTC of the next stretch."""
        past = self._change(local)
        utc = local - self._offsets[past]
        near = self._begins[past] <= local
        doubled = np.flatnonzero(near & self._falls[past])
        self.nonexistent += int(np.count_nonzero(near & ~self._falls[past]))
        self.doubled += len(doubled)
        if self._watched.direction:
            widths = self._widths[past[doubled]]
            second = self._passes.second(local, doubled, past[doubled], widths, self._watched.usual)
            utc[doubled[second]] += widths[second]
        return utc

    def _change(self, local: Seconds) -> npt.NDArray[np.intp]:
        """How many changes of the clocks lie behind each time."""
        return np.searchsorted(self._ends, local, side="right")

    def _doubled(self, local: Seconds, past: npt.NDArray[np.intp]) -> npt.NDArray[np.bool_]:
        return np.asarray((self._begins[past] <= local) & self._falls[past])


class _Heading:
    """Which way a file runs, told by its steps outside doubled hours, and the usual length of its steps."""

    def __init__(self) -> None:
        self._on = self._back = 0
        self._lengths = Tally()
        self._last = np.empty(0, np.int64)
        self._last_doubled = np.empty(0, np.bool_)

    def add(self, local: Seconds, doubled: npt.NDArray[np.bool_]) -> None:
        """The next times, and which of them are doubled."""
        steps = np.diff(np.append(self._last, local))
        either = np.append(self._last_doubled, doubled)
        clear = steps[~(either[1:] | either[:-1])]
        self._on += int(np.count_nonzero(clear > 0))
        self._back += int(np.count_nonzero(clear < 0))
        lengths = np.abs(steps)
        # Only asked whether half of them are as long as an hour or so.
        self._lengths.add(np.minimum(lengths[lengths > 0], DAY))
        if len(local):
            self._last, self._last_doubled = local[-1:], doubled[-1:]

    @property
    def direction(self) -> int:
        """1 when the file runs forwards in time, -1 backwards, 0 when it has no order."""
        steps = self._on + self._back
        if steps == 0:
            return 1
        share = self._on / steps
        return 1 if share >= ORDERLY else -1 if share <= 1 - ORDERLY else 0

    @cached_property
    def usual(self) -> int:
        """The median step [s]."""
        return int(self._lengths.median() or 0)


class _Passes:
    """Which doubled times are of the second pass; each unbroken run of them in the file starts with the first."""

    def __init__(self) -> None:
        self._seen = 0
        self._last = 0
        self._run: tuple[int, int] | None = None
        self._later = False

    def second(
        self, local: Seconds, doubled: npt.NDArray[np.intp], change: npt.NDArray[np.intp], widths: Seconds, usual: int
    ) -> npt.NDArray[np.bool_]:
        """Of the doubled times of the next stretch. change: whose change doubles each; widths: by how much [s]."""
        out = np.zeros(len(doubled), dtype=bool)
        for i, row in enumerate(doubled.tolist()):
            here = (self._seen + row, int(change[i]))
            if self._run is None or here != (self._run[0] + 1, self._run[1]):
                self._later = False
            elif not self._later:
                step = int(local[row]) - (int(local[row - 1]) if row else self._last)
                self._later = step < 0 or (step == 0 and usual >= widths[i])
            out[i], self._run = self._later, here
        self._seen += len(local)
        if len(local):
            self._last = int(local[-1])
        return out
