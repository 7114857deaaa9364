"""Projects of 10 and 20 activities with maximum lags and scarce resources: proved either way within seconds."""

from __future__ import annotations

import pytest

from finishing.plan import Limits, Status, solve, violations

from .networks import Shape, ample_horizon, network

SHAPES = [
    Shape(10, 5, tight=0.0, cycles=3, slack=0.3),
    Shape(10, 5, tight=0.2, cycles=3, slack=0.6),
    Shape(20, 3, tight=0.15, cycles=6, slack=0.6),
    Shape(20, 5, tight=0.3, cycles=6, slack=1.0),
]


@pytest.mark.parametrize(
    "shape", SHAPES, ids=lambda s: f"{s.activities} activities, {s.resources} resources, {s.tight}"
)
def test_each_is_proved(shape):
    statuses = set()
    for seed in range(3):
        project = network(shape, 1000 * shape.activities + seed)
        horizon = ample_horizon(project)
        result = solve(project, horizon=horizon, limits=Limits(30))
        assert result.status in (Status.OPTIMAL, Status.INFEASIBLE), seed
        if result.starts is not None:
            assert violations(project, result.starts, horizon) == []
        statuses.add(result.status)
    assert Status.OPTIMAL in statuses


def test_source_and_sink_may_be_left_in():
    """The sink starts at the makespan or later lags push it; the source may start at 0."""
    project = network(SHAPES[1], 10_002)
    result = solve(project, horizon=ample_horizon(project), limits=Limits(30))
    assert result.starts is not None
    assert result.makespan == result.starts[-1]
