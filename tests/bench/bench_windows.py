"""How long the windows of many open batches take, against the least that could tell them.

Ours: from 90 days of readings every ten minutes, the running integrals (`PlaceAir.clock`) and the recoat windows of
2,000 open batches (`recoat_windows`, opening and shutting), nothing kept from before. First line: all of one finish;
second: spread over six finishes with laws of their own.

The floor, over the same arrays in the same run: for each finish one numpy cumulative sum over the readings' 12,960
points, and one searchsorted for each hour a window rests on: where the coat was put on, where it opens, where it shuts.
It knows no rate law (ours takes an exponential or two at each point and at each middle), no stops, no interpolation
inside a piece and no tail. The bare floor, given second, searches once instead of three times.

Each time is the least of many turns, ours and the floor's turn about, so that a busy machine slows both.
Run it by itself: python tests/bench/bench_windows.py
"""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from functools import partial
from time import perf_counter

import numpy as np
import numpy.typing as npt

from finishing.cure.climate import PlaceAir
from finishing.cure.finish import Atmosphere, Care, ClockLaw, Film, Finish, Limits, RecoatLimit, StageTime
from finishing.cure.integral import Series
from finishing.cure.terms import ClockName, Evidence, Family, FilmLaw, HumidityLaw, Mechanism, Stage
from finishing.cure.windows import recoat_windows

Array = npt.NDArray[np.float64]

BATCHES, DAYS, MINUTES = 2000, 90, 10
TURNS = 60
TARGET = 3.0
MADE_UP = (Evidence.ESTIMATE, "made up for the measurement")


def finish(ea: float, humidity: HumidityLaw, minimum_c: float) -> Finish:
    """A finish with one law for both its clocks."""
    law = ClockLaw(ea, humidity, *MADE_UP)
    return Finish(
        name=f"{ea:g}-{humidity}",
        title="",
        family=Family.BRUSHING_VARNISH,
        mechanism=Mechanism.OXIDATION,
        reference=Atmosphere(21.0, 50.0),
        clocks=dict.fromkeys(ClockName, law),
        stages={Stage.DRY_TO_RECOAT: StageTime(6, 12, 24, ClockName.CURE, *MADE_UP)},
        film=Film(9.0, 12.0, 45.0, FilmLaw.DIFFUSION, *MADE_UP),
        limits=Limits(minimum_c, *MADE_UP),
        spread=0.5,
        repeat=0.25,
        protection=3,
        upkeep=3,
        care=Care(""),
        summary="",
        recoat_limit=RecoatLimit(12, 24, 48, ClockName.CURE, 240, "", *MADE_UP),
    )


NONE, SLOWS, LEAVES = HumidityLaw.NONE, HumidityLaw.SLOWS_OXIDATION, HumidityLaw.WATER_LEAVES
ONE = [finish(50.0, SLOWS, 5.0)]
SIX = [
    *ONE,
    finish(66.0, SLOWS, 10.0),
    finish(40.0, NONE, 5.0),
    finish(44.0, LEAVES, 10.0),
    finish(50.0, NONE, 10.0),
    finish(60.0, NONE, 10.0),
]


def readings() -> Series:
    """A shop that is warm by day and drops to about its finishes' minimum at night, with a logger's noise."""
    hours = 490_000 + np.arange(DAYS * 24 * 60 // MINUTES) * MINUTES / 60
    random = np.random.default_rng(5)
    t = 13 + 6 * np.sin(2 * np.pi * (hours - 9) / 24) + random.normal(0, 0.1, len(hours))
    # One table cut into columns, as it comes from a store.
    table = np.array([hours, t, 55 - 1.5 * (t - 13)]).T.tolist()
    return Series(*np.array(table).T.copy())


def shared(finishes: list[Finish], air: Series) -> list[tuple[Finish, Array]]:
    """Each finish with the hours at which its share of the batches was coated, in the order of the record."""
    random = np.random.default_rng(6)
    at = np.sort(random.uniform(air.hours[0], air.hours[-1], BATCHES))
    return [(f, at[n :: len(finishes)]) for n, f in enumerate(finishes)]


def ours(air: Series, work: list[tuple[Finish, Array]]) -> None:
    """The integrals from nothing, and every window."""
    place = PlaceAir(air)
    for each, at in work:
        recoat_windows(place, each, at, 1.0, sigma=0.56, level=0.8)


def floor(air: Series, work: list[tuple[Finish, Array]], searches: int) -> None:
    """For each finish a cumulative sum, and its batches looked up in it so many times."""
    for _, at in work:
        total = np.cumsum(air.temperature_c)
        wanted = total[0] + (at - air.hours[0]) * (total[-1] / (air.hours[-1] - air.hours[0]))
        for _ in range(searches):
            np.searchsorted(total, wanted)


def least(turns: int, *timed: Callable[[], None]) -> list[float]:
    """The least seconds of each, taken turn about."""
    best = [float("inf")] * len(timed)
    for _ in range(turns):
        for n, run in enumerate(timed):
            start = perf_counter()
            run()
            best[n] = min(best[n], perf_counter() - start)
    return best


def measure() -> list[dict[str, float | str]]:
    """One row for each line: what, ms, ms of both floors, and the ratios to them."""
    air = readings()
    rows: list[dict[str, float | str]] = []
    for what, finishes in (("one finish", ONE), ("six finishes", SIX)):
        work = shared(finishes, air)
        floors = (partial(floor, air, work, searches) for searches in (3, 1))
        mine, three, once = least(TURNS, partial(ours, air, work), *floors)
        rows.append(
            {
                "what": what,
                "ms": mine * 1e3,
                "floor_ms": three * 1e3,
                "ratio": mine / three,
                "bare_floor_ms": once * 1e3,
                "bare_ratio": mine / once,
                "target": TARGET,
            }
        )
    return rows


def main() -> None:
    """Print the ratios, or all figures as JSON with --json."""
    rows = measure()
    if "--json" in sys.argv:
        print(json.dumps(rows, indent=2))
        return
    for row in rows:
        print(
            f"{BATCHES:,} windows, {row['what']}: {row['ms']:.2f} ms; floor {row['floor_ms']:.2f} ms, ratio"
            f" {row['ratio']:.1f} (target {TARGET:g}); bare floor {row['bare_floor_ms']:.2f} ms, ratio"
            f" {row['bare_ratio']:.1f}"
        )


if __name__ == "__main__":
    main()
