"""Equivalent time: the running integral of a clock's rate over a place's air, and its inverse.

The equivalent age of ASTM C1074, te = Σ exp(-Q (1/Ta - 1/Ts)) Δt, taken as an integral over air that is linear
between its points. One integral per place and clock serves every batch.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from finishing.cure.rates import RateLaw, inverse_kelvin, rate, standstill

Array = npt.NDArray[np.float64]

FINEST_HOURS = 0.25
"""Points further apart than this are divided, so that Simpson's rule is exact to about 1e-8 where the rate is smooth.
Within so short a piece equivalent time is taken as gathered evenly."""

DAY = 24.0

NOTHING = 1e-9
"""A repeated day that gains less than this many equivalent hours stands still: no coat outlasts a billion days."""


@dataclass(frozen=True)
class Series:
    """Air over time: hours (not falling; two equal hours make a step), °C and % RH, linear between points."""

    hours: Array
    temperature_c: Array
    humidity_pct: Array

    def __post_init__(self) -> None:
        if not len(self.hours) == len(self.temperature_c) == len(self.humidity_pct) >= 1:
            raise ValueError("a series needs a point and equal lengths")
        if np.any(np.diff(self.hours) < 0):
            raise ValueError("a series' hours must not fall")

    @cached_property
    def middles(self) -> tuple[Array, Array]:
        """Temperature and humidity half-way through each piece."""
        t, h = self.temperature_c, self.humidity_pct
        return (t[1:] + t[:-1]) / 2, (h[1:] + h[:-1]) / 2

    @cached_property
    def inverse_kelvin(self) -> tuple[Array, Array]:
        """1/T at the points and half-way through each piece; kept, as every clock over this air asks for it."""
        return inverse_kelvin(self.temperature_c), inverse_kelvin(self.middles[0])

    def at(self, hour: float) -> tuple[float, float]:
        """Temperature and humidity at an hour inside the series."""
        return (
            float(np.interp(hour, self.hours, self.temperature_c)),
            float(np.interp(hour, self.hours, self.humidity_pct)),
        )


def constant(temperature_c: float, humidity_pct: float, start: float, hours: float) -> Series:
    """Unchanging air."""
    return Series(np.array([start, start + hours]), np.full(2, float(temperature_c)), np.full(2, float(humidity_pct)))


def finer(series: Series) -> Series:
    """The same air with points no further apart than FINEST_HOURS."""
    gaps = np.diff(series.hours)
    if gaps.max(initial=0.0) <= FINEST_HOURS * 1.001:
        return series
    parts = np.maximum(np.ceil(gaps / FINEST_HOURS - 1e-9).astype(int), 1)
    first = np.repeat(np.arange(len(gaps)), parts)
    step = np.arange(len(first)) - np.repeat(np.cumsum(parts) - parts, parts)
    share = step / parts[first]

    def spread(values: Array) -> Array:
        filled = values[first] + share * (values[first + 1] - values[first])
        return np.append(filled, values[-1])

    return Series(spread(series.hours), spread(series.temperature_c), spread(series.humidity_pct))


def increments(law: RateLaw, air: Series) -> Array:
    """Equivalent hours gained over each piece of the air, by Simpson's rule on the part that is not stopped."""
    hours, t, h = air.hours, air.temperature_c, air.humidity_pct
    at_ends, half_way = air.inverse_kelvin
    ends = rate(law, t, h, at_ends)
    gained = rate(law, *air.middles, half_way)
    gained *= 4.0
    gained += ends[:-1]
    gained += ends[1:]
    gained *= np.diff(hours) / 6.0
    why = standstill(law, t, h)
    if why.any():
        throughout = (why[:-1] & why[1:]) > 0
        gained[throughout] = 0.0
        touched = np.flatnonzero(((why[:-1] | why[1:]) > 0) & ~throughout)
        gained[touched] = _live_part(law, air, touched)
    return gained


