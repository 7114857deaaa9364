"""A project: activities that hold renewable resources and are tied by minimum and maximum time lags.

The general form in which plans are solved. In the notation of project scheduling: PS | temp | Cmax.
"""

from __future__ import annotations

import operator
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from finishing.errors import BadInput

MOST_ACTIVITIES = 1000
"""The longest paths between all pairs are kept: closing it takes seconds beyond 1,000 activities."""

LARGEST = 10**9
"""Largest size of any number: sums over all activities then stay well inside 64 bits."""

Lag = tuple[int, int, int]
"""(i, j, d): start_j ≥ start_i + d."""


class Status(StrEnum):
    """How far a search came."""

    OPTIMAL = "optimal"
    FEASIBLE = "feasible"
    INFEASIBLE = "infeasible"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Project:
    """durations[i], demands[i][k], capacities[k], lags (i, j, d); see `finishing.plan.solve_project`."""

    durations: tuple[int, ...]
    demands: tuple[tuple[int, ...], ...]
    capacities: tuple[int, ...]
    lags: tuple[Lag, ...]

    def __post_init__(self) -> None:
        n, kinds = len(self.durations), len(self.capacities)
        if n > MOST_ACTIVITIES:
            raise BadInput("durations", f"{n} activities", f"no more than {MOST_ACTIVITIES:,} activities")
        if len(self.demands) != n:
            raise BadInput("demands", f"{len(self.demands)} rows", f"one row for each of {n} activities")
        for i, duration in enumerate(self.durations):
            whole(f"durations[{i}]", duration, 0)
        for k, capacity in enumerate(self.capacities):
            whole(f"capacities[{k}]", capacity, 0)
        for i, row in enumerate(self.demands):
            if len(row) != kinds:
                raise BadInput(f"demands[{i}]", row, f"one number for each of {kinds} resources")
            for k, demand in enumerate(row):
                whole(f"demands[{i}][{k}]", demand, 0)
        for number, lag in enumerate(self.lags):
            _check_lag(f"lags[{number}]", lag, n)

    @property
    def size(self) -> int:
        """How many activities there are."""
        return len(self.durations)

    def held(self, activity: int) -> tuple[int, ...]:
        """What an activity holds while it runs: its demands, or nothing if it takes no time."""
        return self.demands[activity] if self.durations[activity] else (0,) * len(self.capacities)

    def makespan(self, starts: Sequence[int]) -> int:
        """When the last activity ends; 0 if there is none."""
        return max((s + d for s, d in zip(starts, self.durations, strict=True)), default=0)


@dataclass(frozen=True, slots=True)
class ProjectResult:
    """What a search found.

    bound: no schedule has a smaller makespan; for an infeasible project, horizon + 1. reason: why it is
    infeasible, in words, otherwise "".
    """

    status: Status
    starts: tuple[int, ...] | None
    makespan: int | None
    bound: int
    reason: str = ""


def project_of(
    durations: Sequence[int],
    demands: Sequence[Sequence[int]],
    capacities: Sequence[int],
    lags: Sequence[Sequence[int]],
) -> Project:
    """A project from any sequences of whole numbers, numpy's included. BadInput names what doesn't fit."""
    return Project(
        tuple(plain(f"durations[{i}]", d) for i, d in enumerate(durations)),
        tuple(tuple(plain(f"demands[{i}][{k}]", r) for k, r in enumerate(row)) for i, row in enumerate(demands)),
        tuple(plain(f"capacities[{k}]", c) for k, c in enumerate(capacities)),
        tuple(_plain_lag(f"lags[{number}]", lag) for number, lag in enumerate(lags)),
    )


def whole(field: str, value: int, least: int) -> None:
    """BadInput unless `value` is a whole number from `least` to LARGEST."""
    if not isinstance(value, int) or isinstance(value, bool) or not least <= value <= LARGEST:
        raise BadInput(field, value, f"a whole number from {least:,} to {LARGEST:,}")


def plain(field: str, value: int) -> int:
    """The whole number that `value` is, numpy's included, as Python's own. BadInput otherwise."""
    if isinstance(value, bool):
        raise BadInput(field, value, "a whole number")
    try:
        return operator.index(value)
    except TypeError as error:
        raise BadInput(field, value, "a whole number") from error


def _plain_lag(field: str, lag: Sequence[int]) -> Lag:
    if len(lag) != 3:
        raise BadInput(field, lag, "(from, to, lag)")
    return plain(field, lag[0]), plain(field, lag[1]), plain(field, lag[2])


def _check_lag(field: str, lag: Lag, n: int) -> None:
    if len(lag) != 3:
        raise BadInput(field, lag, "(from, to, lag)")
    before, after, least = lag
    for activity in (before, after):
        if not isinstance(activity, int) or not 0 <= activity < n:
            raise BadInput(field, lag, f"activities from 0 to {n - 1}" if n else "no lag, as there are no activities")
    whole(field, least, -LARGEST)
