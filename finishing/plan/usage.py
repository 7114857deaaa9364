"""How much of every resource is held over time, as a step function."""

from __future__ import annotations

from bisect import bisect_left, bisect_right

Amounts = tuple[int, ...]


class Usage:
    """Starts empty. Steps are kept as sorted times and what is held from each on; the last is always empty."""

    def __init__(self, capacities: Amounts) -> None:
        self._capacities = capacities
        self._times = [0]
        self._held: list[Amounts] = [(0,) * len(capacities)]

    def earliest(self, demand: Amounts, duration: int, not_before: int) -> int:
        """The first time from `not_before` on at which `demand`, no more than the capacities, fits throughout."""
        if not duration or not any(demand):
            return not_before
        begin = not_before
        step = bisect_right(self._times, begin) - 1
        while step + 1 < len(self._times):
            ends = self._times[step + 1]
            if not self._fits(step, demand):
                begin = ends
            elif ends - begin >= duration:
                return begin
            step += 1
        return begin

    def change(self, demand: Amounts, duration: int, start: int, sign: int) -> None:
        """Hold `demand` from `start` for `duration` (sign 1), or let go of it (sign -1)."""
        if not duration or not any(demand):
            return
        first, last = self._cut(start), self._cut(start + duration)
        for step in range(first, last):
            self._held[step] = tuple(h + sign * d for h, d in zip(self._held[step], demand, strict=True))

    def _fits(self, step: int, demand: Amounts) -> bool:
        return all(h + d <= c for h, d, c in zip(self._held[step], demand, self._capacities, strict=True))

    def _cut(self, time: int) -> int:
        """The step that begins at `time`, made if there is none."""
        step = bisect_left(self._times, time)
        if step == len(self._times) or self._times[step] != time:
            self._times.insert(step, time)
            self._held.insert(step, self._held[step - 1])
        return step
