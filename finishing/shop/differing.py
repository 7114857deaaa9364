"""Whether a log disagrees with what is on record for the same place and times."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from finishing.store.left_out import Rows
from finishing.store.places import usual_days
from finishing.store.readings import Array, readings_since
from finishing.store.work import Reader
from finishing.units import show_between, show_warmer

NEAR_SECONDS, APART_C = 600, 5.0
"""Readings so near in time and further apart than this are hardly of one place. Our own choice: the air of a room that
is not aired moves slower, and loggers err by a degree at most."""


@dataclass(frozen=True, slots=True)
class Differing:
    """So many readings of a log lie near others that differ by more than `APART_C`; by how much at most [K]."""

    readings: int
    most_c: float


SAME_C, SAME_PCT = 0.1, 1.0
"""Readings of one second no further apart than this are the same, rounded otherwise. Our own choice."""


@dataclass(frozen=True, slots=True)
class Others:
    """So many readings of a log have a second that has another reading already; by how much they differ at most."""

    readings: int
    most_c: float
    most_pct: float


FAR_C = 8.0
"""A log whose mean lies so far outside a place's usual day is asked about. Our own choice: a cold week is not asked
about, a fridge is."""


@dataclass(frozen=True, slots=True)
class Unusual:
    """A log whose readings run from low to high [°C], and the usual day typed in for its place."""

    low_c: float
    high_c: float
    usual_low_c: float
    usual_high_c: float


class OnRecord:
    """A place's readings about the times of a log, as they are before it comes in."""

    def __init__(self, r: Reader, place_id: int, first: float, last: float) -> None:
        self._seconds, self._warmth, self._damp = readings_since(r, place_id, first - NEAR_SECONDS, last + NEAR_SECONDS)
        self._count, self._most = 0, 0.0
        self._others, self._apart, self._damper = 0, 0.0, 0.0
        self._usual = usual_days(r).get(place_id)
        self._rows, self._sum, self._low, self._high = 0, 0.0, np.inf, -np.inf

    def compare(self, rows: Rows) -> None:
        """Hold some of the log against the nearest reading on record, in time, of each."""
        self._tell(np.asarray(rows[1]))
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
        self._same_seconds(self._away(at, nearest) == 0, apart, np.abs(np.asarray(rows[2]) - self._damp[nearest]))

    def _tell(self, warmth: Array) -> None:
        if len(warmth):
            self._rows, self._sum = self._rows + len(warmth), self._sum + float(warmth.sum())
            self._low, self._high = min(self._low, float(warmth.min())), max(self._high, float(warmth.max()))

    @property
    def unusual(self) -> Unusual | None:
        """How far the log is from the usual day typed in for its place; None where it is not, or none was typed."""
        day = self._usual
        if day is None or not self._rows or day.low_c - FAR_C <= self._sum / self._rows <= day.high_c + FAR_C:
            return None
        return Unusual(self._low, self._high, day.low_c, day.high_c)

    def _same_seconds(self, same: npt.NDArray[np.bool_], apart: Array, damper: Array) -> None:
        """Count those that differ; a humidity that either lacks is no difference."""
        damper = np.nan_to_num(damper)
        others = same & ((apart > SAME_C) | (damper > SAME_PCT))
        self._others += int(others.sum())
        self._apart = max(self._apart, float(apart[others].max(initial=0.0)))
        self._damper = max(self._damper, float(damper[others].max(initial=0.0)))

    def _away(self, at: npt.NDArray[np.int64], index: npt.NDArray[np.intp]) -> npt.NDArray[np.int64]:
        away: npt.NDArray[np.int64] = np.abs(at - self._seconds[index])
        return away

    @property
    def found(self) -> Differing | None:
        """What differs so far; None where nothing does."""
        return Differing(self._count, self._most) if self._count else None

    @property
    def others(self) -> Others | None:
        """Other values of the same seconds so far; None where there are none."""
        return Others(self._others, self._apart, self._damper) if self._others else None


def unusual_words(found: Unusual, units: str) -> str:
    """That a log's readings are far from the place's usual day."""
    read = show_between(found.low_c, found.high_c, units)
    usual = show_between(found.usual_low_c, found.usual_high_c, units)
    return f"its readings are {read}, far from a usual day there, {usual}: is it the right place, and the right unit?"


def others_words(found: Others, units: str) -> str:
    """That readings of the same seconds say otherwise, and which are kept."""
    apart = found.most_c * (1.8 if units == "imperial" else 1.0)
    by = [f"{apart:.1f} {'°F' if units == 'imperial' else '°C'}"] if found.most_c > SAME_C else []
    by += [f"{found.most_pct:.0f} % RH"] if found.most_pct > SAME_PCT else []
    has = "has" if found.readings == 1 else "have"
    return f"{found.readings:,} of them {has} other values here, by up to {' and '.join(by)}: the first stay"


def differing_words(found: Differing, units: str, undo: str = "") -> str:
    """That a log disagrees with the record. undo: the way back, in words."""
    most = show_warmer(found.most_c, units)
    lie = "lies" if found.readings == 1 else "lie"
    return (
        f"{found.readings:,} of its readings {lie} within ten minutes of others there that differ by up to {most}: "
        f"is it the right place?{f' {undo}' if undo else ''}"
    )
