"""How long it takes to learn everything anew: 20 finishes with 500 touch tests each, nothing kept from before.

Ours: from observations to what every window needs, 20 factors with their spreads (`learn`, `Learned.factors`): each
finish alone by quadrature, then with what the others of its mechanism say. A third of the coats lie on slow woods,
whose own factor is integrated out.

The floor, over the same 10,000 tests in the same run: what a normal mean of the intervals' middles takes, as if none
were open: one numpy expression for a precision-weighted mean and spread by finish. It knows no interval, no prior in
common, no second factor and no stray.

Each time is the least of many turns, ours and the floor's turn about.
Run it by itself: python tests/bench/bench_learn.py
"""

from __future__ import annotations

import json
import math
import sys
from collections.abc import Callable
from time import perf_counter

import numpy as np

from finishing.cure.learn import Observation, learn
from finishing.cure.terms import Extractives, Mechanism

FINISHES, TESTS = 20, 500
TURNS = 25
TARGET_MS = 50.0
MECHANISMS = (Mechanism.OXIDATION, Mechanism.EVAPORATION, Mechanism.COALESCENCE, Mechanism.TWO_PART)


def tests() -> list[Observation]:
    """Looks on a coarse round, as a maker makes them: most coats are bracketed, some only found dry or only tacky."""
    random = np.random.default_rng(11)
    seen = []
    for f in range(FINISHES):
        theta = random.normal(0.2, 0.3)
        for n in range(TESTS):
            slow = n % 3 == 0
            time = math.exp(theta + random.normal(0.0, 0.25) + (0.2 if slow else 0.0))
            looks = np.sort(random.uniform(0.2, 3.0, 3))
            low = float(max(looks[looks < time], default=0.0))
            high = float(min(looks[looks >= time], default=math.inf))
            woods = Extractives.MODERATE if slow else Extractives.NONE
            seen.append(
                Observation(
                    f"finish {f}", MECHANISMS[f % 4], 0.5, 0.25, woods, 0.35 if slow else 0.1, 0.0, low, high,
                    490_000.0 - float(random.uniform(0, 400 * 24)), f"B{n}", 1, f * TESTS + n, (f * TESTS + n,),
                )
            )  # fmt: skip
    return seen


def ours(seen: list[Observation]) -> float:
    """Everything, from nothing."""
    found = learn(seen, 490_000.0)
    return sum(found.lessons(name).shop_factor().ln_mean for name in found.tested)


def floor(seen: list[Observation]) -> float:
    """A weighted mean and spread of logarithms by finish."""
    names = np.array([int(o.finish[7:]) for o in seen])
    logs = np.array([o.logs for o in seen])
    middles = np.where(np.isfinite(logs).all(axis=1), logs.mean(axis=1), 0.0)
    weights = 0.5 ** ((490_000.0 - np.array([o.at for o in seen])) / 4320.0)
    whole = np.bincount(names, weights)
    means = np.bincount(names, weights * middles) / whole
    spread = np.sqrt(np.bincount(names, weights * (middles - means[names]) ** 2) / whole)
    return float(means.sum() + spread.sum())


def least(turns: int, *timed: Callable[[], object]) -> list[float]:
    """The least seconds of each, taken turn about."""
    best = [float("inf")] * len(timed)
    for _ in range(turns):
        for n, run in enumerate(timed):
            start = perf_counter()
            run()
            best[n] = min(best[n], perf_counter() - start)
    return best


def main() -> None:
    """Print the ratio, or all figures as JSON with --json."""
    seen = tests()
    mine, theirs = least(TURNS, lambda: ours(seen), lambda: floor(seen))
    row = {
        "tests": len(seen),
        "ms": mine * 1e3,
        "floor_ms": theirs * 1e3,
        "ratio": mine / theirs,
        "target_ms": TARGET_MS,
    }
    if "--json" in sys.argv:
        print(json.dumps(row, indent=2))
        return
    print(
        f"{len(seen):,} tests of {FINISHES} finishes learned in {row['ms']:.1f} ms (target {TARGET_MS:g});"
        f" floor {row['floor_ms']:.1f} ms, ratio {row['ratio']:.1f}"
    )


if __name__ == "__main__":
    main()
