"""The air ahead: a low near dawn and a high in the afternoon, of typed days where there are any."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from statistics import median  # numpy's own would import its masked arrays, for fourteen numbers

import numpy as np
import numpy.typing as npt
import pendulum

from finishing.clock import at_zone, hour_of
from finishing.cure.finish import between
from finishing.cure.integral import Series
from finishing.errors import BadInput

Array = npt.NDArray[np.float64]

LOW_AT, HIGH_AT = 6, 15
"""Local hours of the day's low and high. Common practice, no source; a shop lags the weather by about an hour."""

FIT_DAYS = 14
"""The usual day is fitted to so many days of readings before the last."""

WHOLE_DAY_HOURS = 18.0
"""A day with less of it read than this says nothing of its low and high."""


@dataclass(frozen=True, slots=True)
class UsualDay:
    """What a place does on a day nobody has typed in: °C at the low and high, % RH at each."""

    low_c: float
    high_c: float
    humidity_at_low: float
    humidity_at_high: float

    def __post_init__(self) -> None:
        between("low", self.low_c, -40.0, 60.0, "a temperature from -40 to 60 °C")
        between("high", self.high_c, -40.0, 60.0, "a temperature from -40 to 60 °C")
        if self.high_c < self.low_c:
            raise BadInput("high", self.high_c, f"no less than the low of {self.low_c:g} °C")
        for value in (self.humidity_at_low, self.humidity_at_high):
            between("humidity", value, 0.0, 100.0, "a relative humidity from 0 to 100 %")


@dataclass(frozen=True, slots=True)
class DayAhead:
    """A typed day: its low (near dawn) and high (afternoon) [°C], and humidity [%] where given."""

    date: dt.date
    low_c: float
    high_c: float
    humidity_pct: float | None = None

    def __post_init__(self) -> None:
        humidity = 50.0 if self.humidity_pct is None else self.humidity_pct
        UsualDay(self.low_c, self.high_c, humidity, humidity)


@lru_cache(maxsize=8192)
def _hour_at(year: int, month: int, day: int, clock: int, zone: str) -> float:
    """The hour of a local time. Kept: every place asks for the same days at every look, and a zone is slow to ask."""
    return hour_of(pendulum.datetime(year, month, day, clock, tz=zone))


class Pattern:
    """The outlook as a smooth curve through each day's low and high, over a stretch of local days."""

    def __init__(self, usual: UsualDay, ahead: Sequence[DayAhead], zone: str, start: float, end: float) -> None:
        """start, end: hours the curve must cover; a day is added at either side."""
        typed = {day.date: day for day in ahead}
        first = at_zone(start - 24.0, zone).date()
        days = math.ceil((end - start) / 24.0) + 4
        hours, warmth, damp = [], [], []
        for n in range(days):
            date = first.add(days=n)
            day = typed.get(date)
            low, high = (usual.low_c, usual.high_c) if day is None else (day.low_c, day.high_c)
            at_low, at_high = usual.humidity_at_low, usual.humidity_at_high
            if day is not None and day.humidity_pct is not None:
                at_low = at_high = day.humidity_pct
            for clock, t, h in ((LOW_AT, low, at_low), (HIGH_AT, high, at_high)):
                hours.append(_hour_at(date.year, date.month, date.day, clock, zone))
                warmth.append(t)
                damp.append(h)
        self._hours, self._t, self._h = np.array(hours), np.array(warmth), np.array(damp)

    def at(self, hours: Array) -> tuple[Array, Array]:
        """Temperature and humidity at each hour: half a cosine from one extreme to the next."""
        i = np.clip(np.searchsorted(self._hours, hours, side="right") - 1, 0, len(self._hours) - 2)
        share = (hours - self._hours[i]) / (self._hours[i + 1] - self._hours[i])
        ease = (1.0 - np.cos(np.pi * np.clip(share, 0.0, 1.0))) / 2.0
        return (
            self._t[i] + ease * (self._t[i + 1] - self._t[i]),
            self._h[i] + ease * (self._h[i + 1] - self._h[i]),
        )


def fit_usual_day(readings: Series, zone: str, *, humidity_pct: float = 50.0) -> UsualDay | None:
    """The usual day of the last FIT_DAYS of readings: medians of the days' lows and highs.

    None when no day was read nearly whole. Days are counted at the offset in force at the last reading.
    humidity_pct: taken where the log has none (NaN).
    """
    recent = readings.hours >= readings.hours[-1] - 24.0 * FIT_DAYS
    hours, t, h = readings.hours[recent], readings.temperature_c[recent], readings.humidity_pct[recent]
    offset = (at_zone(float(hours[-1]), zone).utcoffset() or dt.timedelta()).total_seconds() / 3600.0
    day = np.floor((hours + offset) / 24.0)
    starts = np.flatnonzero(np.diff(day, prepend=day[0] - 1.0))
    lows, highs, damp_low, damp_high = [], [], [], []
    for a, b in zip(starts, [*starts[1:], len(day)], strict=True):
        if b - a < 4 or hours[b - 1] - hours[a] < WHOLE_DAY_HOURS:
            continue
        coldest, warmest = a + int(np.argmin(t[a:b])), a + int(np.argmax(t[a:b]))
        lows.append(float(t[coldest]))
        highs.append(float(t[warmest]))
        damp_low.append(float(h[coldest]))
        damp_high.append(float(h[warmest]))
    if not lows:
        return None
    damp = [_median(column, humidity_pct) for column in (damp_low, damp_high)]
    return UsualDay(median(lows), median(highs), *damp)


def _median(values: list[float], instead: float) -> float:
    known = [v for v in values if not math.isnan(v)]
    return median(known) if known else instead
