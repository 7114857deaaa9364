"""When a batch would have to begin, or have begun, to make its date."""

from __future__ import annotations

from dataclasses import dataclass, replace

from finishing.clock import at_zone
from finishing.plan.batches import Curves, Problem, grid_over, packed
from finishing.plan.batches.serial import alone, runs
from finishing.shop.plan.ask import Asked, Item, item_of
from finishing.shop.shop import Shop

LOOK_BACK_DAYS = 60
"""No start further back is looked for."""


@dataclass(frozen=True, slots=True)
class Start:
    """The latest hour at which a batch, with the shop to itself, may begin and make its date.

    days: calendar days by which that is sooner than it begins in the plan; None if it finds no place there.
    """

    hour: float
    days: int | None


def latest_start(shop: Shop, asked: Asked, item: Item, planned: float | None) -> Start | None:
    """See `Start`; None if the batch has begun, has no date, or would not have made it in LOOK_BACK_DAYS.

    planned: the hour at which it begins in the plan. What has passed is taken with the hours of today's settings, and
    with the air that was read or, where none was, the place's usual day.
    """
    wanted = item.batch.wanted_by
    if wanted is None or item.fold.coats or item.fold.done or not item.job.dated or not item.job.tasks:
        return None
    now, settings, grid = asked.now, asked.settings, asked.problem.grid
    then = now - LOOK_BACK_DAYS * 24.0
    ahead = [(grid.hour(a), grid.hour(b)) for a, b in grid.stretches]
    passed = settings.working_hours().stretches(then, now, settings.zone)
    back = grid_over(then, grid.end, [*passed, *ahead])
    batch = replace(item.batch, place=item.job.place)
    air = shop.air_since(then, now)
    curves = Curves(back, settings.level)
    job = item_of(item.what, batch, [], air, item.fold.shop, then, curves, 1, None).job
    if not job.dated or not job.tasks:
        return None
    problem = Problem(back, (job,), asked.problem.makers, asked.problem.racks)
    bits, first = runs(back.worked, job.tasks[0].slots), job.tasks[0]
    starts = [s for s in range(max(back.down(wanted), 0)) if bits >> s & 1]
    low, high, best = 0, len(starts) - 1, None
    while low <= high:
        middle = (low + high) // 2
        tried = replace(job, tasks=(replace(first, earliest=starts[middle]), *job.tasks[1:]))
        placed = alone(problem, tried).placed[0]
        when = packed(tried, placed)
        if when is not None and back.hour(when) <= wanted + 1e-9:
            best, low = back.hour(placed[0].start), middle + 1
        else:
            high = middle - 1
    if best is None:
        return None
    days = None if planned is None else _days(best, planned, settings.zone)
    return Start(best, days)


def _days(before: float, after: float, zone: str) -> int:
    return (at_zone(after, zone).date() - at_zone(before, zone).date()).days
