"""The same batch under several schedules, before it exists: what each takes, costs and promises, side by side."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from finishing.clock import at_zone
from finishing.cure.advice import air_cautions
from finishing.cure.cautions import Caution, hazards, wood_cautions
from finishing.cure.climate import PlaceAir, steady
from finishing.cure.coat import ShopFactor
from finishing.cure.film import amount_ml
from finishing.cure.finish import Finish
from finishing.cure.fold import SEAL_OR_TEST
from finishing.cure.progress import releases
from finishing.cure.terms import Release
from finishing.cure.work import Batch
from finishing.errors import BadInput
from finishing.plan.batches import Curves, Job, Placed, first_plan, packed
from finishing.plan.batches.serial import Placing, runs
from finishing.shop import cans
from finishing.shop.batches import shares
from finishing.shop.learning.paces import paced, paces
from finishing.shop.plan import kept
from finishing.shop.plan.ask import Asked, Item, Variant, ask, item_of
from finishing.shop.plan.compared import Column, Comparison, Wanted, Wish
from finishing.shop.plan.parts import fitting
from finishing.shop.plan.play import played
from finishing.shop.shop import Shop
from finishing.shop.words import with_year
from finishing.units import show_temperature

NEW = "(new)"
"""The code of a batch that is only asked about."""

REFERENCE_C, REFERENCE_PCT = 21.0, 50.0
"""The air supposed where the shop has no place yet: that of the finishes' own stated times."""


LOOK_DAYS = 100
"""Some schedules rub out a film once it has cured, weeks after its last coat."""


def compare(shop: Shop, wanted: Wanted, now: float) -> Comparison:
    """Answer for each schedule, alone or around the work planned. NotFound and BadInput name what isn't there."""
    names = wanted.schedules or shop.library.schedule_names
    hands = paces(shop)
    schedules = [paced(shop.library.schedule(name), hands) for name in dict.fromkeys(names)]
    woods = shares([(shop.library.species(name).name, share) for name, share in wanted.woods])
    place, said = _place(shop, wanted.place, now)
    until = max(now + LOOK_DAYS * 24.0, now if wanted.by is None else wanted.by)
    asked = ask(shop, now, Variant(until=until, leave_out=_left_out(shop, wanted, now)))
    air = asked.air if place in asked.air else {place: steady(REFERENCE_C, REFERENCE_PCT, now)}
    ground = _Ground(shop, asked, air, wanted, place)
    species = tuple(shop.library.species(name) for name, _ in woods)
    columns = []
    for schedule in schedules:
        finishes = shop.library.finishes_of(schedule)
        batch = Batch(
            NEW, schedule, finishes, species, shop.library.classes, place, wanted.pieces, wanted.size, wanted.by
        )
        columns.append(ground.column(batch))
    columns.sort(key=lambda c: _rank(c, wanted.wish))
    settings = asked.settings
    return Comparison(
        wanted=wanted,
        now=now,
        zone=settings.zone,
        place=place,
        level=settings.level,
        rate=settings.hourly_rate,
        currency=settings.currency,
        woods=tuple(name for name, _ in woods),
        columns=tuple(columns),
        notes=(*said, *_begun(shop, wanted, now), *_notes(columns, wanted, settings.hourly_rate, asked)),
    )


def _rank(column: Column, wish: Wish) -> tuple[float | str, ...]:
    """The smaller the better by the wish; what can be given no date comes last."""
    far = float("inf")
    ready = column.released[Release.PACK]
    soon = far if ready is None else ready
    late = 1.0 if column.makes_it is False else 0.0
    undated = 1.0 if ready is None else 0.0
    money = far if column.money is None else column.money
    first: dict[Wish, tuple[float, ...]] = {
        Wish.SOONEST: (soon,),
        Wish.HANDS_ON: (column.minutes, soon),
        Wish.CHEAPEST: (1.0 if column.cost is None else 0.0, money, column.minutes),
        Wish.TOUGHEST: (-column.protection, column.upkeep, soon),
    }
    return (undated, late, *first[wish], column.schedule)


def about(shop: Shop, code: str, now: float, schedules: tuple[str, ...] = (), wish: Wish = Wish.SOONEST) -> Wanted:
    """What to ask about a batch there is. NotFound with the nearest codes."""
    standing = shop.standing(code, now)
    row = standing.row
    woods = tuple((wood.species, wood.share) for wood in row.woods)
    return Wanted(schedules, row.pieces, woods, row.size, row.wanted_by, standing.fold.place, wish, instead=row.code)


def _left_out(shop: Shop, wanted: Wanted, now: float) -> frozenset[str]:
    """Batches that are not planned beside it."""
    return frozenset({wanted.instead} if wanted.busy else shop.rack(now).standings)


def ranked(found: Comparison, wish: Wish) -> Comparison:
    """The same, the best by another wish first."""
    columns = tuple(sorted(found.columns, key=lambda c: _rank(c, wish)))
    return replace(found, wanted=replace(found.wanted, wish=wish), columns=columns)


