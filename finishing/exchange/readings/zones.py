"""Wall-clock times of a log to UTC, through the nights when the clocks change."""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import numpy.typing as npt
import pendulum
from pendulum.tz.exceptions import InvalidTimezone

from finishing.errors import BadInput

DAY = 86_400
ORDERLY = 0.95
"""A log is in time order when so many of its steps outside doubled hours go the same way."""

Seconds = npt.NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Changes:
    """A zone's changes of offset in a period: UTC instants, and offsets (seconds east): one more, the first before."""

    at: Seconds
    offsets: Seconds


@dataclass(frozen=True, slots=True)
class Placed:
    """UTC seconds, and how many wall-clock times were doubled (autumn), of them unsettled, or skipped (spring)."""

    utc: Seconds
    doubled: int = 0
    unsettled: int = 0
    nonexistent: int = 0


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


def to_utc(local: Seconds, zone: dt.tzinfo) -> Placed:
    """UTC of wall-clock seconds given in the order of the file.

    A time that the spring change skips is read with the offset before it, as a clock nobody has put forward.
    A doubled time of autumn is the first pass (the offset before the change) until time steps back within the
    doubled hour, then the second; repeating the same time counts as stepping back when readings are as far
    apart as the hour is long. Newest-first files are read backwards. In a file without order, doubled times
    cannot be told apart: all are taken for the first pass and counted as unsettled.
    """
    if local.size == 0:
        return Placed(local)
    found = changes(zone, int(local.min()) - 2 * DAY, int(local.max()) + 2 * DAY)
    before, after = found.offsets[:-1], found.offsets[1:]
    past = np.searchsorted(found.at + np.maximum(before, after), local, side="right")
    utc = local - found.offsets[past]
    near = np.append(found.at + np.minimum(before, after), np.iinfo(np.int64).max)[past] <= local
    falls_back = np.append(after < before, False)[past]
    doubled = np.flatnonzero(near & falls_back)
    nonexistent = int(np.count_nonzero(near & ~falls_back))
    if doubled.size == 0:
        return Placed(utc, nonexistent=nonexistent)
    direction = _direction(local, near & falls_back)
    if direction == 0:
        return Placed(utc, doubled.size, doubled.size, nonexistent)
    widths = (before - after)[past[doubled]]
    second = _second_pass(local, doubled, past[doubled], widths, direction)
    utc[doubled[second]] += widths[second]
    return Placed(utc, doubled.size, 0, nonexistent)


def _direction(local: Seconds, doubled: npt.NDArray[np.bool_]) -> int:
    """1 when the file runs forwards in time, -1 backwards, 0 when it has no order."""
    steps = np.diff(local)
    steps = np.sign(steps[~(doubled[1:] | doubled[:-1])])
    steps = steps[steps != 0]
    if steps.size == 0:
        return 1
    share = np.count_nonzero(steps > 0) / steps.size
    return 1 if share >= ORDERLY else -1 if share <= 1 - ORDERLY else 0


def _second_pass(
    local: Seconds, doubled: npt.NDArray[np.intp], change: npt.NDArray[np.intp], widths: Seconds, direction: int
) -> npt.NDArray[np.bool_]:
    """Which of the doubled times are of the second pass; each unbroken run in the file starts with the first."""
    steps = np.abs(np.diff(local))
    usual = int(np.median(steps[steps > 0])) if np.any(steps > 0) else 0
    out = np.zeros(len(doubled), dtype=bool)
    later, previous = False, None
    for i in range(len(doubled))[::direction]:
        row = int(doubled[i])
        run = previous is not None and row == doubled[previous] + direction and change[i] == change[previous]
        if not run:
            later = False
        elif not later:
            step = int(local[row] - local[row - direction])
            later = step < 0 or (step == 0 and usual >= widths[i])
        out[i], previous = later, i
    return out
