"""Makespans that no schedule can beat, without searching."""

from __future__ import annotations

import numpy as np

from finishing.plan.cliques import cliques
from finishing.plan.project import Project
from finishing.plan.temporal import Table, Windows


def lower_bound(project: Project, windows: Windows) -> int:
    """The largest of the critical path and the work of any resource, or of any set in single file, between its
    heads and tails.
    """
    if not project.size:
        return 0
    durations = np.array(project.durations, np.int64)
    path = int((windows.earliest + durations).max())
    # What must still pass between an activity's end and the end of the project.
    tails = (windows.lag + durations[None, :]).max(axis=1) - durations
    held = np.array([project.held(i) for i in range(project.size)], np.int64).reshape(project.size, -1)
    works = [
        _work(held[:, k] * durations, capacity, windows.earliest, tails)
        for k, capacity in enumerate(project.capacities)
    ]
    files = [
        _work(np.where(np.isin(np.arange(project.size), members), durations, 0), 1, windows.earliest, tails)
        for members in cliques(windows.conflict, durations)
    ]
    return max([path, *works, *files])


def _work(energy: Table, capacity: int, heads: Table, tails: Table) -> int:
    """Most of: head + ⌈work ÷ capacity⌉ + tail, over all sets given by a least head and a least tail."""
    users = np.flatnonzero(energy)
    best = 0
    by_tail = users[np.argsort(-tails[users], kind="stable")]
    for head in np.unique(heads[users]):
        chosen = by_tail[heads[by_tail] >= head]
        needed = -(-np.cumsum(energy[chosen]) // capacity)
        best = max(best, int((head + needed + tails[chosen]).max()))
    return best
