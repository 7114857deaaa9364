"""A plan as a maker reads it: by day, the sessions and what is in them; by batch, when it is ready and how surely."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, replace

from finishing.clock import at_zone
from finishing.cure.fold import Fold
from finishing.cure.progress import releases
from finishing.cure.terms import Hazard, Release
from finishing.plan.batches import NEVER, Placed, Schedule, Score, packed
from finishing.plan.batches.chance import chance_at_rest, chances
from finishing.plan.batches.draws import Standing
from finishing.plan.batches.score import late_days
from finishing.shop.plan import nights
from finishing.shop.plan.ask import Asked, Item
from finishing.shop.plan.make import Made, Moved
from finishing.shop.plan.nights import Night
from finishing.shop.plan.parts import Parts
from finishing.shop.words import brief_step, step_words


@dataclass(frozen=True, slots=True)
class Work:
    """Work on one batch in one go. begins, ends [hours]. do: in words; brief: in a few cells. finish, ready_ml: what to
    have ready, "" and None for none; passes: pieces of each, where there are several. heed: what else, "" for nothing.
    rags: what is wiped with it catches fire by itself. number: of the task among its batch's. part: see `Task`.
    whole: code of the batch on record.
    """

    code: str
    what: str
    pieces: int
    of: int
    place: str
    begins: float
    ends: float
    minutes: float
    steps: tuple[int, ...]
    do: str
    brief: str
    finish: str = ""
    ready_ml: float | None = None
    passes: tuple[int, ...] = ()
    heed: str = ""
    pinned: bool = False
    rags: bool = False
    number: int = 0
    part: tuple[int, int] | None = None
    whole: str = ""


@dataclass(frozen=True, slots=True)
class Session:
    """Work done without leaving the shop: a stretch of the hours, and what of it is used. outside: of the hours, where
    work is pinned."""

    begins: float
    ends: float
    until: float
    works: tuple[Work, ...]
    outside: bool = False

    @property
    def minutes(self) -> float:
        """Hands' work in it."""
        return sum(work.minutes for work in self.works)


@dataclass(frozen=True, slots=True)
class Day:
    """A day, from the first with work to the last, and the night after it."""

    date: dt.date
    sessions: tuple[Session, ...]
    nights: tuple[Night, ...] = ()


@dataclass(frozen=True, slots=True)
class Line:
    """What a batch comes to. packed, used: hours, None for no date. chance: that it makes its date, None for none.

    late_days: days begun after it. next: when its next work begins. why: why it is late or has no date, "" if neither.
    whole: code of the batch on record, of which it may be a part that is yet to be split off.
    """

    code: str
    what: str
    pieces: int
    wanted: float | None
    packed: float | None
    used: float | None
    late_days: int
    chance: float | None
    next: float | None
    held: bool = False
    unfinished: bool = False
    why: str = ""
    whole: str = ""


@dataclass(frozen=True, slots=True)
class PlanSheet:
    """The whole plan. bound, proved: see `finishing.plan.batches.Outcome`. moved, kept_at, better: see `Made`.

    splits: batches that are planned in parts. weighted: days late count more of some batches than of others.
    """

    now: float
    zone: str
    level: float
    until: float
    days: tuple[Day, ...]
    lines: tuple[Line, ...]
    score: Score
    bound: Score
    proved: bool
    improved: bool
    moved: tuple[Moved, ...] = ()
    kept_at: float | None = None
    better: Score | None = None
    unkept: tuple[str, ...] = ()
    splits: tuple[Parts, ...] = ()
    weighted: bool = False

    @property
    def late(self) -> tuple[Line, ...]:
        """Batches that are ready after their date."""
        return tuple(line for line in self.lines if line.late_days)

    @property
    def late_days(self) -> int:
        """Days late of them all, as told of each."""
        return sum(line.late_days for line in self.lines)

    @property
    def least_late_days(self) -> int | None:
        """Days late in all that no plan is below, as far as is known; None where they don't count alike."""
        return None if self.weighted else max(self.late_days - (self.score.late - self.bound.late), 0)

    @property
    def lost(self) -> tuple[Line, ...]:
        """Batches that find no place in the hours there are."""
        return tuple(line for line in self.lines if line.unfinished and not line.held)

    @property
    def missed(self) -> tuple[Line, ...]:
        """Batches that don't make their date: late, or without a place."""
        return tuple(line for line in self.lines if line.late_days or (line.unfinished and line.wanted is not None))

    @property
    def undated(self) -> tuple[Line, ...]:
        """Batches that are wanted by a date and can be given none, as their wood or the air stops them."""
        rows = (line for line in self.lines if line.wanted is not None and line.packed is None)
        return tuple(line for line in rows if not line.held and not line.unfinished)

    @property
    def minutes(self) -> float:
        """Hands' work in all of it."""
        return sum(session.minutes for day in self.days for session in day.sessions)


