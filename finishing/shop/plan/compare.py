"""The same batch under several schedules, before it exists or instead of its own: what each takes, costs and promises.

Each is planned among all other batches as the first plan would be with it, so that the plan then says the same.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import replace

from finishing.clock import at_zone
from finishing.cure.advice import air_cautions
from finishing.cure.cautions import Caution, hazards, wood_cautions
from finishing.cure.climate import steady
from finishing.cure.film import amount_ml
from finishing.cure.finish import Finish
from finishing.cure.fold import SEAL_OR_TEST
from finishing.cure.progress import releases
from finishing.cure.schedule import Schedule
from finishing.cure.terms import Release
from finishing.cure.work import Batch, HoldEntry
from finishing.errors import BadInput
from finishing.shop import cans
from finishing.shop.batches import shares
from finishing.shop.learning.paces import paced, paces
from finishing.shop.plan import kept
from finishing.shop.plan.among import Among, among
from finishing.shop.plan.ask import LAST, Asked, Supposed, Variant, ask, weight_of
from finishing.shop.plan.compared import Column, Comparison, Wanted, Wish
from finishing.shop.plan.play import played
from finishing.shop.shop import Shop
from finishing.shop.words import with_year
from finishing.units import show_temperature

Progress = Callable[[int, int], None]

NEW = "(new)"
"""The code of a batch that is only asked about."""

REFERENCE_C, REFERENCE_PCT = 21.0, 50.0
"""The air supposed where the shop has no place yet: that of the finishes' own stated times."""


LOOK_DAYS = 100
"""Some schedules rub out a film once it has cured, weeks after its last coat."""


