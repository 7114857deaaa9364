"""What the lags alone say: longest paths between starts, earliest and latest starts, forced orders.

The longest-path length from i to j is the smallest distance any schedule can have from start_i to start_j
(Floyd-Warshall; a positive cycle is a contradiction). Node 0 of the table is the instant 0: every activity
starts at or after it, and early enough to end by the horizon, so every entry is finite.
Two activities that can't run together are in sequence; where the lags leave one order only, that order is a
lag as well (common practice in project scheduling with maximum lags).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from finishing.plan.project import Project

Table = NDArray[np.int64]
Flags = NDArray[np.bool_]

ROUNDS = 8
"""Most passes of finding forced orders; each costs one run over the table."""


@dataclass(frozen=True, slots=True, eq=False)
class Windows:
    """lag[i, j]: least start_j - start_i. earliest[i], latest[i]: bounds of start_i within the horizon.

    conflict[i, j]: the two can't run together. orders: (i, j) that must run i first, found from conflicts.
    """

    lag: Table
    earliest: Table
    latest: Table
    conflict: Flags
    orders: tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class Contradiction:
    """Why no schedule exists, in words."""

    reason: str


def analyse(project: Project, horizon: int) -> Windows | Contradiction:
    """The windows of every start within `horizon`, or why there are none."""
    for i in range(project.size):
        for k, (demand, capacity) in enumerate(zip(project.held(i), project.capacities, strict=True)):
            if demand > capacity:
                return Contradiction(f"activity {i} needs {demand} of resource {k}, which has {capacity}")
    table = _table(project, horizon)
    if table is None or not _close(table):
        return Contradiction(_why(project, horizon))
    conflict = _conflicts(project)
    orders = _force(table, conflict, np.array(project.durations, np.int64))
    if orders is None:
        return Contradiction(f"activities that cannot run together have no order that ends by {horizon}")
    return Windows(table[1:, 1:], table[0, 1:], -table[1:, 0], conflict, orders)


def _table(project: Project, horizon: int) -> Table | None:
    """Direct lags, node 0 being the instant 0; None if an activity alone is longer than the horizon."""
    latest = horizon - np.array(project.durations, np.int64)
    if (latest < 0).any():
        return None
    table: Table = np.zeros((project.size + 1, project.size + 1), np.int64)
    table[1:, :] = -latest[:, None]
    np.fill_diagonal(table, 0)
    for before, after, least in project.lags:
        table[before + 1, after + 1] = max(table[before + 1, after + 1], least)
    return table


def _close(table: Table) -> bool:
    """Fill in longest paths in place; False at the first positive cycle."""
    for k in range(len(table)):
        np.maximum(table, table[:, k, None] + table[None, k, :], out=table)
        if (table.diagonal() > 0).any():
            return False
    return True


def _why(project: Project, horizon: int) -> str:
    """Whether the lags contradict each other at any horizon, or this one is too short."""
    # Long enough for every chain of lags: what fails here fails at any horizon.
    ample = sum(project.durations) + sum(abs(least) for _, _, least in project.lags)
    table = _table(project, ample)
    if table is None or not _close(table):
        caught = [] if table is None else [int(i) - 1 for i in np.flatnonzero(table.diagonal() > 0) if i]
        return f"the lags contradict each other (a cycle through activity {caught[0] if caught else '?'})"
    needed = int((table[0, 1:] + np.array(project.durations, np.int64)).max())
    return f"the lags alone need {needed}, the horizon is {horizon}"


def _conflicts(project: Project) -> Flags:
    held = np.array([project.held(i) for i in range(project.size)], np.int64).reshape(project.size, -1)
    conflict: Flags = np.zeros((project.size, project.size), np.bool_)
    for k, capacity in enumerate(project.capacities):
        uses = held[:, k] > 0
        conflict |= (held[:, k, None] + held[None, :, k] > capacity) & uses[:, None] & uses[None, :]
    np.fill_diagonal(conflict, False)
    return conflict


def _force(table: Table, conflict: Flags, durations: Table) -> tuple[tuple[int, int], ...] | None:
    """Order conflicting pairs that can only go one way, in place; None on a contradiction."""
    lag = table[1:, 1:]
    found: list[tuple[int, int]] = []
    for _ in range(ROUNDS):
        # j can't end before i starts, so i must end before j starts.
        forced = conflict & (lag > -durations[None, :]) & (lag < durations[:, None])
        if not forced.any():
            break
        pairs = [(int(i), int(j)) for i, j in np.argwhere(forced)]
        found.extend(pairs)
        for i, j in pairs:
            lag[i, j] = durations[i]
        if not _close(table):
            return None
    return tuple(found)