def sheet(made: Made, reasons: Mapping[str, str] | None = None) -> PlanSheet:
    """A plan laid out. reasons: why batches are late, by code."""
    asked, plan = made.asked, made.outcome.schedule
    works: list[Work] = []
    folds: dict[str, Fold] = {}
    placed_of: dict[str, tuple[Placed, ...]] = {}
    for j, placed in enumerate(plan.placed):
        item = asked.item(j)
        folds[item.batch.code] = nights.play(item, placed, asked.problem.grid)
        placed_of[item.batch.code] = placed
        works += [_work(item, t, where, asked) for t, where in enumerate(placed)]
    sure = _chances(asked, plan.placed)
    works.sort(key=lambda w: (w.begins, w.code))
    lines = tuple(
        _line(asked, item, placed_of.get(code), folds.get(code), (reasons or {}).get(code, ""), sure.get(code))
        for code, item in asked.items.items()
    )
    return PlanSheet(
        now=asked.now,
        zone=asked.settings.zone,
        level=asked.settings.level,
        until=asked.problem.grid.end,
        days=_days(asked, works, folds),
        lines=tuple(sorted(lines, key=_by_date)),
        score=plan.score,
        bound=made.outcome.bound,
        proved=made.outcome.proved,
        improved=made.improved,
        moved=made.moved,
        kept_at=made.kept_at,
        better=made.better,
        unkept=tuple(f"{asked.problem.jobs[j].code}" for j, _ in plan.unkept),
        splits=asked.splits,
        weighted=any(job.weight > 1 and job.wanted is not None for job in asked.problem.jobs),
    )


def late_in_all(asked: Asked, plan: Schedule) -> int:
    """`PlanSheet.late_days` of a plan, without laying it out."""
    placed = {job.code: row for job, row in zip(asked.problem.jobs, plan.placed, strict=True)}
    found = 0
    for code, item in asked.items.items():
        when = None if item.held else packed(item.job, placed.get(code, ()))
        found += 0 if when is None else late_days(item.job, when, asked.problem.grid.per_day)
    return found


def _by_date(line: Line) -> tuple[float, str]:
    return (NEVER if line.wanted is None else line.wanted, line.code)


