"""A month of the shop: pieces finished, hours, finish used and what it cost, by schedule; and promises kept.

Hours are as timed by the pass guide where it was run; else at the pace learned of these hands; else as the schedule
states, as setting up always is. A wipe-off goes with its coat. A batch is finished when all its coats are on and it was
first released to be packed or used, or closed.
"""

from __future__ import annotations

import datetime as dt
import re
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

import pendulum

from finishing.clock import at_zone, hour_of
from finishing.cure.film import amount_ml
from finishing.cure.schedule import Schedule
from finishing.cure.terms import Release, StepKind
from finishing.cure.work import AbradeEntry, CloseEntry, CoatEntry, Entry, ReleaseEntry, StepEntry, standing
from finishing.errors import BadInput
from finishing.library import Frozen
from finishing.shop import cans
from finishing.shop.frozen import thaw_all
from finishing.shop.learning.paces import Paces, paces, work_of
from finishing.shop.shop import Shop
from finishing.store import batches as stored
from finishing.store import cans as stored_cans
from finishing.store.batches import BatchRow
from finishing.store.work import Reader

MONTH = re.compile(r"(\d{4})-(\d{2})")


@dataclass(slots=True)
class Minutes:
    """Minutes of hands-on work, by how they are known."""

    timed: float = 0.0
    learned: float = 0.0
    stated: float = 0.0

    @property
    def all(self) -> float:
        """All of them."""
        return self.timed + self.learned + self.stated

    def take(self, other: Minutes) -> None:
        """Add others."""
        self.timed += other.timed
        self.learned += other.learned
        self.stated += other.stated


@dataclass(slots=True)
class Sum:
    """What one schedule, or all of them, came to. kept: of the promised dates those that were made."""

    batches: int = 0
    pieces: int = 0
    work: Minutes = field(default_factory=Minutes)
    used_ml: dict[str, float] = field(default_factory=lambda: defaultdict(float))
    cost: float = 0.0
    promised: int = 0
    kept: int = 0

    @property
    def minutes(self) -> float:
        """Minutes of work."""
        return self.work.all

    def take(self, other: Sum) -> None:
        """Add another."""
        self.batches += other.batches
        self.pieces += other.pieces
        self.work.take(other.work)
        for name, ml in other.used_ml.items():
            self.used_ml[name] += ml
        self.cost += other.cost
        self.promised += other.promised
        self.kept += other.kept


@dataclass(frozen=True, slots=True)
class Late:
    """A batch finished after the date it was promised for, and by how many days."""

    code: str
    days: float


@dataclass(frozen=True, slots=True)
class MonthReport:
    """A month in the shop's zone. days: date, hours and pieces finished. given_up: closed before the last coat.

    reckoned: coats without a recorded amount, taken at their finish's own. unpriced_ml: finish no price is known of.
    """

    month: str
    start: float
    end: float
    schedules: Mapping[str, Sum]
    whole: Sum
    days: Sequence[tuple[dt.date, float, int]]
    late: tuple[Late, ...]
    given_up: tuple[str, ...]
    reckoned: int
    unpriced_ml: float


def month_of(text: str, zone: str) -> tuple[float, float]:
    """First hour of a month such as 2026-11, and of the next. BadInput for anything else."""
    found = MONTH.fullmatch(text.strip())
    if found is None or not 1970 <= int(found[1]) <= 2199 or not 1 <= int(found[2]) <= 12:
        raise BadInput("month", text, "a month such as 2026-11")
    first = pendulum.datetime(int(found[1]), int(found[2]), 1, tz=zone)
    return hour_of(first), hour_of(first.add(months=1))


def report(shop: Shop, month: str | None, now: float) -> MonthReport:
    """The report of a month; without one, of the present. Of the present month, what there is so far."""
    zone = shop.settings.zone
    text = at_zone(now, zone).format("YYYY-MM") if month is None else month.strip()
    start, end = month_of(text, zone)
    count = _Count(start, end, zone, paces(shop))
    with shop.store.read() as r:
        rows = stored.worked_between(r, start, end)
        thawed = thaw_all(r, {row.frozen_key for row in rows})
        prices = _Prices(shop, r)
        for row in rows:
            count.add(row, thawed[row.frozen_key], prices)
    return count.done(text)


class _Prices:
    """What a millilitre costs: of the can it came from, else of the newest can with a price."""

    def __init__(self, shop: Shop, r: Reader) -> None:
        self._shop, self._r = shop, r
        self._cans: dict[int, float | None] = {}
        self._finishes: dict[str, float | None] = {}

    def of(self, can: int | None, finish: str) -> float | None:
        """By can and finish, None where neither has a price."""
        if can is not None:
            if can not in self._cans:
                found = stored_cans.by_id(self._r, can).can
                self._cans[can] = None if found.price is None else found.price / found.volume_ml
            if self._cans[can] is not None:
                return self._cans[can]
        if finish not in self._finishes:
            self._finishes[finish] = cans.price_per_ml(self._shop, finish)
        return self._finishes[finish]


