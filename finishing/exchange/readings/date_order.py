"""Whether a log's dates are day first or month first: by their figures, else by how the rows follow each other."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from finishing.errors import BadInput
from finishing.exchange.readings.dates import NO_DAY, DateTable, Order
from finishing.exchange.readings.spool import Spool
from finishing.exchange.readings.tally import Tally
from finishing.exchange.readings.times import second_of_day

STRAY = 0.02
"""So small a share of dates may fit no order and still leave it decided: they are skipped as damaged."""

DAY = 86_400
BACK_SECONDS = 3 * 3600
"""A step back by more than this is no autumn clock change."""

JITTER_SECONDS = 2 * 3600
SLOWEST_SECONDS = 7 * 86_400
"""A log with one reading a date: how far its steps may differ, and the longest that a logger is set to."""

ASK = "pass --day-first or --month-first, or export dates with the year in four figures first"


@dataclass(frozen=True, slots=True)
class Decided:
    """The order of the dates ("" when none of them needs one) and why it was taken."""

    order: Order | None
    why: str


class _Rows:
    """The rows with a date, in the order of the file; gone over again for each question, never held at once."""

    def __init__(self, table: DateTable, spool: Spool) -> None:
        self.table = table
        self.spool = spool
        self.weights = np.zeros(len(table.numbers), dtype=np.int64)
        for part in spool.parts():
            self.weights += np.bincount(part["date"], minlength=len(self.weights))
        self.days = {order: table.days(order) for order in Order}

    def misfits(self, order: Order) -> int:
        """Rows that are no date under the order."""
        return int(self.weights[self.days[order] == NO_DAY].sum())

    def steps(self, order: Order) -> Iterator[tuple[npt.NDArray[np.int64], npt.NDArray[np.bool_]]]:
        """Seconds from each row to the next under an order that fits them all, and whether the date is another."""
        days = self.days[order]
        last_at, last_date = np.empty(0, np.int64), np.empty(0, np.int32)
        for part in self.spool.parts():
            at = np.append(last_at, days[part["date"]] * DAY + second_of_day(part["code"]))
            dates = np.append(last_date, part["date"])
            yield np.diff(at), np.diff(dates) != 0
            last_at, last_date = at[-1:], dates[-1:]

    def undecided(self) -> dict[int, tuple[int, int, int, bool]]:
        """The table's undecided dates that occur in the rows."""
        return {n: figures for n, figures in self.table.undecided().items() if self.weights[n]}

    def example(self) -> str:
        """A date that needs an order, as its figures."""
        a, b, c, _ = next(iter(self.undecided().values()))
        return f"{a:02d}/{b:02d}/{c:02d}"


def decide(table: DateTable, spool: Spool, day_first: bool | None) -> Decided:
    """The order of the dates of what was read. BadInput when the file fits two orders alike, or denies what was set."""
    rows = _Rows(table, spool)
    undecided = rows.undecided()
    if not undecided:
        return Decided(None, "the month is named" if table.named else "the year comes first")
    if day_first is not None:
        return _by_setting(rows, Order.DAY_FIRST if day_first else Order.MONTH_FIRST)
    misfits = {order: rows.misfits(order) for order in Order}
    fitting = [o for o in Order if misfits[o] == 0]
    if not fitting:
        fitting = [o for o in Order if misfits[o] <= STRAY * len(spool)][:2]
    if (len(fitting) != 1 and any(misfits[o] for o in fitting)) or not fitting:
        raise BadInput("dates", rows.example(), "all dates in one order, day first or month first", ASK)
    if len(fitting) == 1:
        return Decided(fitting[0], _evidence(fitting[0], undecided))
    fitting = _distinct(rows, fitting)
    if len(fitting) == 1:
        return Decided(fitting[0], "either order gives the same dates")
    return _by_sequence(rows, fitting)


def _by_setting(rows: _Rows, order: Order) -> Decided:
    other = Order.MONTH_FIRST if order is Order.DAY_FIRST else Order.DAY_FIRST
    if rows.misfits(order) > 0 and rows.misfits(other) == 0:
        raise BadInput("dates", rows.example(), f"{order.value} dates as set, but this file's are {other.value}")
    return Decided(order, "by setting")


def _evidence(order: Order, undecided: dict[int, tuple[int, int, int, bool]]) -> str:
    place, name = {
        Order.DAY_FIRST: (0, "first"),
        Order.MONTH_FIRST: (1, "second"),
        Order.YEAR_FIRST: (0, "first"),
    }[order]
    limit = 31 if order is Order.YEAR_FIRST else 12
    large = [figures[place] for figures in undecided.values() if figures[place] > limit]
    return f"{large[0]} occurs in the {name} place" if large else "no other order fits every date"


def _distinct(rows: _Rows, orders: list[Order]) -> list[Order]:
    seen: dict[bytes, Order] = {}
    used = rows.weights > 0
    for order in orders:
        seen.setdefault(rows.days[order][used].tobytes(), order)
    return list(seen.values())


def _by_sequence(rows: _Rows, orders: list[Order]) -> Decided:
    """By the one order under which time never runs back, else the one under which it runs on evenly."""
    turns = {o: turn for o in orders if (turn := _turn(rows, o))}
    if len(turns) == 1:
        return Decided(next(iter(turns)), "only so do the rows run on in time")
    even = [o for o, turn in turns.items() if _even(rows, o, turn)]
    if len(even) == 1:
        return Decided(even[0], "only so do the readings keep their interval from one date to the next")
    said = " or ".join(o.value for o in orders)
    raise BadInput("dates", rows.example(), f"day-first or month-first; every date fits {said}", ASK)


def _turn(rows: _Rows, order: Order) -> int:
    """1 when time runs on under the order, -1 when it runs backwards all the way, 0 when it does neither."""
    on = back = leaps = falls = 0
    for steps, _ in rows.steps(order):
        on += int(np.count_nonzero(steps > 0))
        back += int(np.count_nonzero(steps < 0))
        leaps += int(np.count_nonzero(steps > BACK_SECONDS))
        falls += int(np.count_nonzero(steps < -BACK_SECONDS))
    if back > on:
        return 0 if leaps else -1
    return 0 if falls else 1


def _even(rows: _Rows, order: Order, turn: int) -> bool:
    """Whether most changes of date take no longer than the steps within a date.

    With one reading a date: whether all steps are of one length, and no longer than a logger's may be.
    """
    within, across = Tally(), Tally()
    for steps, other_date in rows.steps(order):
        # No question below tells apart steps longer than the longest a logger is set to.
        steps = np.minimum(turn * steps, SLOWEST_SECONDS + 1)
        within.add(steps[~other_date])
        across.add(steps[other_date])
    if not len(across):
        return False
    usual = within.above(0).median()
    if usual is not None:
        return across.up_to(1.5 * usual) * 2 >= len(across)
    least, most = across.range()
    return len(across) >= 2 and most - least <= JITTER_SECONDS and most <= SLOWEST_SECONDS
