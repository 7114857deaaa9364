"""What is kept of planning: the plan the maker goes by, and the steps pinned to a time.

Both stand among the settings, as they say what the maker wants, not what happened; the record is left alone.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from finishing.plan.batches import Problem, Schedule, Task
from finishing.plan.batches.serial import Key
from finishing.shop.plan.pins import PINS, put_pins
from finishing.shop.shop import Shop
from finishing.store import settings as stored

PLAN = "plan_kept"

Pins = Mapping[str, Mapping[int, float]]
"""By batch and position of the step: the hour at which it is to begin."""

Changes = Mapping[tuple[str, int], float | None]
"""The same for some steps alone, None to let go."""


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
    pin_all(shop, {(code, position): hour}, now)


def pin_all(shop: Shop, changes: Changes, now: float, parts: Mapping[str, int] | None = None) -> None:
    """Pin and let go of several steps at once. On disk when this returns.

    parts: pieces of the parts that are planned and not yet split off; pins of any others are dropped.
    """
    parts = parts or {}
    known = changed(pins(shop), changes)
    codes = {code for code, _ in changes} | set(shop.rack(now).standings) | set(parts)
    open_ = {c: r for c, r in known.items() if c in codes}
    with shop.store.write() as w:
        put_pins(w, open_, {c: n for c, n in parts.items() if c in open_}, now)
        w.commit()
    shop.forget()


def changed(known: Pins, changes: Changes) -> Pins:
    """Pins with some put and some (None) let go of."""
    rows = {code: dict(row) for code, row in known.items()}
    for (code, position), hour in changes.items():
        row = rows.setdefault(code, {})
        if hour is None:
            row.pop(position, None)
        else:
            row[position] = hour
    return {code: row for code, row in rows.items() if row}


def plan(shop: Shop) -> Kept | None:
    """The plan the maker goes by, if there is one."""
    found = _read(shop, PLAN)
    return Kept(float(found["made_at"]), found["begins"]) if found else None


def as_kept(problem: Problem, schedule: Schedule, made_at: float) -> Kept:
    """A plan as one to go on from."""
    begins = {
        job.code: {name(task): problem.grid.hour(p.start) for task, p in zip(job.tasks, placed, strict=False)}
        for job, placed in zip(problem.jobs, schedule.placed, strict=True)
    }
    return Kept(made_at, begins)


def keep(shop: Shop, problem: Problem, schedule: Schedule, now: float) -> None:
    """Go by a plan from now on. On disk when this returns."""
    _write(shop, PLAN, {"made_at": now, "begins": dict(as_kept(problem, schedule, now).begins)}, now)


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
