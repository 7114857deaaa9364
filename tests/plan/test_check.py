"""The independent check, against schedules broken by hand in one way each."""

from __future__ import annotations

import pytest

from finishing.plan import project_of, violations

# Three activities of 2, 3 and 0; the first two hold 2 and 1 of a resource of 2, so they can't overlap.
# Activity 1 starts at least 2 and at most 5 after activity 0.
PROJECT = project_of([2, 3, 0], [[2], [1], [2]], [2], [(0, 1, 2), (1, 0, -5)])


@pytest.mark.parametrize("starts", [(0, 2, 0), (0, 5, 7), (1, 3, 3)])
def test_a_schedule_that_holds(starts):
    assert violations(PROJECT, starts, 8) == []


@pytest.mark.parametrize(
    ("starts", "horizon", "said"),
    [
        ((0, 2), 8, "2 starts for 3 activities"),
        ((-1, 2, 0), 8, "activity 0 starts at -1, before 0"),
        ((0, 4, 0), 6, "activity 1 ends at 7, after the horizon 6"),
        ((0, 6, 0), 9, "activity 1 starts 6 after activity 0, at most 5 allowed"),
        ((0, 2.5, 0), 8, "activity 1 starts at 2.5, which is not a whole time"),
    ],
)
def test_one_thing_broken_is_said(starts, horizon, said):
    assert violations(PROJECT, starts, horizon) == [said]


def test_a_minimum_lag_and_an_overfull_resource_are_both_said():
    assert violations(PROJECT, (0, 1, 0), 8) == [
        "activity 1 starts 1 after activity 0, at least 2 needed",
        "at 1 resource 0 is held 3 times, capacity 2 (activities 0, 1)",
    ]


def test_an_activity_of_no_duration_holds_nothing():
    # At 1, activity 0 holds both units; activity 2 would need two more, if it took any time.
    assert violations(PROJECT, (0, 2, 1), 8) == []


def test_an_activity_lets_go_at_its_end():
    project = project_of([2, 2], [[1], [1]], [1], [])
    assert violations(project, (0, 2), 4) == []
    assert violations(project, (0, 1), 4) == ["at 1 resource 0 is held 2 times, capacity 1 (activities 0, 1)"]