class _Count:
    """Adds up batch by batch."""

    def __init__(self, start: float, end: float, zone: str, found: Paces) -> None:
        self.start, self.end, self.zone, self.paces = start, end, zone, found
        self.schedules: dict[str, Sum] = {}
        self.late: list[Late] = []
        self.given_up: list[str] = []
        self.reckoned, self.unpriced = 0, 0.0
        self._minutes: defaultdict[dt.date, float] = defaultdict(float)
        self._pieces: defaultdict[dt.date, int] = defaultdict(int)

    def add(self, row: BatchRow, began: Frozen, prices: _Prices) -> None:
        """Count one batch's share of the month."""
        alive = standing([recorded.entry for recorded in row.record])
        can = {recorded.entry.number: recorded.can_id for recorded in row.record}
        sum_ = Sum()
        for entry, minutes in _hands(row, began, alive, self.paces):
            if self._within(entry.at):
                sum_.work.take(minutes)
                self._minutes[self._day(entry.at)] += minutes.all
                if isinstance(entry, CoatEntry):
                    self._coat(sum_, row, began, entry, prices.of(can[entry.number], _finish(began, entry)))
        self._finished(sum_, row, began, alive)
        if sum_.minutes or sum_.batches:
            self.schedules.setdefault(row.schedule, Sum()).take(sum_)

    def _coat(self, sum_: Sum, row: BatchRow, began: Frozen, coat: CoatEntry, price: float | None) -> None:
        step = began.schedule.steps[coat.step]
        finish = began.finishes[step.finish or ""]
        used = coat.amount_ml
        if used is None:
            area = None if row.size is None else row.size.area_m2(step.face) * row.pieces
            if area is None:
                self.reckoned += 1
                return
            used = amount_ml(finish.film, area, first=began.schedule.coat_number(coat.step) == 1)
            self.reckoned += 1
        sum_.used_ml[finish.name] += used
        if price is None:
            self.unpriced += used
        else:
            sum_.cost += used * price

    def _finished(self, sum_: Sum, row: BatchRow, began: Frozen, alive: Sequence[Entry]) -> None:
        ends = [e.at for e in alive if _is_end(e)]
        if not ends or not self._within(min(ends)):
            return
        at, laid = min(ends), {e.step for e in alive if isinstance(e, CoatEntry)}
        if set(began.schedule.coat_steps) - laid:
            self.given_up.append(row.code)
            return
        sum_.batches, sum_.pieces = 1, row.pieces
        self._pieces[self._day(at)] += row.pieces
        if row.wanted_by is not None:
            sum_.promised, sum_.kept = 1, int(at <= row.wanted_by)
            if at > row.wanted_by:
                self.late.append(Late(row.code, (at - row.wanted_by) / 24.0))

    def _within(self, hour: float) -> bool:
        return self.start <= hour < self.end

    def _day(self, hour: float) -> dt.date:
        local = at_zone(hour, self.zone)
        return dt.date(local.year, local.month, local.day)

    def done(self, month: str) -> MonthReport:
        """The report."""
        whole = Sum()
        for one in self.schedules.values():
            whole.take(one)
        first, last = self._day(self.start), self._day(self.end - 0.5)
        dates = [first + dt.timedelta(days=n) for n in range((last - first).days + 1)]
        return MonthReport(
            month, self.start, self.end,
            dict(sorted(self.schedules.items(), key=lambda item: (-item[1].pieces, -item[1].minutes, item[0]))),
            whole, [(date, self._minutes[date] / 60.0, self._pieces[date]) for date in dates],
            tuple(self.late), tuple(self.given_up), self.reckoned, self.unpriced,
        )  # fmt: skip


def _is_end(entry: Entry) -> bool:
    out = isinstance(entry, ReleaseEntry) and entry.release in (Release.PACK, Release.USE)
    return out or isinstance(entry, CloseEntry)


def _finish(began: Frozen, coat: CoatEntry) -> str:
    return began.schedule.steps[coat.step].finish or ""


def _hands(row: BatchRow, began: Frozen, alive: Sequence[Entry], found: Paces) -> Iterator[tuple[Entry, Minutes]]:
    """Entries that took hands, and how long: the step's own work, and with a coat its wipe-off."""
    schedule, steps = began.schedule, began.schedule.steps
    own = {e.step for e in alive if isinstance(e, StepEntry)}
    for entry in alive:
        if isinstance(entry, CoatEntry | StepEntry | AbradeEntry) and entry.step is not None:
            timed = None if isinstance(entry, AbradeEntry) else entry.minutes_each
            minutes = _minutes(schedule, entry.step, row.pieces, timed, found)
            if isinstance(entry, CoatEntry) and entry.wiped_back:
                wipe = next((i for i in range(entry.step + 1, len(steps)) if steps[i].kind is not StepKind.SOAK), None)
                if wipe is not None and steps[wipe].kind is StepKind.WIPE and wipe not in own:
                    minutes.take(_minutes(schedule, wipe, row.pieces, None, found))
            yield entry, minutes


def _minutes(schedule: Schedule, position: int, pieces: int, timed: float | None, found: Paces) -> Minutes:
    step, work = schedule.steps[position], work_of(schedule, position)
    if timed is not None:
        return Minutes(timed=timed * pieces, stated=step.setup_minutes)
    stated = step.minutes_per_piece * pieces
    if work is not None and work in found:
        return Minutes(learned=stated * found[work].ratio, stated=step.setup_minutes)
    return Minutes(stated=stated + step.setup_minutes)