def compare(shop: Shop, wanted: Wanted, now: float, heard: Progress | None = None) -> Comparison:
    """Answer for each schedule, alone or among the work planned. NotFound and BadInput name what isn't there.

    heard: told how many of all schedules are done, in the caller's thread.
    """
    names = list(dict.fromkeys(wanted.schedules or shop.library.schedule_names))
    woods = shares([(shop.library.species(name).name, share) for name, share in wanted.woods])
    place, said = _place(shop, wanted.place, now)
    ground = _Ground(shop, wanted, woods, place, now)
    supposed = [ground.supposed(name) for name in names]
    columns = []
    for n, one in enumerate(supposed):
        if heard is not None:
            heard(n, len(supposed))
        columns.append(ground.column(one))
    columns.sort(key=lambda c: _rank(c, wanted.wish))
    settings = ground.asked.settings
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
        notes=(*said, *ground.notes, *_notes(columns, wanted, settings.hourly_rate, ground.asked)),
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
    """What all schedules are compared on: the other batches, the hours, the air, the prices."""

    def __init__(self, shop: Shop, wanted: Wanted, woods: Sequence[tuple[str, float]], place: str, now: float) -> None:
        self.shop, self.wanted, self.woods, self.place, self.now = shop, wanted, woods, place, now
        rack = shop.rack(now)
        left_out = frozenset({wanted.instead} if wanted.busy else rack.standings)
        self.asked = ask(shop, now, Variant(until=wanted.by, leave_out=left_out))
        self.air = rack.air if place in rack.air else {place: steady(REFERENCE_C, REFERENCE_PCT, now)}
        self.known = kept.plan(shop) if wanted.busy else None
        self.hands, self.learned = paces(shop), rack.learned
        self.stands = shop.standing(wanted.instead, now) if wanted.instead else None
        self.notes = self._notes()
        self._longer: Asked | None = None

    def _notes(self) -> list[str]:
        """How the batch asked about is told, where that is not as it stands."""
        if self.stands is None:
            return []
        code, said = self.wanted.instead, []
        if self.stands.fold.coats:
            own = "its own schedule goes on from there, any other is told" if self._as_it_is else "told"
            said.append(f"{code} has coats on already: {own} as if its pieces were bare")
        if self.stands.fold.held:
            said.append(f"{code} is on hold: told as if it were not")
        return said

    @property
    def _as_it_is(self) -> bool:
        """Whether it is asked about a batch with its own pieces, woods, size and place."""
        if self.stands is None or self.stands.row.closed_at is not None:
            return False
        row, wanted = self.stands.row, self.wanted
        own = sorted((wood.species, wood.share) for wood in row.woods)
        same = (wanted.pieces, wanted.size, self.place) == (row.pieces, row.size, self.stands.fold.place)
        return same and all(
            a == b and abs(x - y) < 1e-9 for (a, x), (b, y) in zip(own, sorted(self.woods), strict=False)
        ) and len(own) == len(self.woods)  # fmt: skip

    def supposed(self, name: str) -> Supposed:
        """The batch under a schedule; under its own as it stands."""
        stands = self.stands
        if stands is None:
            return self._bare(self.shop.library.schedule(name), NEW, "new", 1, LAST)
        row = stands.row
        if name == row.schedule and self._as_it_is:
            batch = replace(stands.batch, schedule=paced(stands.batch.schedule, self.hands), wanted_by=self.wanted.by)
            entries = [*stands.entries, *([HoldEntry(LAST, self.now, on=False)] if stands.fold.held else ())]
            return Supposed(row.what, batch, stands.fold.shop, stands.fold.climate, entries, weight_of(row.priority),
                            kept.pins(self.shop), row.id)  # fmt: skip
        return self._bare(self.shop.library.schedule(name), row.code, row.what, weight_of(row.priority), row.id)

    def _bare(self, schedule: Schedule, code: str, what: str, weight: int, number: int) -> Supposed:
        """Nothing on it yet."""
        library, wanted = self.shop.library, self.wanted
        finishes = library.finishes_of(schedule)
        species = tuple(library.species(name) for name, _ in self.woods)
        batch = Batch(code, paced(schedule, self.hands), finishes, species, library.classes, self.place, wanted.pieces,
                      wanted.size, wanted.by)  # fmt: skip
        return Supposed(what, batch, self.learned.factors(finishes.values()), self.air, weight=weight, number=number)

    def column(self, supposed: Supposed) -> Column:
        """One schedule's answer."""
        batch, plan = supposed.batch, self._plan(supposed)
        items, rows = plan.items, plan.rows
        grid = plan.asked.problem.grid
        jobs = [item.job for item in items]
        folds = [played(item, placed, grid) for item, placed in zip(items, rows, strict=True)]
        released = _latest_of([releases(fold, None) for fold in folds]) if plan.whole else dict.fromkeys(Release)
        last = _last_finish(batch)
        used, cost = self._used(batch, {i for job in jobs for t in job.tasks for i in t.steps} if supposed.entries
                                and plan.whole else None)  # fmt: skip
        minutes = sum(t.works(p.reopened) for job, row in zip(jobs, rows, strict=True)
                      for t, p in zip(job.tasks, row, strict=False)) if plan.whole else _hands(batch)  # fmt: skip
        rate = self.asked.settings.hourly_rate
        begins = grid.hour(min(p.start for row in rows for p in row)) if any(rows) else None
        makes_it = None if self.wanted.by is None else _by(released[Release.PACK], self.wanted.by)
        latest = None if not plan.whole or self.wanted.by is None else plan.latest(self.wanted.by)
        if makes_it and begins is not None:  # rounded up to slots no start may make it, and yet this one does
            latest = begins if latest is None else max(latest, begins)
        return Column(
            schedule=batch.schedule.name,
            title=batch.schedule.title,
            coats=batch.schedule.coats,
            minutes=minutes,
            sessions=len({int(grid.stretch_of[p.start]) for row in rows for p in row}),
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
            cautions=tuple(self._cautions(batch, not plan.dated)),
            limits=tuple(self._limits(released, last)),
            stopped="" if plan.whole else jobs[0].note or "finds no place in your working hours",
            parts=tuple(item.batch.pieces for item in items) if len(items) > 1 else (),
            parts_fit=plan.parts_fit,
        )

    def _plan(self, supposed: Supposed) -> Among:
        """Planned in the days that the plan looks ahead; where it finds no place in those, in more."""
        known = self.known
        if known is not None and not supposed.entries and supposed.batch.schedule.name != self._own:
            # the steps of another schedule are none of those that the plan kept has hours for
            known = replace(known, begins={c: row for c, row in known.begins.items() if c != supposed.batch.code})
        found = among(self.shop, self.asked, supposed, known)
        if found.whole or not found.dated:
            return found
        if self._longer is None:
            until = max(self.now + LOOK_DAYS * 24.0, self.now if self.wanted.by is None else self.wanted.by)
            self._longer = ask(self.shop, self.now, replace(self.asked.variant, until=until))
        return among(self.shop, self._longer, supposed, known)

    @property
    def _own(self) -> str:
        return "" if self.stands is None else self.stands.row.schedule

    def _used(self, batch: Batch, steps: Collection[int] | None) -> tuple[dict[str, float], float | None]:
        """Finish used in all, by title, and what it costs where every price is known. steps: those left, None: all."""
        if batch.size is None:
            return {}, None
        used: dict[str, float] = {}
        for i in batch.schedule.coat_steps:
            if steps is not None and i not in steps:
                continue
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


def _notes(columns: Sequence[Column], wanted: Wanted, rate: float | None, asked: Asked) -> list[str]:
    said = []
    if wanted.busy and asked.problem.jobs:
        said.append("planned among your other batches, as the first plan does it")
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
