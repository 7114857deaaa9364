"""Shops to plan for: batches of the cure model's own test finishes, and a plan of them as the walk reads it."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from finishing.cure.climate import PlaceAir
from finishing.cure.schedule import Schedule, Step
from finishing.cure.terms import Face, Stage, StepKind
from finishing.cure.work import Batch, Entry
from finishing.plan.batches import Curves, Grid, Job, Problem, Taken, grid_over, job_of
from finishing.plan.batches.score import Schedule as Plan
from tests.cure.factory import batch

from .walk import Walked, Work, by_the_minute, walk

DAY = 24.0

THOROUGH = int(os.environ.get("THOROUGH", "1"))
"""How many times as many random shops and problems to try as by default."""


@dataclass
class Rig:
    """A shop without a store: batches with their records, the air, the hours there are hands."""

    batches: Sequence[Batch]
    air: Mapping[str, PlaceAir]
    now: float
    stretches: Sequence[tuple[float, float]]
    end: float
    level: float = 0.8
    makers: int = 1
    racks: Mapping[str, int] = field(default_factory=dict)
    records: Mapping[str, Sequence[Entry]] = field(default_factory=dict)
    weights: Mapping[str, int] = field(default_factory=dict)
    pins: Mapping[str, Mapping[int, float]] = field(default_factory=dict)

    def grid(self) -> Grid:
        return grid_over(self.now, self.end, self.stretches)

    def problem(self) -> Problem:
        curves = Curves(self.grid(), self.level)
        jobs = [self._job(batch, curves) for batch in self.batches]
        taken = tuple(Taken(j.place, j.pieces, j.on_rack_until) for j in jobs if not j.tasks)
        return Problem(curves.grid, tuple(j for j in jobs if j.tasks), self.makers, self.racks, taken)

    def _job(self, batch: Batch, curves: Curves) -> Job:
        record, pins = self.records.get(batch.code, ()), self.pins.get(batch.code)
        weight = self.weights.get(batch.code, 1)
        return job_of(batch, record, self.air, {}, self.now, curves, weight=weight, pins=pins)

    def works(self, problem: Problem, plan: Plan) -> dict[str, list[Work]]:
        """The plan as the walk reads it."""
        hour = problem.grid.hour
        return {
            job.code: [
                Work(hour(p.start), task.works(p.reopened), task.steps, task.part, p.reopened)
                for task, p in zip(job.tasks, placed, strict=False)
            ]
            for job, placed in zip(problem.jobs, plan.placed, strict=True)
        }

    def wrong(self, problem: Problem, plan: Plan) -> list[str]:
        """Everything the independent walk finds wrong with a plan."""
        works, by_code = self.works(problem, plan), {b.code: b for b in self.batches}
        walked = {b.code: self.walked(b.code, works.get(b.code, [])) for b in self.batches}
        last = max([self.now, *(w.ends for row in works.values() for w in row)]) + 2 * DAY
        return [
            *(said for row in walked.values() for said in row.wrong),
            *by_the_minute(
                works, walked, by_code, self.stretches, self.makers, self.racks, self.now, min(last, self.end)
            ),
        ]

    def walked(self, code: str, works: Sequence[Work]) -> Walked:
        """One batch's work, played through the cure model."""
        by_code = {b.code: b for b in self.batches}
        return walk(by_code[code], self.records.get(code, ()), self.air, self.now, self.level, works)


def daily(start: float, days: int, *spans: tuple[float, float]) -> list[tuple[float, float]]:
    """The same hours every day: spans in hours after each multiple of 24 from `start` on."""
    return [(start + d * DAY + a, start + d * DAY + b) for d in range(days) for a, b in spans]


def coats(name: str, finish: str, number: int, *, between: bool = True, **coat: float) -> Schedule:
    """Prepare, then coats with abrading between, or without."""
    minutes = {"minutes_per_piece": 3.0, "setup_minutes": 5.0, **coat}
    steps = [Step(StepKind.PREPARE, minutes_per_piece=6.0, setup_minutes=5.0, grit=220)]
    for i in range(number):
        if i and between:
            steps.append(Step(StepKind.ABRADE, minutes_per_piece=1.0, setup_minutes=2.0, grit=320))
        steps.append(Step(StepKind.COAT, finish=finish, **minutes))
    return Schedule(name, name, "", (*steps, Step(StepKind.REST, after=Stage.CURED)))


def two_faces(name: str, finish: str) -> Schedule:
    """Top, turn, bottom, twice, with abrading between."""
    side = [
        Step(StepKind.COAT, finish=finish, face=Face.TOP, minutes_per_piece=2.5, setup_minutes=5.0),
        Step(StepKind.TURN, minutes_per_piece=0.3),
        Step(StepKind.COAT, finish=finish, face=Face.BOTTOM, minutes_per_piece=2.0, setup_minutes=2.0),
    ]
    abrade = Step(StepKind.ABRADE, minutes_per_piece=2.0, setup_minutes=2.0, grit=320)
    return Schedule(name, name, "", (Step(StepKind.PREPARE, minutes_per_piece=6.0), *side, abrade, *side))


def soaked(name: str, finish: str) -> Schedule:
    """Two coats that soak for eight hours before they are wiped off."""
    turn = [
        Step(StepKind.COAT, finish=finish, minutes_per_piece=1.5, setup_minutes=5.0),
        Step(StepKind.SOAK, hours=8.0),
        Step(StepKind.WIPE, minutes_per_piece=1.5),
    ]
    return Schedule(name, name, "", (Step(StepKind.PREPARE, minutes_per_piece=6.0), *turn, *turn))


def of(code: str, schedule: Schedule, *finishes: object, **more: object) -> Batch:
    """A batch of a schedule."""
    return batch(schedule, *finishes, code=code, **more)  # type: ignore[arg-type]
