"""A first plan at once: one activity after the other at its earliest place, by several rules of priority.

Serial schedule generation for maximum lags: when an activity finds no place before its latest start, those
that hold it there are taken out, moved later and placed again (the unscheduling step of Franck, Neumann and
Schwindt, OR Spektrum 23, 2001; from memory). Bounded in steps, not seconds, so the same project gives the
same plan. It may find nothing where a schedule exists; it never proves that there is none.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator, Sequence

import numpy as np

from finishing.plan.project import Project
from finishing.plan.temporal import Flags, Table, Windows
from finishing.plan.usage import Usage

PLACINGS = 3000
"""Activities placed over all passes, those placed again included: a few tenths of a second."""

PASSES = 60
"""Most passes; small projects are through before their placings are used up."""

AGAIN = 10
"""Most times each activity is placed in one pass, on average, before the pass is given up."""


def first_plan(
    project: Project, windows: Windows, bound: int, *, enough: Callable[[], bool] = lambda: False, seed: int = 0
) -> tuple[int, ...] | None:
    """The best starts of a bounded number of passes, stopping early at `bound`; None if none came through.

    enough: asked after each pass; True ends the passes.
    """
    best: tuple[int, ...] | None = None
    placings = 0
    for _, priority in zip(range(PASSES), _priorities(project, windows, seed), strict=False):
        attempt = _Pass(project, windows, priority)
        starts = attempt.run()
        placings += attempt.placings
        if starts is not None and (best is None or project.makespan(starts) < project.makespan(best)):
            best = starts
        if placings >= PLACINGS or enough() or (best is not None and project.makespan(best) <= bound):
            break
    return best


def _priorities(project: Project, windows: Windows, seed: int) -> Iterator[Table]:
    """Rules of priority, the smallest first: known good ones, then endless random blends of them."""
    durations = np.array(project.durations, np.int64)
    follows = ((windows.lag >= 0) & (windows.lag.T < 0)).sum(axis=1)
    tails = (windows.lag + durations[None, :]).max(axis=1)
    rules = [
        windows.latest,
        -tails,
        windows.latest + durations,
        windows.latest - windows.earliest,
        windows.earliest,
        -follows,
    ]
    yield from rules
    draw = random.Random(seed)
    while True:
        rule = draw.choice(rules[:3])
        spread = max(1, int(rule.max() - rule.min()) // draw.choice((2, 4, 8)))
        yield rule + np.array([draw.randint(0, spread) for _ in rule], np.int64)


class _Pass:
    """One pass with one priority: what is placed, what is held, and the window each lag leaves open."""

    def __init__(self, project: Project, windows: Windows, priority: Table) -> None:
        self.project, self.windows = project, windows
        self.order = np.argsort(priority, kind="stable")
        self.starts: dict[int, int] = {}
        self.usage = Usage(project.capacities)
        self.floor = windows.earliest.copy()
        self.low, self.high = self.floor.copy(), windows.latest.copy()
        self.before = (windows.lag >= 0) & (windows.lag.T < 0)
        self.missing = self.before.sum(axis=0)
        self.waiting: Flags = np.ones(project.size, np.bool_)
        self.placings, self.most = 0, AGAIN * project.size

    def run(self) -> tuple[int, ...] | None:
        """Place everything, or None when the placings are used up or nothing makes way."""
        while len(self.starts) < self.project.size:
            ready = self.waiting & (self.missing == 0)
            activity = int(self.order[ready[self.order].argmax()])
            start = self._earliest(activity, int(self.low[activity]))
            if start <= self.high[activity]:
                self._place(activity, start)
            elif not self._make_way(activity, start):
                return None
        self._shift_left()
        return tuple(self.starts[i] for i in range(self.project.size))

    def _earliest(self, activity: int, not_before: int) -> int:
        return self.usage.earliest(self.project.held(activity), self.project.durations[activity], not_before)

    def _place(self, activity: int, start: int) -> None:
        lag = self.windows.lag
        self.starts[activity] = start
        self.waiting[activity] = False
        self.placings += 1
        self.usage.change(self.project.held(activity), self.project.durations[activity], start, 1)
        np.maximum(self.low, start + lag[activity], out=self.low)
        np.minimum(self.high, start - lag[:, activity], out=self.high)
        self.missing -= self.before[activity]

    def _make_way(self, activity: int, start: int) -> bool:
        """Take out what keeps `activity` from `start`, and all that began after it; False if nothing helps."""
        if self.placings >= self.most or start > self.windows.latest[activity]:
            return False
        needed = start + self.windows.lag[activity]
        holding = [i for i, placed in self.starts.items() if placed < needed[i]]
        for i in holding:
            self.floor[i] = needed[i]
            if needed[i] > self.windows.latest[i]:
                return False
        since = min(self.starts[i] for i in holding)
        self._take_out([i for i, placed in self.starts.items() if placed > since or i in holding])
        return True

    def _take_out(self, activities: Sequence[int]) -> None:
        for i in activities:
            start = self.starts.pop(i)
            self.waiting[i] = True
            self.usage.change(self.project.held(i), self.project.durations[i], start, -1)
            self.missing += self.before[i]
        placed = list(self.starts)
        at = np.array([self.starts[i] for i in placed], np.int64)
        lag = self.windows.lag
        self.low, self.high = self.floor.copy(), self.windows.latest.copy()
        if placed:
            np.maximum(self.low, (at[:, None] + lag[placed]).max(axis=0), out=self.low)
            np.minimum(self.high, (at[None, :] - lag[:, placed]).min(axis=1), out=self.high)

    def _shift_left(self, rounds: int = 3) -> None:
        """Move each activity to its earliest place with all others where they are, while anything moves."""
        lag = self.windows.lag
        at = np.array([self.starts[i] for i in range(self.project.size)], np.int64)
        for _ in range(rounds):
            moved = False
            for i in map(int, np.argsort(at, kind="stable")):
                held, duration = self.project.held(i), self.project.durations[i]
                self.usage.change(held, duration, int(at[i]), -1)
                low = int(max(self.windows.earliest[i], (at + lag[:, i])[np.arange(len(at)) != i].max(initial=0)))
                start = self._earliest(i, low)
                self.usage.change(held, duration, start, 1)
                moved, at[i] = moved or start < at[i], start
            if not moved:
                break
        self.starts = {i: int(start) for i, start in enumerate(at)}
