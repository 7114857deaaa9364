"""Random projects for tests, seeded: an acyclic network of minimum lags with maximum lags closing cycles in it.

Activity 0 and the last are a source and a sink of no duration, as published sets of this problem class have
them. The way of drawing them is our own.
"""

from __future__ import annotations

import random
from dataclasses import dataclass

from finishing.plan import Lag, Project

NONE = -(10**9)


@dataclass(frozen=True)
class Shape:
    """tight: 0: each resource just holds its largest demand; 1: a third of all at once. cycles: maximum lags.
    slack: by how much of its span a maximum lag may exceed the path that it closes."""

    activities: int
    resources: int
    tight: float
    cycles: int
    slack: float


def network(shape: Shape, seed: int) -> Project:
    """A project of the given shape with source and sink."""
    draw = random.Random(seed)
    n = shape.activities
    durations = (0, *(draw.randint(1, 10) for _ in range(n)), 0)
    lags = _minimum_lags(draw, n, durations)
    lags += _maximum_lags(draw, shape, durations, lags)
    rows = [tuple(draw.randint(0, 9) for _ in range(shape.resources)) for _ in range(n)]
    nothing = (0,) * shape.resources
    capacities = tuple(_capacity([row[k] for row in rows], shape.tight) for k in range(shape.resources))
    return Project(durations, (nothing, *rows, nothing), capacities, tuple(lags))


def ample_horizon(project: Project) -> int:
    """Long enough for one activity after the other, each with the longest lag that leaves it."""
    leaving = list(project.durations)
    for before, _, least in project.lags:
        leaving[before] = max(leaving[before], least)
    return sum(leaving)


def _minimum_lags(draw: random.Random, n: int, durations: tuple[int, ...]) -> list[Lag]:
    lags: list[Lag] = []
    for after in range(2, n + 1):
        for before in draw.sample(range(1, after), min(after - 1, draw.choice((0, 1, 1, 2)))):
            usual = durations[before]
            lags.append((before, after, draw.choice((usual, draw.randint(0, usual + usual // 2)))))
    for i in range(1, n + 1):
        lags += [(0, i, 0), (i, n + 1, durations[i])]
    return lags


def _maximum_lags(draw: random.Random, shape: Shape, durations: tuple[int, ...], lags: list[Lag]) -> list[Lag]:
    longest = _longest(len(durations), lags)
    n = shape.activities
    pairs = [(i, j) for i in range(1, n + 1) for j in range(i + 1, n + 1) if longest[i][j] > NONE]
    closing: list[Lag] = []
    for i, j in draw.sample(pairs, min(shape.cycles, len(pairs))):
        spare = int(shape.slack * (longest[i][j] + durations[i]))
        closing.append((j, i, -(longest[i][j] + draw.randint(0, max(1, spare)))))
    return closing


def _longest(n: int, lags: list[Lag]) -> list[list[int]]:
    """Longest paths in an acyclic network whose arcs go from lower to higher numbers."""
    table = [[NONE] * n for _ in range(n)]
    for origin in range(n):
        table[origin][origin] = 0
        for before, after, least in sorted(lags):
            if table[origin][before] > NONE:
                table[origin][after] = max(table[origin][after], table[origin][before] + least)
    return table


def _capacity(demands: list[int], tight: float) -> int:
    lowest = max(demands)
    highest = sum(sorted(demands, reverse=True)[: max(2, len(demands) // 3)])
    return lowest + int(tight * (highest - lowest))