def _work(item: Item, number: int, where: Placed, asked: Asked) -> Work:
    schedule, grid = item.batch.schedule, asked.problem.grid
    task = item.job.tasks[number]
    begins, minutes = grid.hour(where.start), task.works(where.reopened)
    words = [step_words(schedule, i) for i in task.steps]
    brief = [brief_step(schedule, i) for i in task.steps]
    if where.reopened:
        grit = f" P{task.reopen_grit}" if task.reopen_grit else ""
        words.insert(0, f"abrade{grit} to reopen the window")
        brief.insert(0, f"abrade{grit}!")
    part = f" ({task.part[0]} of {task.part[1]})" if task.part else ""
    if not item.job.dated and number + 1 == len(item.job.tasks):
        part += f"; then {item.job.note}"
    finish = "" if task.coat is None else task.coat.finish.title
    session = task.session
    return Work(
        code=item.batch.code,
        what=item.what,
        pieces=task.pieces,
        of=item.batch.pieces,
        place=item.job.place,
        begins=begins,
        ends=begins + minutes / 60.0,
        minutes=minutes,
        steps=task.steps,
        do=" + ".join(words) + part,
        brief=" + ".join(brief) + part.partition(":")[0],
        finish=finish,
        ready_ml=None if session is None else session.ready_ml,
        passes=() if session is None or len(session.sizes) < 2 else session.sizes,
        heed="window had shut: abrade first" if where.reopened else "",
        pinned=task.pinned == where.start,
        rags=task.coat is not None and Hazard.RAGS in task.coat.finish.hazards,
        number=number,
        part=task.part,
        whole=item.whole,
    )


def _days(asked: Asked, works: list[Work], folds: Mapping[str, Fold]) -> tuple[Day, ...]:
    grid, zone = asked.problem.grid, asked.settings.zone
    sessions: dict[tuple[int, float], list[Work]] = {}
    for work in works:
        number = int(grid.stretch_of[grid.up(work.begins)])
        # what is pinned outside the hours makes a session of its own
        sessions.setdefault((number, work.begins if number < 0 else 0.0), []).append(work)
    days: dict[dt.date, list[Session]] = {}
    for (number, _), row in sessions.items():
        until = row[-1].ends if number < 0 else grid.hour(grid.stretches[number][1])
        session = Session(row[0].begins, max(w.ends for w in row), until, tuple(row), number < 0)
        days.setdefault(at_zone(row[0].begins, zone).date(), []).append(session)
    if not days:
        return ()
    span = (max(days) - min(days)).days
    return tuple(
        Day(date, tuple(sorted(days.get(date, ()), key=lambda s: s.begins)), nights.after(date, asked, folds))
        for date in (min(days) + dt.timedelta(days=n) for n in range(span + 1))
    )


def _line(
    asked: Asked, item: Item, placed: tuple[Placed, ...] | None, fold: Fold | None, why: str, chance: float | None
) -> Line:
    job, grid, wanted = item.job, asked.problem.grid, item.batch.wanted_by
    line = Line(item.batch.code, item.what, item.batch.pieces, wanted, None, None, 0, None, None, held=item.held,
                whole=item.whole)  # fmt: skip
    if item.held:
        return replace(line, why="on hold")
    if placed is None or fold is None:
        placed, fold = (), item.fold
    unfinished = len(placed) < len(job.tasks)
    when = packed(job, placed)
    ready = releases(fold, None) if not unfinished and job.dated else dict.fromkeys(Release)
    days = 0 if when is None else late_days(job, when, grid.per_day)
    return replace(
        line,
        packed=ready[Release.PACK],
        used=ready[Release.USE],
        late_days=days,
        chance=chance,
        next=grid.hour(placed[0].start) if placed else None,
        unfinished=unfinished,
        why=why or ("" if job.dated and not unfinished else job.note or "finds no place in the hours there are"),
    )


def _chances(asked: Asked, placed: tuple[tuple[Placed, ...], ...]) -> dict[str, float | None]:
    """By code: the chance that a batch makes its date, the plan played with all that may come late."""

    def standing(item: Item) -> Standing:
        return Standing(item.fold.track, item.fold.coats, item.batch.wanted_by)

    jobs = asked.problem.jobs
    worked = chances(asked.problem, placed, [standing(asked.item(j)) for j in range(len(jobs))])
    found = {job.code: chance for job, chance in zip(jobs, worked, strict=True)}
    for code, item in asked.items.items():
        if code not in found and item.job.dated and not item.job.tasks:
            found[code] = chance_at_rest(code, standing(item))
    return found
