"""The clock that batches are planned on: slots of some minutes, and which of them are worked.

Instants are hours since the epoch (see `finishing.clock`); a slot is a whole number counted from the grid's origin.
Whatever must be over before a step may begin is rounded up to the next slot, whatever must not be passed is rounded
down: a plan never promises more than the hours say.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from finishing.errors import BadInput

Hours = npt.NDArray[np.float64]
Slots = npt.NDArray[np.int64]

NEVER = 10**8
"""A slot that never comes."""

SLOT_MINUTES = 15
MOST_SLOTS = 40_000


@dataclass(frozen=True)
class Grid:
    """origin: the hour of slot 0. slots: how many there are. stretches: worked [first, last) slots, in order.

    Neighbouring stretches with nothing between them count as one.
    """

    origin: float
    per_hour: int
    slots: int
    stretches: tuple[tuple[int, int], ...]

    @property
    def per_day(self) -> int:
        """Slots in 24 hours."""
        return self.per_hour * 24

    @property
    def end(self) -> float:
        """The hour at which the grid ends."""
        return self.hour(self.slots)

    @property
    def longest(self) -> int:
        """Slots of the longest stretch; 0 if nothing is worked."""
        return max((last - first for first, last in self.stretches), default=0)

    def hour(self, slot: int) -> float:
        """The hour at which a slot begins."""
        return self.origin + slot / self.per_hour

    @cached_property
    def hours(self) -> Hours:
        """The hour of every slot, and of the end."""
        return self.origin + np.arange(self.slots + 1) / self.per_hour

    def up(self, hour: float) -> int:
        """The first slot that begins no earlier than an hour; NEVER for inf. No less than 0."""
        return NEVER if math.isinf(hour) else max(math.ceil((hour - self.origin) * self.per_hour), 0)

    def down(self, hour: float) -> int:
        """The last slot that begins no later than an hour, below 0 before the origin; NEVER for inf."""
        return NEVER if math.isinf(hour) else math.floor((hour - self.origin) * self.per_hour)

    def up_all(self, hours: Hours) -> Slots:
        """`up` of each."""
        return self._whole(np.ceil, hours)

    def down_all(self, hours: Hours) -> Slots:
        """`down` of each."""
        return self._whole(np.floor, hours)

    def _whole(self, rounded: np.ufunc, hours: Hours) -> Slots:
        slots = rounded((hours - self.origin) * self.per_hour)
        return np.where(np.isfinite(slots), slots, NEVER).astype(np.int64)

    def needed(self, minutes: float) -> int:
        """Slots that some minutes of work take up."""
        return math.ceil(minutes * self.per_hour / 60.0 - 1e-9)

    @cached_property
    def worked(self) -> int:
        """The worked slots as bits."""
        bits = 0
        for first, last in self.stretches:
            bits |= ((1 << (last - first)) - 1) << first
        return bits

    @cached_property
    def stretch_of(self) -> Slots:
        """Of each slot the number of the stretch it lies in, -1 for none."""
        numbers = np.full(self.slots + 1, -1, np.int64)
        for number, (first, last) in enumerate(self.stretches):
            numbers[first:last] = number
        return numbers


def grid_over(
    start: float, end: float, stretches: Iterable[tuple[float, float]], *, slot_minutes: int = SLOT_MINUTES
) -> Grid:
    """A grid from `start` to `end` [hours] with the worked stretches [hours] inside it; slots begun are not used.

    BadInput if a slot is not a whole part of an hour, or if there would be too many.
    """
    if slot_minutes < 1 or 60 % slot_minutes:
        raise BadInput("slot_minutes", slot_minutes, "minutes that divide an hour, such as 15")
    per_hour = 60 // slot_minutes
    origin = math.floor(start * per_hour) / per_hour
    slots = math.floor((end - origin) * per_hour)
    if not 0 <= slots <= MOST_SLOTS:
        raise BadInput("end", end, f"an end after the start, no more than {MOST_SLOTS // per_hour // 24} days on")
    worked: list[tuple[int, int]] = []
    for a, b in stretches:
        first = math.ceil((max(a, start) - origin) * per_hour)
        last = min(math.floor((b - origin) * per_hour), slots)
        if first >= last:
            continue
        if worked and first <= worked[-1][1]:
            first, last = worked[-1][0], max(last, worked.pop()[1])
        worked.append((first, last))
    return Grid(origin, per_hour, slots, tuple(worked))
