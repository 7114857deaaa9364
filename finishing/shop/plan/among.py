"""A batch that is only supposed, planned among all others as the first plan would be with it."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from finishing.plan.batches import Job, Placed, Schedule, packed
from finishing.plan.batches.serial import Placing, runs
from finishing.shop.plan import kept
from finishing.shop.plan.ask import Asked, Item, Supposed, with_batch
from finishing.shop.plan.make import made_at_once
from finishing.shop.shop import Shop


@dataclass(frozen=True, slots=True, eq=False)
class Among:
    """The plan of all, and of it the batch asked about: its items, one for each part, and where their tasks stand."""

    asked: Asked
    schedule: Schedule
    items: tuple[Item, ...]
    rows: tuple[tuple[Placed, ...], ...]

    @property
    def dated(self) -> bool:
        """Whether it can be given a date at all."""
        return all(item.job.dated for item in self.items)

    @property
    def whole(self) -> bool:
        """Whether all of it has a place in the plan, and a date."""
        placed = all(len(row) == len(item.job.tasks) for item, row in zip(self.items, self.rows, strict=True))
        return placed and self.dated

    @property
    def parts_fit(self) -> str:
        """What it is planned in parts to fit; "" where it isn't."""
        split = next((s for s in self.asked.splits if s.code == self.items[0].whole), None)
        if split is None:
            return ""
        return " and ".join([*(["your hours"] if split.minutes else []), *(["the rack"] if split.room else [])])

    def latest(self, by: float) -> float | None:
        """The latest start of its first work that makes a date, the others where they are; None if none does."""
        if not all(item.job.tasks for item in self.items):
            return None
        grid = self.asked.problem.grid
        jobs = [item.job for item in self.items]
        bits = runs(grid.worked, jobs[0].tasks[0].slots)
        last = grid.down(by)
        starts = np.array([s for s in range(max(last, 0)) if bits >> s & 1], np.int64)
        low, high, best = 0, len(starts) - 1, None
        while low <= high:
            middle = (low + high) // 2
            rows = self._placed(int(starts[middle]))
            ready = [packed(job, row) for job, row in zip(jobs, rows, strict=True)]
            if all(when is not None and when <= last for when in ready):
                best, low = min(row[0].start for row in rows), middle + 1
            else:
                high = middle - 1
        return None if best is None else grid.hour(best)

    def _placed(self, not_before: int) -> list[tuple[Placed, ...]]:
        """Where it fits beside the others where they are, begun no sooner than a slot."""
        own = {item.job.code for item in self.items}
        jobs = tuple(_begun(job, not_before) if job.code in own else job for job in self.asked.problem.jobs)
        mine = [j for j, job in enumerate(jobs) if job.code in own]
        others = [j for j in range(len(jobs)) if j not in mine]
        busy = {(j, t): p.start for j in others for t, p in enumerate(self.schedule.placed[j])}
        placing = Placing(replace(self.asked.problem, jobs=jobs), busy)
        for j in others:
            while placing.next_task(j) is not None and placing.place(j):
                pass
        # Parts go on side by side: whichever may begin soonest is next.
        open_ = set(mine)
        while open_ := {j for j in open_ if placing.next_task(j) is not None}:
            j = min(open_, key=lambda j: (placing.ready(j), j))
            if not placing.place(j):
                open_.discard(j)
        return [tuple(placing.placed[j]) for j in mine]


def _begun(job: Job, not_before: int) -> Job:
    first, *rest = job.tasks
    return replace(job, tasks=(replace(first, earliest=max(first.earliest, not_before)), *rest))


def among(shop: Shop, asked: Asked, supposed: Supposed, known: kept.Kept | None) -> Among:
    """Plan it with all that is asked about. known: the plan that is kept."""
    whole = with_batch(shop, asked, supposed)
    schedule = made_at_once(whole, known)
    placed = {job.code: row for job, row in zip(whole.problem.jobs, schedule.placed, strict=True)}
    items = tuple(item for item in whole.items.values() if item.whole == supposed.batch.code)
    return Among(whole, schedule, items, tuple(placed.get(item.job.code, ()) for item in items))
