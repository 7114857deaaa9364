"""The air of a place, past and ahead, as one series: readings, short gaps bridged, the rest filled in."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from finishing.cure.finish import Finish
from finishing.cure.integral import DAY, EquivalentTime, Series, finer
from finishing.cure.outlook import DayAhead, Pattern, UsualDay
from finishing.cure.rates import RateLaw
from finishing.cure.terms import ClockName

Array = npt.NDArray[np.float64]

BRIDGE_HOURS = 3.0
"""Readings no further apart than this are joined by a line; a longer gap takes the place's usual day."""

DRIFT_HOURS = 8.0
"""A departure from the usual day fades by e in so many hours. An estimate: the time constant of a small shop."""

FILL_HOURS = 0.5
HORIZON_HOURS = 45 * DAY
"""The outlook is laid out so far; after that its last day repeats."""


@dataclass(frozen=True, slots=True)
class Gap:
    """A stretch [hours] with no readings, filled from the usual day."""

    start: float
    end: float


class PlaceAir:
    """One place's air and the running integrals over it, one for each rate law, made when first asked for."""

    def __init__(
        self,
        series: Series,
        *,
        measured: tuple[float, float] | None = None,
        gaps: tuple[Gap, ...] = (),
        repeats: float | None = DAY,
    ) -> None:
        self.series = series
        self.measured = measured
        self.gaps = gaps
        self._repeats = repeats
        self._fine = finer(series)
        self._clocks: dict[RateLaw, EquivalentTime] = {}

    def clock(self, law: RateLaw) -> EquivalentTime:
        """The running integral of a law over this air."""
        if law not in self._clocks:
            self._clocks[law] = EquivalentTime(law, self._fine, repeats=self._repeats)
        return self._clocks[law]

    def of(self, finish: Finish, name: ClockName) -> EquivalentTime:
        """The running integral of one of a finish's clocks."""
        return self.clock(RateLaw.of(finish, name))

    def at(self, hour: float) -> tuple[float, float]:
        """°C and % RH at an hour; after the series' end, at the same time of its last day."""
        end = float(self.series.hours[-1])
        if hour > end:
            cycle = min(self._repeats or 0.0, end - float(self.series.hours[0]))
            hour = end - cycle + math.fmod(hour - end, cycle) if cycle > 0.0 else end
        return self.series.at(hour)

    def window(self, start: float, end: float) -> Series:
        """The air from one hour to another, with points at both ends."""
        inside = (self.series.hours > start) & (self.series.hours < end)
        (t0, h0), (t1, h1) = self.at(start), self.at(end)
        return Series(
            np.concatenate([[start], self.series.hours[inside], [end]]),
            np.concatenate([[t0], self.series.temperature_c[inside], [t1]]),
            np.concatenate([[h0], self.series.humidity_pct[inside], [h1]]),
        )

    def measured_at(self, hour: float) -> bool:
        """Whether the air at an hour was read, rather than filled in or expected."""
        if self.measured is None or not self.measured[0] <= hour <= self.measured[1]:
            return False
        return not any(gap.start < hour < gap.end for gap in self.gaps)


def steady(temperature_c: float, humidity_pct: float, start: float) -> PlaceAir:
    """Air that never changes, for what-if."""
    points = np.array([start, start + 1.0])
    return PlaceAir(Series(points, np.full(2, float(temperature_c)), np.full(2, float(humidity_pct))), repeats=None)


def build(
    readings: Series | None,
    usual: UsualDay,
    ahead: Sequence[DayAhead],
    *,
    zone: str,
    start: float,
    now: float,
) -> PlaceAir:
    """A place's air from `start` to HORIZON_HOURS after the later of now and the last reading.

    Readings after `now` (a logger's clock runs fast) count as they are. Missing humidity takes the usual day's.
    """
    last = now if readings is None else max(now, float(readings.hours[-1]))
    first = start if readings is None else min(start, float(readings.hours[0]))
    end = last + HORIZON_HOURS
    pattern = Pattern(usual, ahead, zone, first, end)
    if readings is None:
        hours = np.arange(first, end + FILL_HOURS, FILL_HOURS)
        return PlaceAir(Series(hours, *pattern.at(hours)))
    known = _with_humidity(readings, pattern)
    pieces, gaps = _pieces(known, pattern, first, end)
    joined = Series(*(np.concatenate(column) for column in zip(*pieces, strict=True)))
    return PlaceAir(joined, measured=(float(known.hours[0]), float(known.hours[-1])), gaps=tuple(gaps))


def _with_humidity(readings: Series, pattern: Pattern) -> Series:
    missing = np.isnan(readings.humidity_pct)
    if not missing.any():
        return readings
    filled = np.where(missing, pattern.at(readings.hours)[1], readings.humidity_pct)
    return Series(readings.hours, readings.temperature_c, filled)


def _pieces(known: Series, pattern: Pattern, first: float, end: float) -> tuple[list[tuple[Array, ...]], list[Gap]]:
    """Stretches in order: before the readings, the readings broken at long gaps, the gaps, and the outlook."""
    long = np.flatnonzero(np.diff(known.hours) > BRIDGE_HOURS)
    pieces = [_filled(pattern, known, None, 0, first, float(known.hours[0]))]
    gaps, begin = [], 0
    for i in long:
        stop = int(i) + 1
        gap = Gap(float(known.hours[i]), float(known.hours[stop]))
        pieces.append(_cut(known, begin, stop))
        pieces.append(_filled(pattern, known, int(i), stop, gap.start, gap.end))
        gaps.append(gap)
        begin = stop
    pieces.append(_cut(known, begin, len(known.hours)))
    pieces.append(_filled(pattern, known, len(known.hours) - 1, None, float(known.hours[-1]), end))
    return pieces, gaps


def _cut(known: Series, begin: int, stop: int) -> tuple[Array, ...]:
    return known.hours[begin:stop], known.temperature_c[begin:stop], known.humidity_pct[begin:stop]


def _filled(
    pattern: Pattern, known: Series, before: int | None, after: int | None, start: float, end: float
) -> tuple[Array, ...]:
    """The pattern strictly between two hours, drawn to the readings at either end by a fading departure."""
    hours = np.arange(start + FILL_HOURS, end - 1e-9, FILL_HOURS)
    if before is None:
        hours = np.concatenate([[start], hours]) if start < end else hours[:0]
    t, h = pattern.at(hours)
    for i, other in ((before, after), (after, before)):
        if i is None:
            continue
        usual_t, usual_h = pattern.at(known.hours[i : i + 1])
        fade = _fade(np.abs(hours - known.hours[i]), None if other is None else end - start)
        t = t + fade * (known.temperature_c[i] - usual_t[0])
        h = h + fade * (known.humidity_pct[i] - usual_h[0])
    return hours, t, np.clip(h, 0.0, 100.0)


def _fade(away: Array, length: float | None) -> Array:
    """Share of a departure left so many hours away: 1 at its own end, and 0 at the other end of a gap.

    Between two ends sinh((length - away)/d) / sinh(length/d), so that two departures never add up to more than either.
    """
    left = np.exp(-away / DRIFT_HOURS)
    if length is None:
        return left
    return np.asarray(left * np.expm1(-2.0 * (length - away) / DRIFT_HOURS) / np.expm1(-2.0 * length / DRIFT_HOURS))
