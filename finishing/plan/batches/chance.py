"""How likely a batch makes its date: its plan played many times over, every coat hardening at its own pace.

A coat that is not ready when its next step is planned waits for the next time there are hands; what the delay does
to other batches is left out, and so is how far the air strays from what is expected.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np

from finishing.cure.coat import Coat, spread_of
from finishing.cure.finish import Finish
from finishing.cure.spread import together
from finishing.cure.terms import Stage
from finishing.cure.track import Track
from finishing.plan.batches.grid import Grid, Hours
from finishing.plan.batches.problem import Job, Task
from finishing.plan.batches.score import Placed
from finishing.plan.batches.serial import runs

TIMES = 400
SEED = 1

_NORMAL = NormalDist()


def chance(
    job: Job, placed: Sequence[Placed], grid: Grid, track: Track, coats: Sequence[Coat], wanted: float
) -> float | None:
    """The chance that a job is packed by an hour; None if it is not all placed or can be given no date.

    track: where the batch stands. coats: those on it already.
    """
    if len(placed) < len(job.tasks) or not job.dated:
        return None
    packed = _Many(job, grid, track).run(placed, coats)
    return float(np.mean(packed <= wanted + 1e-9))


@dataclass
class _Laid:
    """A coat in every run: when it went on, how many standard deviations slow it is, and what is known of it."""

    coat: Coat
    at: Hours
    slow: Hours


class _Many:
    """All runs at once, each number an array over them."""

    def __init__(self, job: Job, grid: Grid, track: Track) -> None:
        self.job, self.grid, self.track = job, grid, track
        self.draw = np.random.default_rng(SEED)
        self.shared: dict[str, Hours] = {}
        self.on_record: dict[int, _Laid] = {}

    def run(self, placed: Sequence[Placed], coats: Sequence[Coat]) -> Hours:
        """When the batch may be packed, in every run."""
        done: list[Hours] = []
        laid: dict[int, _Laid] = {}
        for t, (task, where) in enumerate(zip(self.job.tasks, placed, strict=False)):
            ready = np.full(TIMES, self.grid.hour(where.start))
            for coat, stage in task.since:
                ready = np.maximum(ready, self._reached(self._recorded(coat), stage))
            for gate in task.gates:
                if gate.stage is not None:
                    ready = np.maximum(ready, self._reached(laid[gate.task], gate.stage))
            if done:
                ready = np.maximum(ready, done[-1] + task.gap / self.grid.per_hour)
            begins = self._hands(task, where, ready)
            done.append(begins + task.works(where.reopened) / 60.0)
            if task.coat is not None:
                laid[t] = _Laid(task.coat, done[-1], self._slow(task.coat))
        packed = done[-1] if done else np.zeros(TIMES)
        for each in [*laid.values(), *(self._recorded(coat) for coat in coats)]:
            if Stage.STACKABLE in each.coat.finish.stages:
                packed = np.maximum(packed, self._reached(each, Stage.STACKABLE))
        return packed

    def _hands(self, task: Task, where: Placed, ready: Hours) -> Hours:
        """As planned where it is ready by then, else the next slot that leaves time for it within the hours."""
        planned = self.grid.hour(where.start)
        bits = runs(self.grid.worked, task.takes(where.reopened))
        starts = np.array([s for s in range(self.grid.slots) if bits >> s & 1], np.int64)
        late = self.grid.up_all(ready)
        found = np.searchsorted(starts, late)
        after = np.where(found < len(starts), self.grid.origin + starts[np.minimum(found, len(starts) - 1)] /
                         self.grid.per_hour, math.inf) if len(starts) else np.full(TIMES, math.inf)  # fmt: skip
        return np.where(ready <= planned + 1e-9, planned, after)

    def _recorded(self, coat: Coat) -> _Laid:
        if id(coat) not in self.on_record:
            self.on_record[id(coat)] = _Laid(coat, np.full(TIMES, coat.at), self._slow(coat))
        return self.on_record[id(coat)]

    def _slow(self, coat: Coat) -> Hours:
        """Standard deviations by which a coat is slower than its median: of the shop, one for all coats of a finish,
        and of the coat itself."""
        name = coat.finish.name
        if name not in self.shared:
            self.shared[name] = self.draw.standard_normal(TIMES)
        shop = coat.finish.spread if coat.factors.shop.ln_sd is None else coat.factors.shop.ln_sd
        own = together(coat.finish.repeat, coat.factors.species.spread)
        total = together(shop, own)
        mixed = shop * self.shared[name] + own * self.draw.standard_normal(TIMES)
        return mixed / total if total > 0 else np.zeros(TIMES)

    def _reached(self, laid: _Laid, stage: Stage) -> Hours:
        """When a coat has a stage, in every run; inf for never."""
        coat, finish = laid.coat, laid.coat.finish
        spread = spread_of(coat, stage, self.track)
        if spread is None:
            return np.full(TIMES, math.inf)
        if spread.after > 0.0:
            levels = [min(max(_NORMAL.cdf(z), 1e-9), 1 - 1e-9) for z in laid.slow]
            equivalent = np.array([spread.at(level) for level in levels])
        else:
            equivalent = spread.median * np.exp(spread.sigma * laid.slow)
        if coat.expected:
            hours = self._from(finish, stage, laid.at, equivalent)
        else:
            hours = self.track.reached(finish, finish.stages[stage].clock, coat.at, equivalent)
        time = coat.stages.get(stage)
        return hours if time is None or time.seen is None else np.minimum(hours, time.seen)

    def _from(self, finish: Finish, stage: Stage, at: Hours, equivalent: Hours) -> Hours:
        """Ready hours of a coat to come, which stays where the batch is now."""
        air = self.track.place_at(math.inf)
        finite = np.where(np.isfinite(at), at, self.grid.end)
        hours = np.asarray(air.of(finish, finish.stages[stage].clock).reached(finite, equivalent))
        return np.where(np.isfinite(at), hours, math.inf)
