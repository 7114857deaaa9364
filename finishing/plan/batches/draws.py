"""How fast each coat hardens, drawn many times over: when it has a stage, in every run at once.

Coats of one finish share how fast it hardens in this shop; how one coat differs from the next is its own. Each draw
depends on its finish or coat alone, so that a batch more or less changes no other's.
"""

from __future__ import annotations

import math
import zlib
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
import numpy.typing as npt

from finishing.cure.coat import Coat, spread_of
from finishing.cure.spread import together
from finishing.cure.terms import Stage
from finishing.cure.track import Track
from finishing.plan.batches.grid import Hours

Runs = npt.NDArray[np.intp]
"""Numbers of some runs."""

TIMES = 400
SEED = 1

_NORMAL = NormalDist()


@dataclass(frozen=True, slots=True, eq=False)
class Standing:
    """What is known of a job besides its work: where it stands, the coats on it already, the hour it is wanted by."""

    track: Track
    coats: Sequence[Coat] = ()
    wanted: float | None = None


class Draws:
    """Draws for the coats of one job. shared: standard deviations by finish, the same for all jobs of a shop."""

    def __init__(self, code: str, standing: Standing, shared: dict[str, Hours]) -> None:
        self.code, self.standing, self.shared = code, standing, shared
        self._slow: dict[int, Hours] = {}
        self._equivalent: dict[tuple[int, Stage], Hours | None] = {}
        self._recorded: dict[tuple[int, Stage], Hours] = {}

    def slow(self, coat: Coat) -> Hours:
        """Standard deviations by which a coat is slower than its median, in every run."""
        if id(coat) not in self._slow:
            name = coat.finish.name
            if name not in self.shared:
                self.shared[name] = _drawn(f"finish {name}")
            shop = coat.finish.spread if coat.factors.shop.ln_sd is None else coat.factors.shop.ln_sd
            own = together(coat.finish.repeat, coat.factors.species.spread)
            total = together(shop, own)
            mixed = shop * self.shared[name] + own * _drawn(f"coat {self.code} {coat.step}")
            self._slow[id(coat)] = mixed / total if total > 0 else np.zeros(TIMES)
        return self._slow[id(coat)]

    def reached(self, coat: Coat, stage: Stage, at: Hours | float, runs: Runs | slice = slice(None)) -> Hours:
        """When a coat put on at these hours has a stage, in these runs [hour]; inf for never.

        at: read for coats to come alone, which stay where the batch is now.
        """
        if not coat.expected:
            return self.recorded(coat, stage)[runs]
        equivalent = self._equivalents(coat, stage)
        hours = np.asarray(at, dtype=float)
        if equivalent is None:
            return np.full(hours.shape, math.inf)
        air = self.standing.track.place_at(math.inf)
        begun = np.where(np.isfinite(hours), hours, 0.0)
        integral = air.of(coat.finish, coat.finish.stages[stage].clock)
        return np.where(np.isfinite(hours), integral.reached(begun, equivalent[runs]), math.inf)

    def recorded(self, coat: Coat, stage: Stage) -> Hours:
        """When a coat on record has a stage, in every run, given its touch tests."""
        key = id(coat), stage
        if key not in self._recorded:
            equivalent = self._equivalents(coat, stage)
            if equivalent is None:
                hours = np.full(TIMES, math.inf)
            else:
                clock = coat.finish.stages[stage].clock
                hours = self.standing.track.reached(coat.finish, clock, coat.at, equivalent)
            time = coat.stages.get(stage)
            self._recorded[key] = hours if time is None or time.seen is None else np.minimum(hours, time.seen)
        return self._recorded[key]

    def _equivalents(self, coat: Coat, stage: Stage) -> Hours | None:
        """Equivalent hours that a stage takes, in every run; None: it never comes."""
        key = id(coat), stage
        if key not in self._equivalent:
            spread = spread_of(coat, stage, self.standing.track)
            if spread is None:
                self._equivalent[key] = None
            elif spread.after > 0.0:
                levels = [min(max(_NORMAL.cdf(z), 1e-9), 1 - 1e-9) for z in self.slow(coat)]
                self._equivalent[key] = np.array([spread.at(level) for level in levels])
            else:
                self._equivalent[key] = spread.median * np.exp(spread.sigma * self.slow(coat))
        return self._equivalent[key]


def _drawn(name: str) -> Hours:
    return np.random.default_rng([SEED, zlib.crc32(name.encode())]).standard_normal(TIMES)
