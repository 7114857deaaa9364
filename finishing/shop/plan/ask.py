"""The shop's open batches as a problem to plan, as they are or with something changed."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from finishing.clock import at_zone, hour_of
from finishing.cure.climate import PlaceAir
from finishing.cure.coat import ShopFactor
from finishing.cure.fold import Fold
from finishing.cure.progress import folded
from finishing.cure.work import Batch, Entry, MoveEntry
from finishing.plan.batches import Curves, Job, Problem, Taken, grid_over, job_of, on_rack_until
from finishing.shop.learning.paces import paced, paces
from finishing.shop.plan import kept
from finishing.shop.plan.kept import Pins
from finishing.shop.plan.parts import Parts, fitting, history, part_codes, scarce_room, too_long
from finishing.shop.settings import Settings
from finishing.shop.shop import Shop
from finishing.store import batches as stored

DAYS = 42
"""How far ahead work is planned at least."""

MOST_DAYS = 120
AFTER_DATE_DAYS = 14
"""How far beyond the last date wanted."""

LAST = 1 << 61
"""Number of a supposed move: after every entry on record."""


@dataclass(frozen=True, slots=True)
class Variant:
    """What is otherwise than the record and the settings say, by code of the batch where it is one's.

    extra: more hours worked [hour, hour]. whole_days: hands at any hour. moved: to another place now. schedules, for
    batches not begun. first: before all others. leave_out: not planned at all. until: plan at least to
    this hour. later: so many pieces as a batch of their own without a date. parts: split so, and in no other way.
    """

    extra: tuple[tuple[float, float], ...] = ()
    whole_days: bool = False
    moved: Mapping[str, str] = field(default_factory=dict)
    schedules: Mapping[str, str] = field(default_factory=dict)
    later: Mapping[str, int] = field(default_factory=dict)
    parts: Mapping[str, tuple[int, ...]] = field(default_factory=dict)
    first: frozenset[str] = frozenset()
    leave_out: frozenset[str] = frozenset()
    until: float | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Item:
    """A batch to plan: what it is, the batch and its record as supposed, its fold, and its work.

    whole: code of the batch on record that it is, or is planned as if it were a part of. of: pieces there. number:
    of the batch among all, in the order in which they were added.
    """

    what: str
    batch: Batch
    entries: Sequence[Entry]
    fold: Fold
    job: Job
    whole: str
    of: int
    held: bool = False
    number: int = 0

    @property
    def supposed(self) -> bool:
        """Whether it is a part that nobody has split off yet."""
        return self.batch.code != self.whole


@dataclass(frozen=True, slots=True, eq=False)
class Asked:
    """A problem, and what it was made of. items: every open batch by code, those with nothing to plan among them.

    splits: batches planned in parts for want of hours long enough for a coat of all their pieces, or of room on the
    rack. curves: of its grid.
    """

    now: float
    settings: Settings
    air: Mapping[str, PlaceAir]
    problem: Problem
    items: Mapping[str, Item]
    variant: Variant
    curves: Curves
    splits: tuple[Parts, ...] = ()

    def item(self, j: int) -> Item:
        """The batch of a job."""
        return self.items[self.problem.jobs[j].code]

    @property
    def parts(self) -> dict[str, int]:
        """Pieces of each part that nobody has split off yet, by its code."""
        return {code: item.batch.pieces for code, item in self.items.items() if item.supposed}


def ask(shop: Shop, now: float, variant: Variant | None = None, pins: Pins | None = None) -> Asked:
    """The problem of the shop as it stands. pins: see `kept.pins`, which are read where None is given."""
    variant = variant or Variant()
    rack = shop.rack(now)
    pinned = kept.pins(shop) if pins is None else pins
    dates = [s.batch.wanted_by for code, s in rack.standings.items() if code not in variant.leave_out]
    end = _horizon(now, [*dates, variant.until])
    hours = rack.settings.working_hours()
    stretches = [(now, end)] if variant.whole_days else list(hours.stretches(now, end, rack.settings.zone))
    grid = grid_over(now, end, _joined([*stretches, *variant.extra]))
    curves = Curves(grid, rack.settings.level)
    racks = {p.name: p.rack_pieces for p in rack.places if p.rack_pieces is not None}
    items: dict[str, Item] = {}
    splits: list[Parts] = []
    hands = paces(shop)
    for code, standing in rack.standings.items():
        if code in variant.leave_out or standing.row.closed_at is not None:
            continue
        batch, entries = _as_supposed(shop, code, standing.batch, standing.entries, variant, now)
        batch = replace(batch, schedule=paced(batch.schedule, hands))
        weight = weight_of(standing.row.priority) * (1000 if code in variant.first else 1)
        learned = standing.fold.shop
        if code in variant.schedules:  # finishes that the batch has not begun with
            learned = rack.learned.factors(batch.finishes.values())
        parting = _Parting(shop, variant, _Maker(standing.row.what, batch, entries, rack.air, learned, now, curves,
                                                 weight, pinned, standing.row.id), racks)  # fmt: skip
        items |= {item.batch.code: item for item in parting.items()}
        splits += parting.splits
    empty = Problem(grid, (), rack.settings.makers, racks)
    problem = _filled(empty, items)
    return Asked(now, rack.settings, rack.air, problem, items, variant, curves, tuple(splits))


def _filled(problem: Problem, items: Mapping[str, Item]) -> Problem:
    """A problem with these items for its jobs, in the order in which the batches were added: whatever the code of a new
    one will be, it comes last."""
    grid, rows = problem.grid, sorted(items.values(), key=lambda i: i.number)
    jobs = tuple(i.job for i in rows if i.job.tasks and not i.held)
    taken = tuple(
        Taken(i.job.place, i.job.pieces, on_rack_until(i.fold, grid)) for i in rows if not i.job.tasks or i.held
    )
    return replace(problem, jobs=jobs, taken=taken)


@dataclass(frozen=True, slots=True, eq=False)
class Supposed:
    """A batch that is not on record as it is here. learned: of its finishes. air: where it isn't that of the shop.

    number: of the batch that it stands for; that of a new one is greater than any.
    """

    what: str
    batch: Batch
    learned: Mapping[str, ShopFactor]
    air: Mapping[str, PlaceAir]
    entries: Sequence[Entry] = ()
    weight: int = 1
    pins: Pins = field(default_factory=dict)
    number: int = LAST


def with_batch(shop: Shop, asked: Asked, supposed: Supposed) -> Asked:
    """The same question with one batch more; it must not be among those asked about already."""
    maker = _Maker(supposed.what, supposed.batch, supposed.entries, supposed.air, supposed.learned, asked.now,
                   asked.curves, supposed.weight, supposed.pins, supposed.number)  # fmt: skip
    parting = _Parting(shop, asked.variant, maker, asked.problem.racks)
    items = {**asked.items, **{item.batch.code: item for item in parting.items()}}
    splits = (*asked.splits, *parting.splits)
    return replace(asked, problem=_filled(asked.problem, items), items=items, splits=splits)


def item_of(
    what: str,
    batch: Batch,
    entries: Sequence[Entry],
    air: Mapping[str, PlaceAir],
    shop: Mapping[str, ShopFactor],
    now: float,
    curves: Curves,
    weight: int,
    pins: Mapping[int, float] | None,
) -> Item:
    """One batch with its work."""
    job = job_of(batch, entries, air, shop, now, curves, weight=weight, pins=pins)
    fold = folded(batch, entries, air, shop, curves.level)
    return Item(what, batch, entries, fold, job, batch.code, batch.pieces, fold.held)


@dataclass(frozen=True, slots=True, eq=False)
class _Maker:
    """Makes items of a batch, or of some of its pieces."""

    what: str
    batch: Batch
    entries: Sequence[Entry]
    air: Mapping[str, PlaceAir]
    shop: Mapping[str, ShopFactor]
    now: float
    curves: Curves
    weight: int
    pins: Pins
    number: int

    def item(self, code: str, pieces: int, *, dated: bool = True) -> Item:
        """So many of its pieces as a batch of that code."""
        batch, entries = self.batch, self.entries
        if pieces != batch.pieces:
            entries = history(entries, pieces / batch.pieces)
        part = replace(batch, code=code, pieces=pieces, wanted_by=batch.wanted_by if dated else None)
        made = item_of(self.what, part, entries, self.air, self.shop, self.now, self.curves, self.weight,
                       self.pins.get(code))  # fmt: skip
        return replace(made, whole=batch.code, of=batch.pieces, number=self.number)


class _Parting:
    """One batch as it is planned: whole, or in parts. splits: how, where a coat asked for it."""

    def __init__(self, shop: Shop, variant: Variant, maker: _Maker, racks: Mapping[str, int]) -> None:
        self.shop, self.variant, self.maker, self.racks = shop, variant, maker, racks
        self.splits: list[Parts] = []

    def items(self) -> list[Item]:
        """What is planned of it."""
        batch, grid = self.maker.batch, self.maker.curves.grid
        later = self.variant.later.get(batch.code, 0)
        whole = self.maker.item(batch.code, batch.pieces)
        forced = self.variant.parts.get(batch.code)
        minutes, room = too_long(whole.job, grid), scarce_room(whole.job, self.racks)
        if whole.held or (forced is None and not later and not minutes and not room):
            return [whole]
        rows = [(n, True) for n in forced or self._fitting(batch.pieces - later)]
        rows += [(n, False) for n in (self._fitting(later) if later else ())]
        if len(rows) == 1:
            return [whole]
        with self.shop.store.read() as r:
            codes = part_codes(batch.code, len(rows), stored.codes(r))
        if minutes or room:
            longest = grid.longest * 60.0 / grid.per_hour
            self.splits.append(Parts(codes, tuple(n for n, _ in rows), minutes, longest, whole.job.place, room))
        return [self.maker.item(code, n, dated=dated) for code, (n, dated) in zip(codes, rows, strict=True)]

    def _fitting(self, pieces: int) -> tuple[int, ...]:
        code, grid = self.maker.batch.code, self.maker.curves.grid
        return fitting(pieces, lambda n: self.maker.item(code, n).job, grid, self.racks)


def weight_of(priority: int) -> int:
    """How much a day late counts: once, and once more for each step of priority above the usual."""
    return 1 + max(priority, 0)


def _horizon(now: float, wanted: Sequence[float | None]) -> float:
    last = max((w for w in wanted if w is not None), default=-math.inf) + AFTER_DATE_DAYS * 24.0
    return min(max(now + DAYS * 24.0, last), now + MOST_DAYS * 24.0)


def _as_supposed(
    shop: Shop, code: str, batch: Batch, entries: Sequence[Entry], variant: Variant, now: float
) -> tuple[Batch, Sequence[Entry]]:
    if code in variant.schedules:
        schedule = shop.library.schedule(variant.schedules[code])
        batch = replace(batch, schedule=schedule, finishes=shop.library.finishes_of(schedule))
    if code in variant.moved:
        entries = [*entries, MoveEntry(LAST, now, variant.moved[code])]
    return batch, entries


def _joined(stretches: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """Stretches in order, those that touch or overlap made one."""
    found: list[tuple[float, float]] = []
    for a, b in sorted(stretches):
        if found and a <= found[-1][1]:
            found[-1] = (found[-1][0], max(found[-1][1], b))
        else:
            found.append((a, b))
    return found


def evening(now: float, day: int, zone: str, begin: int = 18, end: int = 21) -> tuple[float, float]:
    """The evening of a day ahead (0: today) as a stretch."""
    local = at_zone(now, zone).start_of("day").add(days=day)
    return hour_of(local.set(hour=begin)), hour_of(local.set(hour=end))
