"""Projects with maximum time lags, of 10 and 20 activities: how many are proved, optimal or infeasible, and how soon.

Our own networks in the style of the literature's: acyclic arcs, maximum lags that close cycles, renewable resources
from scarce to ample; no published set is read. Run it by itself: python -m tests.plan.campaign_lags [--runs 100]
"""

from __future__ import annotations

import argparse
import statistics
import sys
import time

from finishing.plan import Limits, Status, solve, violations

from .networks import Shape, ample_horizon, network

SHAPES = {
    10: [Shape(10, 5, tight, cycles=3, slack=slack) for tight in (0.0, 0.25, 0.5) for slack in (0.3, 0.6, 1.0)],
    20: [Shape(20, 5, tight, cycles=6, slack=slack) for tight in (0.1, 0.25, 0.5) for slack in (0.3, 0.6, 1.0)],
}
"""By number of activities: resources scarce to ample, maximum lags tight to loose."""

SEED = 70_000


def say(line: str) -> None:
    """Print a line at once."""
    sys.stdout.write(f"{line}\n")
    sys.stdout.flush()


def measure(activities: int, runs: int, seconds: float) -> str:
    """One row of the table."""
    shapes = SHAPES[activities]
    counts = dict.fromkeys(Status, 0)
    took = []
    for n in range(runs):
        project = network(shapes[n % len(shapes)], SEED + n)
        horizon = ample_horizon(project)
        begun = time.perf_counter()
        result = solve(project, horizon=horizon, limits=Limits(seconds))
        took.append(time.perf_counter() - begun)
        counts[result.status] += 1
        assert result.starts is None or violations(project, result.starts, horizon) == []
    open_ = counts[Status.FEASIBLE] + counts[Status.UNKNOWN]
    times = f"{statistics.median(took):.2f} s, {sorted(took)[int(0.9 * (runs - 1))]:.2f} s, {max(took):.2f} s"
    return f"| {activities} | {runs} | {counts[Status.OPTIMAL]} | {counts[Status.INFEASIBLE]} | {open_} | {times} |"


def main() -> None:
    """Both sizes, a row of a table each."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--runs", type=int, default=100)
    parser.add_argument("--seconds", type=float, default=30.0)
    options = parser.parse_args()
    say("| activities | projects | optimal | infeasible | open | median, ninth of ten, longest |")
    say("|---|---|---|---|---|---|")
    for activities in SHAPES:
        say(measure(activities, options.runs, options.seconds))


if __name__ == "__main__":
    main()
