"""What a project takes, and what is said about what it doesn't."""

from __future__ import annotations

import math

import numpy as np
import pytest

from finishing.errors import BadInput
from finishing.plan import Limits, project_of, solve_project


@pytest.mark.parametrize(
    ("durations", "demands", "capacities", "lags", "field"),
    [
        ([-1], [[]], [], [], "durations[0]"),
        ([1.5], [[]], [], [], "durations[0]"),
        ([True], [[]], [], [], "durations[0]"),
        ([10**9 + 1], [[]], [], [], "durations[0]"),
        ([1], [], [], [], "demands"),
        ([1], [[1, 2]], [3], [], "demands[0]"),
        ([1], [[-2]], [3], [], "demands[0][0]"),
        ([1], [[1]], [-3], [], "capacities[0]"),
        ([1], [[1]], ["3"], [], "capacities[0]"),
        ([1, 1], [[], []], [], [(0, 1)], "lags[0]"),
        ([1, 1], [[], []], [], [(0, 2, 1)], "lags[0]"),
        ([1, 1], [[], []], [], [(0, 1, 1), (-1, 0, 1)], "lags[1]"),
        ([1, 1], [[], []], [], [(0, 1, 0.5)], "lags[0]"),
        ([0] * 1001, [[]] * 1001, [], [], "durations"),
    ],
)
def test_bad_input_names_its_field(durations, demands, capacities, lags, field):
    with pytest.raises(BadInput) as caught:
        project_of(durations, demands, capacities, lags)
    assert caught.value.field == field


@pytest.mark.parametrize("horizon", [-1, 2.5, True])
def test_a_horizon_is_a_whole_number(horizon):
    with pytest.raises(BadInput, match="horizon"):
        solve_project([1], [[]], [], [], horizon=horizon, time_limit=1)


@pytest.mark.parametrize("time_limit", [-1, math.nan, "5", True])
def test_a_time_limit_is_in_seconds(time_limit):
    with pytest.raises(BadInput, match="time_limit"):
        Limits(time_limit)


@pytest.mark.parametrize("workers", [0, 65, 1.5])
def test_workers_are_a_few_threads(workers):
    with pytest.raises(BadInput, match="workers"):
        Limits(1, workers=workers)


def test_numbers_of_numpy_are_taken():
    lag = np.array([[0, 1, 4]])
    project = project_of(np.array([2, 3]), np.array([[1], [1]]), np.array([1]), lag)
    assert project == project_of([2, 3], [[1], [1]], [1], [(0, 1, 4)])
    assert solve_project([2], [[1]], [1], [], horizon=np.int64(2), time_limit=1).makespan == 2
    assert all(type(d) is int for d in project.durations)
