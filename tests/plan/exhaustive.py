"""Every schedule of a tiny project, tried one by one; shares nothing with the planner."""

from __future__ import annotations

import itertools
import random

import numpy as np

from finishing.plan import Project


def all_schedules(project: Project, horizon: int) -> np.ndarray:
    """Every row of starts that holds, shape (schedules, activities)."""
    n = len(project.durations)
    starts = np.array(list(itertools.product(range(horizon + 1), repeat=n)), int).reshape(-1, n)
    ends = starts + np.array(project.durations, int)
    holds = (ends <= horizon).all(axis=1)
    for before, after, least in project.lags:
        holds &= starts[:, after] >= starts[:, before] + least
    for instant in range(horizon):
        runs = (starts <= instant) & (instant < ends)
        for k, capacity in enumerate(project.capacities):
            holds &= runs @ np.array([row[k] for row in project.demands], int) <= capacity
    return starts[holds]


def tiny(seed: int) -> tuple[Project, int]:
    """A random project of up to 5 activities with lags of both signs, and a short horizon."""
    draw = random.Random(seed)
    n, kinds = draw.randint(1, 5), draw.randint(1, 2)
    horizon = draw.randint(4, 8 if n == 5 else 10)
    lags = []
    for _ in range(draw.randint(0, 2 * n) if n > 1 else 0):
        i, j = draw.sample(range(n), 2)
        lags.append((i, j, draw.randint(0, 3) if i < j else -draw.randint(1, 5)))
    project = Project(
        tuple(draw.choice((0, 1, 2, 2, 3)) for _ in range(n)),
        tuple(tuple(draw.randint(0, 3) for _ in range(kinds)) for _ in range(n)),
        tuple(draw.randint(3, 5) for _ in range(kinds)),
        tuple(lags),
    )
    return project, horizon
