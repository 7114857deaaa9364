"""Whether a log disagrees with what is on record for the same place and times."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from finishing.store.left_out import Rows
from finishing.store.readings import readings_since
from finishing.store.work import Reader
from finishing.units import show_warmer

NEAR_SECONDS, APART_C = 600, 5.0
"""Readings so near in time and further apart than this are hardly of one place. Our own choice: the air of a room that
is not aired moves slower, and loggers err by a degree at most."""


@dataclass(frozen=True, slots=True)
class Differing:
    """So many readings of a log lie near others that differ by more than `APART_C`; by how much at most [K]."""

    readings: int
    most_c: float


class OnRecord:
    """A place's readings about the times of a log, as they are before it comes in."""

    def __init__(self, r: Reader, place_id: int, first: float, last: float) -> None:
        self._seconds, self._warmth, _ = readings_since(r, place_id, first - NEAR_SECONDS, last + NEAR_SECONDS)
        self._count, self._most = 0, 0.0

    def compare(self, rows: Rows) -> None:
        """Hold some of the log against the nearest reading on record, in time, of each."""
        if len(self._seconds) == 0 or len(rows[0]) == 0:
            return
        at, warmth = np.asarray(rows[0]), np.asarray(rows[1])
        after = np.clip(np.searchsorted(self._seconds, at), 0, len(self._seconds) - 1)
        before = np.maximum(after - 1, 0)
        nearest = np.where(self._away(at, before) < self._away(at, after), before, after)
        apart = np.abs(warmth - self._warmth[nearest])
        differs = (self._away(at, nearest) <= NEAR_SECONDS) & (apart > APART_C)
        self._count += int(differs.sum())
        self._most = max(self._most, float(apart[differs].max(initial=0.0)))

    def _away(self, at: npt.NDArray[np.int64], index: npt.NDArray[np.intp]) -> npt.NDArray[np.int64]:
        away: npt.NDArray[np.int64] = np.abs(at - self._seconds[index])
        return away

    @property
    def found(self) -> Differing | None:
        """What differs so far; None where nothing does."""
        return Differing(self._count, self._most) if self._count else None


def differing_words(found: Differing, units: str, undo: str = "") -> str:
    """That a log disagrees with the record. undo: the way back, in words."""
    most = show_warmer(found.most_c, units)
    lie = "lies" if found.readings == 1 else "lie"
    return (
        f"{found.readings:,} of its readings {lie} within ten minutes of others there that differ by up to {most}: "
        f"is it the right place?{f' {undo}' if undo else ''}"
    )
