"""Where a batch has stood, so that it carries its equivalent time along when it moves."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from finishing.cure.climate import PlaceAir
from finishing.cure.finish import Finish
from finishing.cure.integral import Series
from finishing.cure.terms import ClockName

Array = npt.NDArray[np.float64]


class Track:
    """The places of a batch in order: from which hour, and the air there. The last goes on for ever."""

    def __init__(self, legs: Sequence[tuple[float, PlaceAir]]) -> None:
        """legs: (hour, air), hours not falling; the first also serves all time before it."""
        if not legs:
            raise ValueError("a track needs at least one place")
        self._legs = tuple(legs)

    def moved(self, hour: float, air: PlaceAir) -> Track:
        """This track with one more place, from an hour on."""
        kept = [leg for leg in self._legs if leg[0] < hour] or []
        return Track([*kept, (hour, air)])

    def air_at(self, hour: float) -> tuple[float, float]:
        """°C and % RH around the batch at an hour."""
        return self._leg(hour).at(hour)

    def place_at(self, hour: float) -> PlaceAir:
        """The air the batch stands in at an hour."""
        return self._leg(hour)

    def windows(self, start: float, end: float) -> list[Series]:
        """The air around the batch from one hour to a later one, a series for each place it stands in meanwhile."""
        return [air.window(a, min(b, end)) for air, a, b in self._stretches(start) if a < end]

    def gathered(self, finish: Finish, clock: ClockName, start: float, end: float) -> float:
        """Equivalent hours gathered on one clock from `start` to `end`; 0 if it ends before it starts."""
        total = 0.0
        for air, a, b in self._stretches(start):
            if a >= end:
                break
            integral = air.of(finish, clock)
            total += float(integral.at(min(b, end)) - integral.at(a))
        return total

    def reached(self, finish: Finish, clock: ClockName, start: float, equivalent: Array) -> Array:
        """The first hours at which each of `equivalent` hours have gathered since `start`; inf where never."""
        left = np.array(equivalent, dtype=float)
        hours = np.full_like(left, math.inf)
        open_ = np.ones(left.shape, dtype=bool)
        for air, a, b in self._stretches(start):
            integral = air.of(finish, clock)
            at_start = integral.at(a)
            if math.isinf(b):
                hours[open_] = np.maximum(integral.when(at_start + left[open_]), a)
                break
            gain = float(integral.at(b) - at_start)
            here = open_ & (left <= gain)
            hours[here] = np.maximum(integral.when(at_start + left[here]), a)
            open_ &= ~here
            left[open_] -= gain
            if not open_.any():
                break
        return hours

    def _stretches(self, start: float) -> list[tuple[PlaceAir, float, float]]:
        found = []
        for n, (begin, air) in enumerate(self._legs):
            end = self._legs[n + 1][0] if n + 1 < len(self._legs) else math.inf
            a = start if n == 0 else max(begin, start)
            if end > a:
                found.append((air, a, end))
        return found

    def _leg(self, hour: float) -> PlaceAir:
        air = self._legs[0][1]
        for begin, there in self._legs:
            if begin <= hour:
                air = there
        return air
