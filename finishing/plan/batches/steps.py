"""A batch's remaining steps as tasks: what is done in one go, what each waits for, and what shuts before it."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from finishing.cure.climate import PlaceAir
from finishing.cure.coat import Coat, ShopFactor
from finishing.cure.film import amount_ml
from finishing.cure.fold import Fold
from finishing.cure.forecast import Forecast, go_on
from finishing.cure.progress import folded, releases
from finishing.cure.schedule import Step
from finishing.cure.session import Plan, plan_session
from finishing.cure.terms import Face, Release, Stage, StepKind
from finishing.cure.work import Batch, Entry
from finishing.plan.batches.curves import Curves
from finishing.plan.batches.grid import NEVER, Grid
from finishing.plan.batches.problem import Gate, Job, Task

PART_MINUTES = 120.0
"""Work that may be left and taken up again is planned in parts of about so long."""

TOGETHER_MINUTES = 180.0
"""Abrading is done right before its coat where both together take no longer; else as work of its own."""

REOPEN_MINUTES, REOPEN_SETUP = 1.5, 2.0
"""Minutes of abrading a piece so that a shut window opens, where the schedule has no abrading to go by.
Common practice, no source."""

WITH_COAT = (StepKind.ABRADE, StepKind.CLEAN, StepKind.TURN)
WAITS = (StepKind.SOAK, StepKind.REST)


@dataclass(slots=True)
class _On:
    """The topmost coat of a face: on record (task None), or laid by a task. abraded: since then."""

    coat: Coat
    task: int | None
    abraded: bool = False


@dataclass(slots=True)
class _Wait:
    """What a task yet to be opened waits for: soaks and rests before it."""

    hours: float = 0.0
    stages: list[tuple[Stage, Face]] = field(default_factory=list)


class _Stuck(Exception):
    """A step waits for a stage that never comes, or is a coat that may never have one: seal or test first."""


def job_of(
    batch: Batch,
    entries: Sequence[Entry],
    climate: Mapping[str, PlaceAir],
    shop: Mapping[str, ShopFactor],
    now: float,
    curves: Curves,
    *,
    weight: int = 1,
    pins: Mapping[int, float] | None = None,
) -> Job:
    """A batch's remaining work. pins: the hour at which a step (by position) is to begin."""
    fold = folded(batch, entries, climate, shop, curves.level)
    ahead = go_on(folded(batch, entries, climate, shop, curves.level), now)
    return _Builder(fold, ahead, now, curves, pins or {}).job(weight)