def _place(shop: Shop, name: str, now: float) -> tuple[str, list[str]]:
    """Where it dries: as said, else where most open batches stand; and a word if nobody said."""
    if name:
        return shop.place(name).name, []
    places = [place.name for place in shop.places()]
    if not places:
        warmth = show_temperature(REFERENCE_C, shop.settings.units)
        return f"a shop at {warmth}", [f"no place is known yet: as if at {warmth} and {REFERENCE_PCT:g} % all day"]
    if len(places) == 1:
        return places[0], []
    standing = [s.fold.place for s in shop.rack(now).standings.values()]
    chosen = max(places, key=lambda place: (standing.count(place), -places.index(place)))
    return chosen, [f"in {chosen}, where most batches stand"]


class _Ground:
    """What all schedules are compared on: the hours left beside the work planned, the air, the prices."""

    def __init__(self, shop: Shop, asked: Asked, air: Mapping[str, PlaceAir], wanted: Wanted, place: str) -> None:
        self.shop, self.asked, self.air, self.wanted, self.place = shop, asked, air, wanted, place
        self.grid = asked.problem.grid
        self.curves = Curves(self.grid, asked.settings.level)
        plan = first_plan(asked.problem, kept.starts(asked.problem, kept.plan(shop)) or None)
        self.busy = {(j, t): p.start for j, row in enumerate(plan.placed) for t, p in enumerate(row)}
        self.plan = plan

    def column(self, batch: Batch) -> Column:
        """One schedule's answer."""
        learned = self.shop.rack(self.asked.now).learned.factors(batch.finishes.values())
        items = self._items(batch, learned)
        jobs = [item.job for item in items]
        rows = self._placed(jobs, 0)
        folds = [played(item, placed, self.grid) for item, placed in zip(items, rows, strict=True)]
        whole = all(len(row) == len(job.tasks) and job.dated for job, row in zip(jobs, rows, strict=True))
        released = _latest_of([releases(fold, None) for fold in folds]) if whole else dict.fromkeys(Release)
        last = _last_finish(batch)
        used, cost = self._used(batch)
        minutes = sum(t.works(p.reopened) for job, row in zip(jobs, rows, strict=True)
                      for t, p in zip(job.tasks, row, strict=False)) if whole else _hands(batch)  # fmt: skip
        rate = self.asked.settings.hourly_rate
        begins = self.grid.hour(min(p.start for row in rows for p in row)) if any(rows) else None
        makes_it = None if self.wanted.by is None else _by(released[Release.PACK], self.wanted.by)
        latest = None if not whole else self._latest(jobs)
        if latest is None and makes_it:
            latest = begins  # rounded up to slots no start makes it, and yet this one does
        stopped = "" if whole else jobs[0].note or "finds no place in your working hours"
        return Column(
            schedule=batch.schedule.name,
            title=batch.schedule.title,
            coats=batch.schedule.coats,
            minutes=minutes,
            sessions=len({int(self.grid.stretch_of[p.start]) for row in rows for p in row}),
            used_ml=used,
            cost=cost,
            labour=None if rate is None else rate * minutes / 60.0,
            begins=begins,
            released=released,
            latest=latest,
            makes_it=makes_it,
            protection=last.protection,
            upkeep=last.upkeep,
            reoil_months=last.care.reoil_months,
            cautions=tuple(self._cautions(batch, any(coat.undated for fold in folds for coat in fold.coats))),
            limits=tuple(self._limits(released, last)),
            stopped=stopped,
            parts=tuple(item.batch.pieces for item in items) if len(items) > 1 else (),
        )

    def _items(self, batch: Batch, learned: Mapping[str, ShopFactor]) -> list[Item]:
        """The batch, or its parts where a coat of all pieces fits into none of the hours."""

        def item(pieces: int) -> Item:
            part = replace(batch, pieces=pieces)
            return item_of("new", part, [], self.air, learned, self.asked.now, self.curves, 1, None)

        return [item(pieces) for pieces in fitting(batch.pieces, lambda n: item(n).job, self.grid)]

    def _placed(self, jobs: Sequence[Job], not_before: int) -> list[tuple[Placed, ...]]:
        """Where the new batch, in so many parts, fits beside what is planned, begun no sooner than a slot."""
        begun = [
            replace(job, tasks=(replace(job.tasks[0], earliest=max(job.tasks[0].earliest, not_before)), *job.tasks[1:]))
            if job.tasks
            else job
            for job in jobs
        ]
        problem = replace(self.asked.problem, jobs=(*self.asked.problem.jobs, *begun))
        placing = Placing(problem, self.busy)
        new = len(self.asked.problem.jobs)
        for j in range(new):
            while placing.next_task(j) is not None and placing.place(j):
                pass
        # Parts go on side by side: whichever may begin soonest is next.
        open_ = set(range(new, len(problem.jobs)))
        while open_ := {j for j in open_ if placing.next_task(j) is not None}:
            j = min(open_, key=lambda j: (placing.ready(j), j))
            if not placing.place(j):
                open_.discard(j)
        return [tuple(row) for row in placing.placed[new:]]

    def _latest(self, jobs: Sequence[Job]) -> float | None:
        """The latest start of its first work that makes the date, by halving; None if none does."""
        if self.wanted.by is None or not all(job.tasks for job in jobs):
            return None
        bits = runs(self.grid.worked, jobs[0].tasks[0].slots)
        last = self.grid.down(self.wanted.by)
        starts = np.array([s for s in range(max(last, 0)) if bits >> s & 1], np.int64)
        low, high, best = 0, len(starts) - 1, None
        while low <= high:
            middle = (low + high) // 2
            rows = self._placed(jobs, int(starts[middle]))
            ready = [packed(job, row) for job, row in zip(jobs, rows, strict=True)]
            if all(when is not None and when <= last for when in ready):
                best, low = min(row[0].start for row in rows), middle + 1
            else:
                high = middle - 1
        return None if best is None else self.grid.hour(best)

    def _used(self, batch: Batch) -> tuple[dict[str, float], float | None]:
        """Finish used in all, by title, and what it costs where every price is known."""
        if batch.size is None:
            return {}, None
        used: dict[str, float] = {}
        for i in batch.schedule.coat_steps:
            step = batch.schedule.steps[i]
            area = batch.area_m2(step.face)
            assert step.finish is not None
            assert area is not None
            first = batch.schedule.coat_number(i) == 1
            used[step.finish] = used.get(step.finish, 0.0) + amount_ml(
                batch.finishes[step.finish].film, area, first=first
            )
        prices = {name: cans.price_per_ml(self.shop, name) for name in used}
        cost = None
        if all(price is not None for price in prices.values()):
            cost = sum(amount * (prices[name] or 0.0) for name, amount in used.items())
        return {batch.finishes[name].title: amount for name, amount in used.items()}, cost

    def _cautions(self, batch: Batch, undated: bool) -> list[Caution]:
        said = [Caution("seal_or_test", SEAL_OR_TEST, "common practice, no source", urgent=True)] if undated else []
        temperature, humidity = self.air[self.place].at(self.asked.now)
        for finish in batch.finishes.values():
            said += air_cautions(finish, temperature, humidity)
        said += hazards(h for finish in batch.finishes.values() for h in finish.hazards)
        said += wood_cautions(batch.woods)
        return list({(c.code, c.text): c for c in said}.values())

    def _limits(self, released: Mapping[Release, float | None], last: Finish) -> list[str]:
        zone = self.asked.settings.zone

        def day(release: Release) -> str:
            hour = released[release]
            assert hour is not None
            year = " YYYY" if with_year(hour, zone, self.asked.now) else ""
            return at_zone(hour, zone).format(f"ddd D MMM{year} HH:mm")

        said = []
        if released[Release.PACK] is not None:
            said.append(f"never pack before {day(Release.PACK)}: it would print and stick")
        if released[Release.USE] is not None:
            word = "not in use" if last.cures else "it never cures: not in use"
            said.append(f"{word} before {day(Release.USE)}")
        said.append(last.care.words)
        return said


