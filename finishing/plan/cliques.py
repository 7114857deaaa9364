"""Sets of activities no two of which can run together: work that goes in single file."""

from __future__ import annotations

import numpy as np

from finishing.plan.temporal import Flags, Table

MOST = 400
"""Most sets kept: what they say overlaps more and more."""


def cliques(conflict: Flags, durations: Table) -> list[tuple[int, ...]]:
    """Sets of two or more, grown greedily by duration until each conflicting pair is in one of them.

    conflict[i, j]: the two can't run together. Not all such sets there are, nor the largest.
    """
    by_duration = np.argsort(-durations, kind="stable")
    covered = ~conflict
    found: list[tuple[int, ...]] = []
    for i in map(int, by_duration):
        for j in map(int, by_duration):
            if covered[i, j]:
                continue
            members = _grown(conflict, by_duration, i, j)
            covered[np.ix_(members, members)] = True
            found.append(tuple(sorted(members)))
            if len(found) == MOST:
                return found
    return found


def _grown(conflict: Flags, by_duration: Table, i: int, j: int) -> list[int]:
    """A set that holds i and j and to which nothing can be added."""
    members = [i, j]
    free = conflict[i] & conflict[j]
    while free.any():
        longest = int(by_duration[free[by_duration].argmax()])
        members.append(longest)
        free &= conflict[longest]
    return members
