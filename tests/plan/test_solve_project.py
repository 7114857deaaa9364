"""Small projects worked by hand."""

from __future__ import annotations

import pytest

from finishing.plan import Status, project_of, solve_project, violations


def solved(durations, demands, capacities, lags, horizon=100):
    result = solve_project(durations, demands, capacities, lags, horizon=horizon, time_limit=30)
    if result.starts is not None:
        assert violations(project_of(durations, demands, capacities, lags), result.starts, horizon) == []
    return result


@pytest.mark.parametrize(
    ("durations", "demands", "capacities", "lags", "makespan"),
    [
        pytest.param([], [], [3], [], 0, id="nothing to do"),
        pytest.param([0, 0], [[9], [9]], [1], [(0, 1, 0)], 0, id="no duration holds nothing"),
        pytest.param([7], [[3]], [3], [], 7, id="one, holding all there is"),
        # 3 + 4 + 5 in a row.
        pytest.param([3, 4, 5], [[]] * 3, [], [(0, 1, 3), (1, 2, 4)], 12, id="chain"),
        # Five of 3, two at a time: two rounds hold four, the third holds the fifth: 3 × 3.
        pytest.param([3] * 5, [[1]] * 5, [2], [], 9, id="two at a time"),
        # Demands 3, 2, 2, 1 of 4: 3 with 1 (to 4), 2 with 2 (to 4 more): 8. Work is 8 × 4 = 32 = 8 × 4.
        pytest.param([4] * 4, [[3], [2], [2], [1]], [4], [], 8, id="packed with nothing left over"),
        # 1 waits for the lag 6, 2 runs meanwhile: 6 + 2.
        pytest.param([2, 2, 4], [[1]] * 3, [1], [(0, 1, 6)], 8, id="work inside a wait"),
        # 2 takes 5 and can't run inside the wait (0 to 2, then 1 from 6: only 4 free). After 1: 8 + 5 = 13;
        # before 0: 5 + 8 = 13; stretching the wait: 2 + 5 = 7, then 2: 9.
        pytest.param([2, 2, 5], [[1]] * 3, [1], [(0, 1, 6)], 9, id="the wait is stretched"),
        # As before, but 1 at most 6 after 0: the wait can't stretch. 5 + 8 = 13.
        pytest.param([2, 2, 5], [[1]] * 3, [1], [(0, 1, 6), (1, 0, -6)], 13, id="a wait that can't stretch"),
        # 0 and 1 start together (0 at most 0 before, at most 0 after) and fill the resource; 2 needs it too.
        pytest.param([3, 5, 2], [[1], [1], [2]], [2], [(0, 1, 0), (1, 0, 0)], 7, id="start together"),
        # 1 starts at least 1 after 0 is *started*, overlapping: 1 + 4.
        pytest.param([4, 4], [[1], [1]], [2], [(0, 1, 1)], 5, id="overlap allowed"),
        # Two resources: 0 and 1 clash in the first, 1 and 2 in the second, 0 and 2 don't clash: 4 + 3.
        pytest.param([4, 3, 4], [[1, 0], [1, 1], [0, 1]], [1, 1], [], 7, id="two resources"),
        # Source and sink of no duration, sink at most 9 after source; 2 × 4 in a row on one unit, tail 1.
        pytest.param(
            [0, 4, 4, 0],
            [[0], [1], [1], [0]],
            [1],
            [(0, 1, 0), (0, 2, 0), (1, 3, 5), (2, 3, 5), (3, 0, -9)],
            9,
            id="source and sink",
        ),
        # A maximum lag from the first to the last of a chain with a rival between: 0 (2), 1 (2), 2 (2) must
        # start within 4, so back to back; the rival (3) goes before or after: 6 + 3.
        pytest.param([2, 2, 2, 3], [[1]] * 4, [1], [(0, 1, 2), (1, 2, 2), (2, 0, -4)], 9, id="chain kept tight"),
        # A lag with itself that says nothing.
        pytest.param([2], [[1]], [1], [(0, 0, 0), (0, 0, -3)], 2, id="lag with itself"),
        # Two lags between the same two: the larger counts. 5 + 1.
        pytest.param([1, 1], [[]] * 2, [], [(0, 1, 2), (0, 1, 5)], 6, id="the larger of two lags"),
    ],
)
def test_the_least_makespan(durations, demands, capacities, lags, makespan):
    result = solved(durations, demands, capacities, lags)
    assert (result.status, result.makespan, result.bound) == (Status.OPTIMAL, makespan, makespan)


@pytest.mark.parametrize(
    ("durations", "demands", "capacities", "lags", "horizon", "said"),
    [
        pytest.param([1], [[2]], [1], [], 9, "needs 2 of resource 0", id="more than there is"),
        pytest.param([1, 1], [[]] * 2, [], [(0, 1, 5), (1, 0, -4)], 99, "contradict", id="positive cycle"),
        pytest.param([1], [[]], [], [(0, 0, 1)], 99, "contradict", id="after itself"),
        pytest.param([5], [[]], [], [], 4, "the horizon is 4", id="one longer than the horizon"),
        pytest.param([3, 4], [[]] * 2, [], [(0, 1, 3)], 6, "need 7", id="chain longer than the horizon"),
        # 3 × 3 on one unit is 9.
        pytest.param([3] * 3, [[1]] * 3, [1], [], 8, "need 9", id="work longer than the horizon"),
        # Five of 3 two at a time take 9, though work alone says 8.
        pytest.param([3] * 5, [[1]] * 5, [2], [], 8, "leave no schedule by 8", id="packing needs one more"),
        # Each of three must start within 5 of each other, each takes 3 of the one unit: the last starts 6 on.
        pytest.param(
            [3] * 3,
            [[1]] * 3,
            [1],
            [(i, j, -5) for i in range(3) for j in range(3) if i != j],
            99,
            "no schedule",
            id="maximum lags against the resource",
        ),
    ],
)
def test_infeasible_with_a_reason(durations, demands, capacities, lags, horizon, said):
    result = solved(durations, demands, capacities, lags, horizon)
    assert (result.status, result.starts, result.makespan) == (Status.INFEASIBLE, None, None)
    assert result.bound == horizon + 1
    assert said in result.reason


def test_the_horizon_itself_may_be_reached():
    assert solved([3] * 3, [[1]] * 3, [1], [], horizon=9).makespan == 9


def test_large_numbers_do_not_overflow():
    # Two of 4·10⁸ in a row on one unit of 10⁹, each taking 6·10⁸ of it.
    result = solved([4 * 10**8] * 2, [[6 * 10**8]] * 2, [10**9], [(0, 1, -(10**9))], horizon=10**9)
    assert (result.status, result.makespan) == (Status.OPTIMAL, 8 * 10**8)