class _Builder:
    """Goes over the remaining steps once, in order."""

    def __init__(self, fold: Fold, ahead: Forecast, now: float, curves: Curves, pins: Mapping[int, float]) -> None:
        self.fold, self.curves, self.grid, self.pins = fold, curves, curves.grid, pins
        self.batch = fold.batch
        self.air = fold.track.place_at(now)
        self.now = now
        self.expected = {coat.step: coat for coat in ahead.coats if coat.expected}
        self.stopped = ahead.stopped
        self.tasks: list[Task] = []
        self.tops = self._tops()
        self.wait = _Wait()
        self.block: list[int] = []

    def _tops(self) -> dict[Face, _On]:
        found = {}
        for side in Face.BOTH.sides:
            coat = self.fold.last_coat(side)
            if coat is not None:
                abraded = self.fold.abraded.get(side, -math.inf) >= coat.at
                found[side] = _On(coat, None, abraded)
        return found

    def job(self, weight: int) -> Job:
        """All of it as a job."""
        whole = self._steps()
        batch, grid = self.batch, self.grid
        packed_at, dated = self._packed_now()
        note = ""
        if not whole or not dated:
            dated = False
            undated = any(coat.undated for coat in [*self.fold.coats, *self.expected.values()])
            note = "seal or test first: no date on bare oily wood" if undated else "stands still in this air"
        return Job(
            code=batch.code,
            place=self.fold.place,
            pieces=batch.pieces,
            tasks=tuple(self.tasks),
            weight=weight,
            wanted=None if batch.wanted_by is None else grid.down(batch.wanted_by),
            packed_at=packed_at,
            dated=dated,
            on_rack_until=on_rack_until(self.fold, grid),
            note=note,
        )

    def _packed_now(self) -> tuple[int, bool]:
        """When every coat already on may be packed; whether each may be at all, those to come included."""
        if any(Stage.STACKABLE in coat.finish.stages and task.packed is None
               for task in self.tasks if (coat := task.coat) is not None):  # fmt: skip
            return 0, False
        if not any(Stage.STACKABLE in coat.finish.stages for coat in self.fold.coats):
            return 0, True
        when = releases(self.fold, None)[Release.PACK]
        return (NEVER, False) if when is None else (self.grid.up(when), True)

    def _steps(self) -> bool:
        """Make the tasks; whether they go on to the end."""
        following = self.fold.next(self.now)
        if following is None:
            return True
        if following.opens is None:
            return False
        steps = self.batch.schedule.steps
        # A wipe-off in its minutes is being done by whoever coated.
        wiping = following.step.kind is StepKind.WIPE and following.shuts is not None
        try:
            for i in range(following.position + wiping, len(steps)):
                self._step(i, steps[i])
            self._flush()
        except _Stuck:
            return False
        finally:
            if self.tasks:
                self.tasks[0] = replace(self.tasks[0], earliest=max(self.tasks[0].earliest, self._up(following.opens)))
        return True

    def _up(self, hour: float) -> int:
        return self.grid.up(max(hour, self.now))

    def _step(self, i: int, step: Step) -> None:
        before = self.batch.schedule.steps[i - 1].kind if i else None
        if step.kind in WAITS:
            self._flush()
            self.wait.hours += step.hours or 0.0
            if step.kind is StepKind.REST and step.gate and (step.after or step.hours is None):
                self.wait.stages.append((step.gate, step.face))
        elif step.kind is StepKind.WIPE and before is StepKind.COAT and self.tasks and i - 1 in self.tasks[-1].steps:
            pass  # wiped off in the session of its coat
        elif step.kind is StepKind.COAT:
            self._coat(i, step)
        elif step.kind in WITH_COAT:
            self.block.append(i)
        else:
            self._flush()
            self._spread([i])

    def _flush(self) -> None:
        """Steps that waited for a coat to go with, on their own."""
        if self.block:
            self._spread(self.block)
            self.block = []

    def _coat(self, i: int, step: Step) -> None:
        session = self._session(i, step)
        coating = session.minutes + session.setup_minutes
        together = self._minutes(self.block) + coating
        if self.block and together > min(TOGETHER_MINUTES, self._longest_minutes()):
            abrading = [j for j in self.block if self.batch.schedule.steps[j].kind is StepKind.ABRADE]
            if abrading:
                self._spread(abrading)
                self.block = [j for j in self.block if j not in abrading]
        if i not in self.expected or self.expected[i].undated:
            raise _Stuck
        wiped = self.batch.schedule.steps[i + 1 : i + 2]
        own = [i + 1] if wiped and wiped[0].kind is StepKind.WIPE else []
        self._add([*self.block, i, *own], self._minutes(self.block) + coating, self.batch.pieces, session=session)
        self.block = []

    def _session(self, i: int, step: Step) -> Plan:
        steps, batch = self.batch.schedule.steps, self.batch
        wipe = steps[i + 1] if i + 1 < len(steps) and steps[i + 1].kind is StepKind.WIPE else None
        finish = batch.finishes[step.finish or ""]
        area = batch.area_m2(step.face)
        first = all(side not in self.tops for side in step.face.sides)
        amount = None if area is None else amount_ml(finish.film, area, first=first)
        return plan_session(batch.pieces, step, wipe, finish, amount)

    def _minutes(self, positions: Sequence[int]) -> float:
        steps = [self.batch.schedule.steps[i] for i in positions]
        return sum(s.setup_minutes + s.minutes_per_piece * self.batch.pieces for s in steps)

    def _longest_minutes(self) -> float:
        return self.grid.longest * 60.0 / self.grid.per_hour

    def _spread(self, positions: list[int]) -> None:
        """Work without a coat: in parts, if it is long."""
        steps = [self.batch.schedule.steps[i] for i in positions]
        each = sum(s.minutes_per_piece for s in steps)
        setup = sum(s.setup_minutes for s in steps)
        room = min(PART_MINUTES, self._longest_minutes() or PART_MINUTES)
        most = max(int((room - setup) / each + 1e-9), 1) if each > 0 else self.batch.pieces
        parts = -(-self.batch.pieces // most)
        share, more = divmod(self.batch.pieces, parts)
        for number in range(parts):
            pieces = share + (number < more)
            part = (number + 1, parts) if parts > 1 else None
            self._add(positions, setup + each * pieces, pieces, part=part)

    def _add(
        self,
        positions: list[int],
        minutes: float,
        pieces: int,
        *,
        part: tuple[int, int] | None = None,
        session: Plan | None = None,
    ) -> None:
        """One more task, with everything it waits for as the faces stand now."""
        earliest, gates, since = self._opening(positions)
        shut_at, shuts, grit = self._shutting(positions)
        extra = self._reopen_minutes() if shuts or shut_at < NEVER else 0.0
        number = len(self.tasks)
        last = next((i for i in positions if self.batch.schedule.steps[i].kind is StepKind.COAT), None)
        coat = None if last is None else self.expected[last]
        pinned = next((self.pins[i] for i in positions if i in self.pins), None)
        self.tasks.append(
            Task(
                steps=tuple(positions),
                pieces=pieces,
                minutes=minutes,
                slots=max(self.grid.needed(minutes), 1),
                part=part,
                reopened=(minutes + extra, max(self.grid.needed(minutes + extra), 1)),
                reopen_grit=grit,
                earliest=max(earliest, self._up(self.now)),
                gap=math.ceil(self.wait.hours * self.grid.per_hour),
                gates=tuple(gates),
                since=tuple(since),
                shuts=tuple(shuts),
                shut_at=shut_at,
                coat=coat,
                session=session,
                handled=None if coat is None else self.curves.ready(self.air, coat, Stage.DRY_TO_HANDLE),
                packed=None if coat is None else self.curves.ready(self.air, coat, Stage.STACKABLE),
                pinned=None if pinned is None or (part and part[0] > 1) else self.grid.up(pinned),
            )
        )
        self.wait = _Wait()
        self._turn_over(positions, coat, number)

    def _turn_over(self, positions: Sequence[int], coat: Coat | None, number: int) -> None:
        """How the faces stand after a task."""
        for i in positions:
            step = self.batch.schedule.steps[i]
            for side in step.face.sides:
                if step.kind is StepKind.COAT and coat is not None:
                    self.tops[side] = _On(coat, number)
                elif step.kind is StepKind.ABRADE and side in self.tops:
                    self.tops[side].abraded = True

    def _opening(self, positions: Sequence[int]) -> tuple[int, list[Gate], list[tuple[Coat, Stage]]]:
        """From which slot on, after which coats to come and which on record. _Stuck where a stage never comes."""
        wanted = list(self.wait.stages)
        wanted += [(s.gate, s.face) for s in (self.batch.schedule.steps[i] for i in positions) if s.gate]
        earliest, gates, since = 0, {}, {}
        for stage, face in wanted:
            for on in [self.tops[side] for side in face.sides if side in self.tops]:
                if on.task is None:
                    time = on.coat.stages.get(stage)
                    if time is None or time.at_level is None:
                        raise _Stuck
                    earliest = max(earliest, self.grid.up(time.at_level))
                    since[id(on.coat), stage] = (on.coat, stage)
                else:
                    curve = self.curves.ready(self.air, on.coat, stage)
                    if curve is None:
                        raise _Stuck
                    gates[on.task, id(curve)] = Gate(on.task, curve, stage)
        return earliest, list(gates.values()), list(since.values())

    def _shutting(self, positions: Sequence[int]) -> tuple[int, list[Gate], int | None]:
        """The slot at which windows of coats already on shut, those of coats to come, and the grit that reopens."""
        shut_at, shuts, grit = NEVER, {}, None
        abraded: set[Face] = set()
        for step in (self.batch.schedule.steps[i] for i in positions):
            if step.kind is StepKind.ABRADE:
                abraded |= set(step.face.sides)
            if step.kind is not StepKind.COAT:
                continue
            for side in step.face.sides:
                on = self.tops.get(side)
                if on is None or on.abraded or side in abraded or on.coat.finish.recoat_limit is None:
                    continue
                grit = on.coat.finish.recoat_limit.grit
                if on.task is None:
                    if on.coat.window.shuts is not None:
                        shut_at = min(shut_at, self.grid.down(on.coat.window.shuts))
                elif (curve := self.curves.shut(self.air, on.coat)) is not None:
                    shuts[on.task, id(curve)] = Gate(on.task, curve)
        return shut_at, list(shuts.values()), grit

    def _reopen_minutes(self) -> float:
        """What abrading all pieces once more takes, by the schedule's own abrading where it has any."""
        own = [s for s in self.batch.schedule.steps if s.kind is StepKind.ABRADE]
        if own:
            return own[0].setup_minutes + own[0].minutes_per_piece * self.batch.pieces
        return REOPEN_SETUP + REOPEN_MINUTES * self.batch.pieces


def on_rack_until(fold: Fold, grid: Grid) -> int:
    """The slot until which the coats already on keep their room: until each may be handled."""
    until = 0
    for coat in fold.coats:
        time = coat.stages.get(Stage.DRY_TO_HANDLE)
        if time is not None:
            until = max(until, NEVER if time.at_level is None else grid.up(time.at_level))
    return until
