"""What the lags alone say, worked by hand."""

from __future__ import annotations

from itertools import permutations

import numpy as np

from finishing.plan import project_of
from finishing.plan.bounds import lower_bound
from finishing.plan.cliques import cliques
from finishing.plan.temporal import Contradiction, Windows, analyse

from .networks import Shape, ample_horizon, network


def windows_of(project, horizon):
    windows = analyse(project, horizon)
    assert isinstance(windows, Windows)
    return windows


def test_earliest_and_latest_starts_of_a_chain():
    # 0 →(3) 1 →(4) 2, durations 3, 4, 5, horizon 15.
    # Earliest: 0, 3, 7. Latest: 2 by 15 - 5 = 10, 1 by 10 - 4 = 6, 0 by 6 - 3 = 3.
    windows = windows_of(project_of([3, 4, 5], [[]] * 3, [], [(0, 1, 3), (1, 2, 4)]), 15)
    assert windows.earliest.tolist() == [0, 3, 7]
    assert windows.latest.tolist() == [3, 6, 10]
    assert windows.lag[0, 2] == 7


def test_a_maximum_lag_pulls_the_first_activity_later():
    # 0 starts at most 4 before 2, and 2 not before 1 is done at 9: 0 starts at 9 - 4 = 5 at the earliest.
    windows = windows_of(project_of([2, 9, 1], [[]] * 3, [], [(1, 2, 9), (2, 0, -4)]), 30)
    assert windows.earliest.tolist() == [5, 0, 9]


def test_a_positive_cycle_is_a_contradiction_at_any_horizon():
    # 1 starts at least 5 after 0 and at most 4 after 0: 5 - 4 = 1 > 0 round the cycle.
    found = analyse(project_of([1, 1], [[]] * 2, [], [(0, 1, 5), (1, 0, -4)]), 10**6)
    assert isinstance(found, Contradiction)
    assert "contradict each other" in found.reason


def test_a_cycle_of_zero_ties_two_starts():
    windows = windows_of(project_of([1, 1], [[]] * 2, [], [(0, 1, 5), (1, 0, -5)]), 20)
    assert windows.lag[0, 1] == 5
    assert windows.lag[1, 0] == -5


def test_a_horizon_shorter_than_the_lags_is_said():
    found = analyse(project_of([3, 4], [[]] * 2, [], [(0, 1, 3)]), 6)
    assert isinstance(found, Contradiction)
    assert found.reason == "the lags alone need 7, the horizon is 6"


def test_a_demand_above_the_capacity_is_said():
    found = analyse(project_of([3], [[0, 4]], [9, 3], []), 6)
    assert isinstance(found, Contradiction)
    assert found.reason == "activity 0 needs 4 of resource 1, which has 3"


def test_a_pair_that_can_go_only_one_way_round_is_ordered():
    # Both need the one unit. 1 starts at most 2 before 0 (start_1 ≥ start_0 - 2), but takes 3: it can't be
    # done before 0 starts, so 0 goes first, and 1 starts at least 4 after it.
    windows = windows_of(project_of([4, 3], [[1], [1]], [1], [(0, 1, -2)]), 20)
    assert windows.orders == ((0, 1),)
    assert windows.lag[0, 1] == 4


def test_a_pair_with_no_order_left_is_a_contradiction():
    # They start within 2 of each other and each takes 3 of the one unit.
    found = analyse(project_of([3, 3], [[1], [1]], [1], [(0, 1, -2), (1, 0, -2)]), 50)
    assert isinstance(found, Contradiction)
    assert "no order" in found.reason


def test_the_bound_counts_the_work_between_head_and_tail():
    # All three use the one unit for 4 each, none before 2 (after activity 0), and 5 must pass after any of
    # them: 2 + 12 + 5 = 19, while the longest path is only 2 + 4 + 5 = 11.
    lags = [(0, i, 2) for i in (1, 2, 3)] + [(i, 4, 4) for i in (1, 2, 3)]
    project = project_of([2, 4, 4, 4, 5], [[0], [1], [1], [1], [0]], [1], lags)
    assert lower_bound(project, windows_of(project, 100)) == 19


def test_the_bound_rounds_work_up():
    # 5 activities of 3 with 1 each of 2: 15 / 2 = 7.5, so 8. (The answer is 9: three in a row.)
    project = project_of([3] * 5, [[1]] * 5, [2], [])
    assert lower_bound(project, windows_of(project, 100)) == 8


def test_single_file_work_across_resources_counts_in_the_bound():
    # 0 and 1 share the first, 1 and 2 the second, 0 and 2 the third: one at a time, 4 + 3 + 5 = 12, while no
    # resource has more than 4 + 5 = 9 of work.
    project = project_of([4, 3, 5], [[1, 0, 1], [1, 1, 0], [0, 1, 1]], [1, 1, 1], [])
    windows = windows_of(project, 100)
    assert cliques(windows.conflict, np.array([4, 3, 5])) == [(0, 1, 2)]
    assert lower_bound(project, windows) == 12


def test_sets_in_single_file_cover_every_conflict_and_nothing_else():
    for seed in range(20):
        project = network(Shape(12, 3, 0.3, 3, 0.5), seed)
        found = analyse(project, ample_horizon(project))
        if isinstance(found, Contradiction):
            continue
        pairs = {
            pair
            for members in cliques(found.conflict, np.array(project.durations))
            for pair in permutations(members, 2)
        }
        assert pairs == {(i, j) for i, j in np.argwhere(found.conflict).tolist()}