def _latest_of(rows: Sequence[Mapping[Release, float | None]]) -> dict[Release, float | None]:
    """The releases of all parts: None where one has none."""
    found: dict[Release, float | None] = {}
    for release in Release:
        hours = [row[release] for row in rows]
        known = [hour for hour in hours if hour is not None]
        found[release] = max(known) if len(known) == len(hours) else None
    return found


def _by(when: float | None, wanted: float) -> bool:
    return when is not None and when <= wanted


def _last_finish(batch: Batch) -> Finish:
    name = batch.schedule.steps[batch.schedule.coat_steps[-1]].finish
    assert name is not None
    return batch.finishes[name]


def _hands(batch: Batch) -> float:
    return sum(s.setup_minutes + s.minutes_per_piece * batch.pieces for s in batch.schedule.steps)


def _begun(shop: Shop, wanted: Wanted, now: float) -> list[str]:
    if wanted.instead and shop.standing(wanted.instead, now).fold.coats:
        return [f"{wanted.instead} has coats on already: told as if its pieces were bare"]
    return []


def _notes(columns: Sequence[Column], wanted: Wanted, rate: float | None, asked: Asked) -> list[str]:
    said = []
    if wanted.busy and asked.problem.jobs:
        said.append("around the work already planned")
    if wanted.size is None:
        said.append("no size given: amounts of finish and their cost are not known")
    elif any(c.cost is None and c.money is not None for c in columns):
        said.append("+: without the finish, as no can of it has a price; cheapest first leaves these for last")
    if rate is None:
        said.append("your hours cost nothing until you say what one does: finishing settings hourly_rate 28")
    return said


def check_wish(text: str, field_name: str = "wish") -> Wish:
    """A wish by its word."""
    for wish in Wish:
        if text.strip().lower().replace(" ", "-").replace("_", "-") == wish.value:
            return wish
    raise BadInput(field_name, text, f"one of {', '.join(w.value for w in Wish)}")
