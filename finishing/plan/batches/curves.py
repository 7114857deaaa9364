"""When a coat of each slot is ready: the true running integral, looked up once for all slots."""

from __future__ import annotations

import math

import numpy as np

from finishing.cure.climate import PlaceAir
from finishing.cure.coat import Coat
from finishing.cure.finish import Finish
from finishing.cure.rates import RateLaw
from finishing.cure.spread import z
from finishing.cure.terms import ClockName, Stage
from finishing.plan.batches.grid import Grid, Hours, Slots


class Curves:
    """Looks up every curve of one grid once. level: the certainty at which a stage counts as reached."""

    def __init__(self, grid: Grid, level: float) -> None:
        self.grid, self.level = grid, level
        self._totals: dict[tuple[int, RateLaw], Hours] = {}
        self._found: dict[tuple[object, ...], Slots] = {}
        self._airs: list[PlaceAir] = []  # kept, so that no other takes over the identity of one looked up

    def ready(self, air: PlaceAir, coat: Coat, stage: Stage) -> Slots | None:
        """First slot at which a coat that ends at each slot has a stage; None if it never has it.

        coat: any of the same step; only its finish and what slows it are read.
        """
        time = coat.finish.stages.get(stage)
        if time is None or coat.undated:
            return None
        hours = time.typical * coat.factors.on(coat.finish, stage)
        stretch = math.exp(coat.factors.sigma(coat.finish, stage) * z(self.level))
        return self._curve(air, coat.finish, time.clock, hours * stretch, up=True)

    def shut(self, air: PlaceAir, coat: Coat) -> Slots | None:
        """Last slot at which the recoat window of a coat begun at each slot is still open; None: it never shuts."""
        limit = coat.finish.recoat_limit
        if limit is None or coat.undated:
            return None
        hours = limit.typical * coat.factors.on(coat.finish, Stage.DRY_TO_RECOAT)
        return self._curve(air, coat.finish, limit.clock, hours, up=False)

    def _curve(self, air: PlaceAir, finish: Finish, clock: ClockName, hours: float, *, up: bool) -> Slots:
        law = RateLaw.of(finish, clock)
        key = (id(air), law, hours, up)
        if key not in self._found:
            integral = air.clock(law)
            reached = np.maximum(integral.when(self._total(air, law) + hours), self.grid.hours)
            self._found[key] = self.grid.up_all(reached) if up else self.grid.down_all(reached)
        return self._found[key]

    def _total(self, air: PlaceAir, law: RateLaw) -> Hours:
        key = (id(air), law)
        if key not in self._totals:
            self._airs.append(air)
            self._totals[key] = air.clock(law).at(self.grid.hours)
        return self._totals[key]
