"""Rack room in the model of batches: each coat keeps its place until it may be handled, or until the next is put on."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from ortools.sat.python import cp_model

from finishing.plan.batches.problem import Problem
from finishing.plan.batches.score import ends

if TYPE_CHECKING:
    from finishing.plan.solver.batch_model import Builder


def add_racks(builder: Builder) -> None:
    """One cumulative for each rack that could ever be full."""
    for place, room in builder.problem.racks.items():
        lying = _lying_now(builder.problem, place)
        pieces = {j: job.pieces for j, job in enumerate(builder.problem.jobs) if job.place == place}
        rest = sum(t.pieces for t in builder.problem.taken if t.place == place)
        if sum(pieces.values()) + rest <= room:
            continue
        rows: list[tuple[cp_model.IntervalVar, int]] = []
        for taken in builder.problem.taken:
            if taken.place == place and taken.until > 0:
                rows.append((_fixed(builder, 0, taken.until), taken.pieces))
        for j, count in pieces.items():
            rows += [(interval, count) for interval in _of_job(builder, j)]
        if rows:
            intervals, demands = zip(*rows, strict=True)
            builder.model.add_cumulative(list(intervals), list(demands), max(room, lying))


def _lying_now(problem: Problem, place: str) -> int:
    rows = [(t.place, t.pieces, t.until) for t in problem.taken]
    rows += [(job.place, job.pieces, job.on_rack_until) for job in problem.jobs]
    return sum(pieces for where, pieces, until in rows if where == place and until > 0)


def _fixed(builder: Builder, first: int, last: int) -> cp_model.IntervalVar:
    last = min(last, builder.grid.slots + 1)
    return builder.model.new_fixed_size_interval_var(first, max(last - first, 0), "")


def _of_job(builder: Builder, j: int) -> list[cp_model.IntervalVar]:
    """The stretches in which a batch lies on its rack: from what is on it now, and from each coat to come."""
    job = builder.problem.jobs[j]
    size = builder.grid.slots + 1
    if j in builder.frozen:
        placed = builder.first.placed[j]
        over = ends(job, placed)
        until, found = job.on_rack_until, [_fixed(builder, 0, job.on_rack_until)]
        for task, where, end in zip(job.tasks, placed, over, strict=False):
            if task.handled is not None:
                first, last = max(where.start, until), int(task.handled[end])
                found.append(_fixed(builder, first, max(last, first)))
                until = max(until, last)
        return found
    rows = [t for t, task in enumerate(job.tasks) if task.handled is not None]
    starts = {t: _element(builder, builder.built.spots[j, t].start, builder.slots, f"on_{j}_{t}") for t in rows}
    found = []
    if job.on_rack_until:
        found.append(_until(builder, 0, min(job.on_rack_until, size), starts[rows[0]] if rows else None))
    for n, t in enumerate(rows):
        task, spot = job.tasks[t], builder.built.spots[j, t]
        assert task.handled is not None
        handled_at = np.minimum(task.handled[builder.slots + 1], size)
        handled = _element(builder, spot.last_var, np.roll(handled_at, -spot.offset), f"handled_{j}_{t}")
        found.append(_until(builder, starts[t], handled, starts[rows[n + 1]] if n + 1 < len(rows) else None))
    return found


def _element(builder: Builder, index: cp_model.IntVar, values: np.ndarray, name: str) -> cp_model.IntVar:
    value = builder.model.new_int_var(0, builder.grid.slots + 1, name)
    builder.model.add_element(index, [int(v) for v in values], value)
    return value


def _until(
    builder: Builder,
    first: cp_model.IntVar | int,
    last: cp_model.IntVar | int,
    following: cp_model.IntVar | None,
) -> cp_model.IntervalVar:
    """From one time to another, or to the next coat if that is sooner."""
    model, most = builder.model, builder.grid.slots + 1
    end = last
    if following is not None:
        end = model.new_int_var(0, most, "")
        model.add_min_equality(end, [last, following])
    size = model.new_int_var(0, most, "")
    return model.new_interval_var(first, size, end, "")