def _live_part(law: RateLaw, air: Series, pieces: npt.NDArray[np.intp]) -> Array:
    """What pieces that touch a stop gain: each only from where its last stop ends to where its first begins."""
    hours, t, h = air.hours, air.temperature_c, air.humidity_pct
    start, end = np.zeros(len(pieces)), np.ones(len(pieces))
    for values, bound, live_side in (
        (t, law.minimum_c, 1.0),
        (h, law.stop_above_pct, -1.0),
        (h, law.stop_below_pct, 1.0),
    ):
        if not math.isfinite(bound):
            continue
        before, after = live_side * (values[pieces] - bound), live_side * (values[pieces + 1] - bound)
        crossing = before / np.where(before == after, 1.0, before - after)
        start = np.maximum(start, np.where(before < 0.0, crossing, 0.0))
        end = np.minimum(end, np.where(after < 0.0, crossing, 1.0))
    gained, live = np.zeros(len(pieces)), np.flatnonzero(end > start)
    i, start, end = pieces[live], start[live], end[live]
    share = np.stack([start, (start + end) / 2, end])
    ends = rate(law, t[i] + share * (t[i + 1] - t[i]), h[i] + share * (h[i + 1] - h[i]))
    gained[live] = (hours[i + 1] - hours[i]) * (end - start) * (ends[0] + 4.0 * ends[1] + ends[2]) / 6.0
    return gained


class EquivalentTime:
    """The running integral of one clock over one place's air, endless: after its last point the last day repeats.

    With no whole day in the air its last moment goes on for ever.
    """

    def __init__(self, law: RateLaw, air: Series, *, repeats: float | None = None) -> None:
        """repeats: hours of the final stretch that repeats for ever; None: the last moment stays."""
        fine = finer(air)
        self.law = law
        self.hours: Array = fine.hours
        total = np.empty(len(fine.hours))
        total[0] = 0.0
        np.cumsum(increments(law, fine), out=total[1:])
        self.total: Array = total
        self._end = float(fine.hours[-1])
        self._cycle = min(repeats, self._end - float(fine.hours[0])) if repeats else 0.0
        if self._cycle > 0:
            self._gain = float(total[-1] - np.interp(self._end - self._cycle, self.hours, total))
        else:
            last_t, last_h = fine.temperature_c[-1:], fine.humidity_pct[-1:]
            still = standstill(law, last_t, last_h)[0] > 0
            self._gain = 0.0 if still else float(rate(law, last_t, last_h)[0])
        if self._gain < NOTHING:
            self._gain = 0.0

    def at(self, hours: float | Array) -> Array:
        """Equivalent hours from the start of the air to each hour (0 before the start)."""
        asked = np.asarray(hours, dtype=float)
        found = np.asarray(np.interp(asked, self.hours, self.total))
        beyond = np.asarray(asked > self._end)
        if beyond.any():
            found[beyond] = self._tail_at(asked[beyond])
        return found

    def when(self, equivalent: float | Array) -> Array:
        """The first hour at which each running total is reached; inf where it never is."""
        wanted = np.asarray(equivalent, dtype=float)
        # Just below what is wanted, so that what is reached as a standstill begins is not put off to its end.
        found = np.asarray(np.interp(np.nextafter(wanted, -math.inf), self.total, self.hours))
        beyond = np.asarray(wanted > self.total[-1])
        if beyond.any():
            found[beyond] = self._tail_when(wanted[beyond])
        return found

    def reached(self, start: float | Array, equivalent: float | Array) -> Array:
        """The first hour, no earlier than `start`, at which `equivalent` hours have gathered since `start`."""
        return np.maximum(self.when(self.at(start) + equivalent), start)

    def _tail_at(self, hours: Array) -> Array:
        over = hours - self._end
        if self._cycle == 0.0:
            return np.asarray(self.total[-1] + over * self._gain)
        turns, rest = np.divmod(over, self._cycle)
        start = self._end - self._cycle
        part = np.interp(start + rest, self.hours, self.total) - (self.total[-1] - self._gain)
        return np.asarray(self.total[-1] + turns * self._gain + part)

    def _tail_when(self, equivalent: Array) -> Array:
        over = equivalent - self.total[-1]
        if self._gain <= 0.0:
            return np.full(over.shape, math.inf)
        if self._cycle == 0.0:
            return np.asarray(self._end + over / self._gain)
        turns = np.maximum(np.ceil(over / self._gain - 1e-12) - 1.0, 0.0)
        rest = over - turns * self._gain
        inside = self.when(np.minimum(self.total[-1] - self._gain + rest, self.total[-1]))
        return np.asarray(inside + (turns + 1.0) * self._cycle)
