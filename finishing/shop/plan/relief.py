"""What would help when it doesn't fit: each way planned anew, ranked by what it gains."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from finishing.clock import at_zone
from finishing.cure.terms import StepKind
from finishing.plan import StopToken
from finishing.plan.batches import Schedule, first_plan, packed
from finishing.plan.batches.score import late_days
from finishing.shop.plan.ask import Asked, Item, Variant, ask, evening
from finishing.shop.plan.earlier import Start, latest_start
from finishing.shop.plan.make import Made
from finishing.shop.plan.room import more_room
from finishing.shop.shop import Shop
from finishing.shop.words import and_words, short_time
from finishing.units import counted

TRIES = 4_000
PAST = "past_start"
"""Kind of what helps no more: the start that would have made the date."""

EVENINGS = 10
"""Days ahead on which one more evening is tried."""

SHARES = (0.75, 0.5, 0.25)
"""Shares of a batch that might be enough by the date."""


@dataclass(frozen=True, slots=True)
class Relief:
    """One way out: what it is in words, the batch it is about ("" for several), and what it gains over the plan.

    days: late days gained, all batches together. on_time: batches that then make their date. costs: what it asks. One
    of the kind PAST is a fact for a batch that nothing else puts in time.
    """

    kind: str
    code: str
    words: str
    days: int
    on_time: tuple[str, ...]
    costs: str = ""


def reliefs(shop: Shop, made: Made, late: list[str], most: int = 10, *, stop: StopToken | None = None) -> list[Relief]:
    """Ways out for the late batches, the most gained first; those that gain nothing are left out.

    Once `stop` is set, those found by then.
    """
    asked = made.asked
    base = _late_by(asked, first_plan(asked.problem, placings=TRIES))
    late = list(dict.fromkeys(asked.items[code].whole for code in late))
    found = [promise for code in late if (promise := _promise(asked, made, code)) is not None]
    found += split_ways(made)
    starts = {code: _start(shop, made, code) for code in late}
    for kind, code, words, costs, variant in _ways(shop, asked, late, starts):
        if stop is not None and stop.is_set():
            break
        changed = ask(shop, asked.now, variant)
        after = _late_by(changed, first_plan(changed.problem, placings=TRIES))
        if any(c not in after for c in base):
            continue  # a batch would lose its date for good, as in a place too cold for its finish
        gain = sum(base.values()) - sum(after.get(c, 0) for c in base)
        better = tuple(c for c in late if after.get(c) == 0)
        if gain > 0:
            found.append(Relief(kind, code, words, gain, better, costs))
    if stop is None or not stop.is_set():
        found += _rooms(asked, late, base)
        helped = {code for way in found if way.kind != "later_date" for code in way.on_time}
        found += [_past(asked, code, start) for code, start in starts.items()
                  if code not in helped and start is not None and start.hour < asked.now]  # fmt: skip
    best: dict[tuple[str, str], Relief] = {}
    for relief in found:
        key = (relief.kind, relief.words if relief.kind == "rack" else relief.code)
        if key not in best or _rank(relief) < _rank(best[key]):
            best[key] = relief
    return sorted(best.values(), key=_rank)[:most]


def _rank(relief: Relief) -> tuple[bool, int, int, str]:
    return (relief.kind == PAST, -len(relief.on_time), -relief.days, relief.words)


def _late_by(asked: Asked, plan: Schedule) -> dict[str, int]:
    """Days late by batch, days beyond the grid for what finds no place; those with nothing left to do among them.

    Of a batch planned in parts the latest counts.
    """
    grid = asked.problem.grid
    found: dict[str, int] = {}
    placed = {job.code: row for job, row in zip(asked.problem.jobs, plan.placed, strict=True)}
    for code, item in asked.items.items():
        if item.job.wanted is not None and item.job.dated and not item.held:
            when = packed(item.job, placed.get(code, ()))
            days = late_days(item.job, grid.slots if when is None else when, grid.per_day)
            found[item.whole] = max(found.get(item.whole, 0), days)
    return found


def split_ways(made: Made) -> list[Relief]:
    """Splits that the plan supposes, as a coat of all pieces fits into none of the hours: the days that gains."""
    asked, found = made.asked, []
    after = _late_by(asked, made.outcome.schedule)
    for split in asked.splits:
        job = asked.items[split.code].job
        if split.code in after:
            never = late_days(job, asked.problem.grid.slots, asked.problem.grid.per_day)
            on_time = () if after[split.code] else (split.code,)
            words = f"{split.code} split into {and_words(list(map(str, split.pieces)))} pieces, as planned here"
            costs = f"{len(split.pieces)} sessions a coat"
            found.append(Relief("split", split.code, words, max(never - after[split.code], 0), on_time, costs))
    return found


def _promise(asked: Asked, made: Made, code: str) -> Relief | None:
    """The date that the plan does make, of all parts."""
    grid = asked.problem.grid
    rows = [
        (job, packed(job, row))
        for job, row in zip(asked.problem.jobs, made.outcome.schedule.placed, strict=True)
        if asked.items[job.code].whole == code
    ]
    rows = rows or [(asked.items[code].job, packed(asked.items[code].job, ()))]
    if any(when is None for _, when in rows):
        return None
    job, when = max(((job, when) for job, when in rows if when is not None), key=lambda row: row[1])
    date = short_time(grid.hour(when), asked.settings.zone, asked.now)
    days = late_days(job, when, grid.per_day)
    return Relief("later_date", code, f"{code}: promise it for {date}", days, (code,), "a later date")


def _start(shop: Shop, made: Made, code: str) -> Start | None:
    """The latest start that makes the date of a batch that hasn't begun, and is planned whole."""
    if made.asked.items[code].job.pieces != made.asked.items[code].of:
        return None
    placed = {job.code: row for job, row in zip(made.asked.problem.jobs, made.outcome.schedule.placed, strict=True)}
    row = placed.get(code, ())
    planned = made.asked.problem.grid.hour(row[0].start) if row else None
    start = latest_start(shop, made.asked, made.asked.items[code], planned)
    return None if start is None or (planned is not None and start.hour >= planned) else start


