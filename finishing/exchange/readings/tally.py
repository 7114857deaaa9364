"""How often each whole number occurred: medians of a stream, without keeping it."""

from __future__ import annotations

from collections import Counter

import numpy as np
import numpy.typing as npt


class Tally:
    """Counts of whole numbers. It grows with how many differ, so clip what can take any value."""

    def __init__(self) -> None:
        self._counts: Counter[int] = Counter()

    def add(self, values: npt.NDArray[np.int64]) -> None:
        """Count these."""
        found, counts = np.unique(values, return_counts=True)
        for value, count in zip(found.tolist(), counts.tolist(), strict=True):
            self._counts[value] += count

    def __len__(self) -> int:
        return self._counts.total()

    def up_to(self, limit: float) -> int:
        """How many were no larger."""
        return sum(count for value, count in self._counts.items() if value <= limit)

    def range(self) -> tuple[int, int]:
        """The least and the largest. ValueError when there is none."""
        return min(self._counts), max(self._counts)

    def above(self, limit: float) -> Tally:
        """Those that were larger."""
        other = Tally()
        other._counts = Counter({value: count for value, count in self._counts.items() if value > limit})
        return other

    def median(self) -> float | None:
        """The middle one, or between the two in the middle; None of none."""
        whole = len(self)
        if not whole:
            return None
        values = np.array(sorted(self._counts), dtype=np.int64)
        reached = np.cumsum([self._counts[v] for v in values.tolist()])
        low, high = (
            int(values[np.searchsorted(reached, rank, side="right")]) for rank in ((whole - 1) // 2, whole // 2)
        )
        return (low + high) / 2
