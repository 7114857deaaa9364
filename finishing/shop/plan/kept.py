"""What is kept of planning: the plan the maker goes by, and the steps pinned to a time.

Both stand among the settings, as they say what the maker wants, not what happened; the record is left alone.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from finishing.plan.batches import Problem, Schedule, Task
from finishing.plan.batches.serial import Key
from finishing.shop.shop import Shop
from finishing.store import settings as stored

PINS, PLAN = "plan_pins", "plan_kept"

Pins = Mapping[str, Mapping[int, float]]
"""By batch and position of the step: the hour at which it is to begin."""


@dataclass(frozen=True, slots=True)
class Kept:
    """A plan the maker goes by: when it was made, and when each task begins, by batch and `name` of the task."""

    made_at: float
    begins: Mapping[str, Mapping[str, float]] = field(default_factory=dict)


def name(task: Task) -> str:
    """A task's name within its batch: its steps, and which part."""
    return f"{'-'.join(map(str, task.steps))}{f'.{task.part[0]}' if task.part else ''}"


def pins(shop: Shop) -> Pins:
    """Every pin there is."""
    found = _read(shop, PINS)
    return {code: {int(step): float(hour) for step, hour in row.items()} for code, row in found.items()}


def pin(shop: Shop, code: str, position: int, hour: float | None, now: float) -> None:
    """Pin a step to an hour, or let go of it (None). On disk when this returns."""
    known = {c: dict(row) for c, row in pins(shop).items()}
    row = known.setdefault(code, {})
    if hour is None:
        row.pop(position, None)
    else:
        row[position] = hour
    open_ = {c: r for c, r in known.items() if r and (c == code or c in shop.rack(now).standings)}
    _write(shop, PINS, {c: {str(p): h for p, h in r.items()} for c, r in open_.items()}, now)


def plan(shop: Shop) -> Kept | None:
    """The plan the maker goes by, if there is one."""
    found = _read(shop, PLAN)
    return Kept(float(found["made_at"]), found["begins"]) if found else None


def keep(shop: Shop, problem: Problem, schedule: Schedule, now: float) -> None:
    """Go by a plan from now on. On disk when this returns."""
    begins = {
        job.code: {name(task): problem.grid.hour(p.start) for task, p in zip(job.tasks, placed, strict=False)}
        for job, placed in zip(problem.jobs, schedule.placed, strict=True)
    }
    _write(shop, PLAN, {"made_at": now, "begins": begins}, now)


def forget(shop: Shop) -> None:
    """Go by no plan."""
    with shop.store.write() as w:
        stored.forget(w, PLAN)
        w.commit()
    shop.forget()


def starts(problem: Problem, known: Kept | None) -> dict[Key, int]:
    """Where tasks stand in a kept plan, those still ahead; what is on no grid slot any more is left out."""
    if known is None:
        return {}
    found: dict[Key, int] = {}
    for j, job in enumerate(problem.jobs):
        row = known.begins.get(job.code, {})
        for t, task in enumerate(job.tasks):
            hour = row.get(name(task))
            if hour is not None and (slot := problem.grid.up(hour)) >= task.earliest and hour >= problem.grid.origin:
                found[j, t] = slot
    return found


def _read(shop: Shop, key: str) -> dict[str, Any]:
    with shop.store.read() as r:
        found = stored.all_settings(r).get(key)
    return found if isinstance(found, dict) else {}


def _write(shop: Shop, key: str, value: dict[str, Any], now: float) -> None:
    with shop.store.write() as w:
        stored.put(w, key, value, now)
        w.commit()
    shop.forget()