def _past(asked: Asked, code: str, start: Start) -> Relief:
    """A start that has passed: no help, but what to know for the next such batch."""
    by = short_time(start.hour, asked.settings.zone, asked.now)
    return Relief(PAST, code, f"{code} would have had to begin by {by} to make its date", 0, ())


def _sooner(start: Start) -> str:
    if not start.days:
        return ""
    return f", {counted(start.days, 'day')} sooner than planned"


def _rooms(asked: Asked, late: list[str], base: dict[str, int]) -> Iterator[Relief]:
    """More rack, no more of it than the dates need."""
    for room in more_room(asked, late, base, lambda plan: _late_by(asked, plan), TRIES):
        better = tuple(c for c in late if room.late.get(c) == 0)
        words = f"more rack in {room.place}: room for {counted(room.pieces, 'piece')}"
        gain = sum(base.values()) - sum(room.late.get(c, 0) for c in base)
        yield Relief("rack", "", words, gain, better, f"room for {room.more} more")


Way = tuple[str, str, str, str, Variant]


def _ways(shop: Shop, asked: Asked, late: list[str], starts: dict[str, Start | None]) -> Iterator[Way]:
    """Everything worth trying: kind, batch, words, costs, and the shop so changed."""
    for code in late:
        item = asked.items[code]
        yield from _places(asked, code, item)
        yield from _schedules(shop, code, item)
        yield from _pieces(code, item)
        kind, words, start = "first", code, starts[code]
        if start is not None and start.hour >= asked.now:
            by = short_time(start.hour, asked.settings.zone, asked.now)
            kind, words = "earlier_start", f"{code} begun by {by}{_sooner(start)},"
        yield kind, code, f"{words} before everything else", "the others wait", Variant(first=frozenset({code}))
    zone = asked.settings.zone
    for day in range(EVENINGS):
        stretch = evening(asked.now, day, zone)
        if stretch[0] > asked.now and not _worked(asked, stretch):
            date = at_zone(stretch[0], zone).format("ddd D MMM")
            yield "evening", "", f"one more evening, {date} 18:00-21:00", "3 h", Variant(extra=(stretch,))


def _worked(asked: Asked, stretch: tuple[float, float]) -> bool:
    grid = asked.problem.grid
    return any(grid.hour(a) < stretch[1] and stretch[0] < grid.hour(b) for a, b in grid.stretches)


def _places(asked: Asked, code: str, item: Item) -> Iterator[Way]:
    for place in asked.air:
        if place != item.job.place:
            yield "place", code, f"{code} into {place}", "a move", Variant(moved={code: place})


def _schedules(shop: Shop, code: str, item: Item) -> Iterator[Way]:
    """Other schedules no less hard-wearing, for a batch that has no coat yet."""
    if item.fold.coats:
        return
    own = _protection(item)
    for schedule in shop.library.schedules():
        last = shop.library.finish(schedule.finishes[-1])
        if schedule.name != item.batch.schedule.name and last.protection >= own:
            words = f"{code} with {schedule.title}"
            yield "schedule", code, words, "another finish", Variant(schedules={code: schedule.name})


def _protection(item: Item) -> int:
    steps = item.batch.schedule.steps
    names = [s.finish for s in steps if s.kind is StepKind.COAT and s.finish]
    return item.batch.finishes[names[-1]].protection


def _pieces(code: str, item: Item) -> Iterator[Way]:
    for share in SHARES:
        pieces = int(item.of * share)
        if pieces:
            words = f"{code}: {pieces} of {item.of} pieces by its date, the other {item.of - pieces} split off"
            yield "pieces", code, words, "the rest later", Variant(later={code: item.of - pieces})
