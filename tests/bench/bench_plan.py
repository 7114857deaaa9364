"""How long a plan takes and how good it is: 12 batches of 28 coats, and 30 of 90, in the evenings of 42 days.

Told for each, lateness and sessions side by side: a batch at a time (what a maker does by hand: the one wanted first,
all its steps as soon as they can be, then the next), the first plan, the improved one, and what no plan can beat; the
seconds of work to lay out the problem (every curve looked up) and to the first plan, the least of several turns; and
the most memory the process took.

Run it by itself: python -m tests.bench.bench_plan [--seconds 20] [--turns 5]
"""

from __future__ import annotations

import argparse
import json
import random
import resource
from collections.abc import Callable
from time import monotonic, process_time

import numpy as np

from finishing.cure.climate import PlaceAir, Series
from finishing.plan import Limits
from finishing.plan.batches import News, Problem, Schedule, batch_at_a_time, first_plan, plan_batches
from tests.cure.factory import shellac, two_part, varnish, waterborne
from tests.plan.shops import DAY, Rig, coats, daily, of

NOW = 493_000.0
DAYS = 42
FINISHES = (varnish, waterborne, shellac, two_part)


def shop(batches: int, total_coats: int) -> Rig:
    """Batches of two to four coats, wanted two to six weeks on, in a room of 10 °C by night and 19 °C by day."""
    draw = random.Random(batches)
    numbers = [2 + n % 3 for n in range(batches)]
    while sum(numbers) != total_coats:
        numbers[draw.randrange(batches)] += 1 if sum(numbers) < total_coats else -1
    made = []
    for n, number in enumerate(numbers):
        finish = FINISHES[n % len(FINISHES)]()
        wanted = NOW + draw.randint(14, DAYS) * DAY
        made.append(
            of(f"B{n}", coats(f"s{n}", finish.name, number), finish, pieces=draw.randint(4, 14), wanted_by=wanted)
        )
    hours = np.arange(NOW - 48.0, NOW + (DAYS + 60) * DAY, 0.25)
    warmth = 14.5 - 4.5 * np.cos((hours - NOW) * 2 * np.pi / DAY)
    air = {"bench": PlaceAir(Series(hours, warmth, np.full(hours.shape, 50.0)))}
    return Rig(made, air, NOW, daily(NOW, DAYS, (18.0, 21.0)), NOW + DAYS * DAY)


def least(make: Callable[[], object], turns: int) -> float:
    """Seconds of work of the quickest turn."""
    best = float("inf")
    for _ in range(turns):
        begun = process_time()
        make()
        best = min(best, process_time() - begun)
    return best


def told(plan: Schedule) -> dict[str, int]:
    """A score by its parts."""
    return dict(plan.score._asdict())


def measure(batches: int, total_coats: int, seconds: float, turns: int) -> dict[str, object]:
    """One shop."""
    rig = shop(batches, total_coats)
    problem: Problem = rig.problem()
    first = first_plan(problem)
    worse: list[News] = []

    def heard(news: News) -> None:
        if news.schedule.rank > first.rank:
            worse.append(news)

    begun = monotonic()
    best = plan_batches(problem, Limits(seconds), heard=heard)
    took = monotonic() - begun
    return {
        "batches": batches,
        "tasks": problem.size,
        "coats": sum(task.coat is not None for job in problem.jobs for task in job.tasks),
        "lay_out_s": round(least(lambda: rig.problem(), turns), 3),
        "first_plan_s": round(least(lambda: first_plan(problem), turns), 3),
        "batch_at_a_time": told(batch_at_a_time(problem)),
        "first_plan": told(first),
        "improved": told(best.schedule),
        "no_plan_beats": dict(best.bound._asdict()),
        "proved": best.proved,
        "took_s": round(took, 1),
        "news_worse_than_first": len(worse),
        "wrong": rig.wrong(problem, best.schedule),
    }


def main() -> None:
    """Both shops, one line of JSON each, then the memory."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=float, default=20.0)
    parser.add_argument("--turns", type=int, default=5)
    options = parser.parse_args()
    for batches, number in ((12, 28), (30, 90)):
        print(json.dumps(measure(batches, number, options.seconds, options.turns)))
    print(json.dumps({"memory_mib": round(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024)}))


if __name__ == "__main__":
    main()
