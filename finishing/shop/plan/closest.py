"""The plan nearest to the one the maker goes by, of those that are late by no more days than a fresh one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from finishing.plan.batches import Problem, Schedule, Score, first_plan
from finishing.plan.batches.first import around
from finishing.plan.batches.reorder import by_order, in_order
from finishing.plan.batches.serial import Key, by_batch, by_time
from finishing.shop.plan import kept

AROUND_PLACINGS, BACK_PLACINGS = 15_000, 20_000
"""Tasks placed to find a plan around the kept one, and to put a fresh one back where that was: tenths of a second."""

Closeness = tuple[tuple[int, ...], int, Score]
"""The smaller the better: what is later than it need be, how many tasks moved, and all else."""


@dataclass(frozen=True, slots=True)
class Moved:
    """A task that begins at another time than in the plan before [hours]; before None: it is new.

    number: of the task among its batch's. part: see `Task`.
    """

    code: str
    steps: tuple[int, ...]
    before: float | None
    after: float
    number: int = 0
    part: tuple[int, int] | None = None


class Closest:
    """Plans of a problem near a kept one."""

    def __init__(self, problem: Problem, known: kept.Kept, starts: Mapping[Key, int]) -> None:
        self.problem, self.known, self.starts = problem, known, starts

    @classmethod
    def of(cls, problem: Problem, known: kept.Kept) -> Closest | None:
        """None where nothing of the kept plan is ahead."""
        starts = kept.starts(problem, known)
        return cls(problem, known, starts) if starts else None

    @cached_property
    def fresh(self) -> Schedule:
        """The first plan, whatever is kept: what is late in it need not be more."""
        return first_plan(self.problem)

    @cached_property
    def _held(self) -> Schedule:
        """Everything kept where it is if it can be."""
        plan = self._placed(self.starts, self.fresh)
        if not self._as_good(plan, self.fresh):
            plan = min(
                plan, around(self.problem, self.starts, AROUND_PLACINGS), key=lambda each: self._key(each, self.fresh)
            )
        return plan

    @property
    def holds(self) -> bool:
        """Whether all that is new fits around what is kept, and nothing is late that need not be."""
        return self._as_good(self._held, self.fresh)

    def plan(self) -> Schedule:
        """The nearest that was found."""
        return self._held if self.holds else self.put_back(self.fresh)

    def put_back(self, plan: Schedule) -> Schedule:
        """A plan with its batches, then its tasks, back where they were kept, as many as leave it no later.

        All else goes anew, in the order in which the plan has it.
        """
        order = in_order(self.problem, plan)
        left, best, held = BACK_PLACINGS, plan, dict[Key, int]()
        rest = self._by_batch()
        while rest and left > 0:
            some = rest.pop(0)
            found = self._placed({**held, **some}, plan, order)
            left -= 5 * self.problem.size
            if self._as_good(found, plan):
                held.update(some)
                best = min(best, found, key=lambda each: self._key(each, plan))
            elif len(some) > 1:
                rest += [{key: slot} for key, slot in some.items()]
        return best

    def _by_batch(self) -> list[dict[Key, int]]:
        """The kept starts of each batch, that which begins first first."""
        rows: dict[int, dict[Key, int]] = {}
        for key, slot in self.starts.items():
            rows.setdefault(key[0], {})[key] = slot
        return sorted(rows.values(), key=lambda row: min(row.values()))

    def _placed(self, starts: Mapping[Key, int], aim: Schedule, order: Sequence[int] = ()) -> Schedule:
        """The best of several orders. order: of jobs, as often as each has tasks: one more to try."""
        problem, size = self.problem, range(len(self.problem.jobs))
        rest = sorted(size, key=lambda j: ((j, 0) not in self.starts, _date(problem, j)))
        plans = [way(problem, each, keep=starts) for way in (by_batch, by_time) for each in (rest, size)]
        if order:
            plans.append(by_order(problem, order, starts))
        return min(plans, key=lambda each: self._key(each, aim))

    def _key(self, plan: Schedule, aim: Schedule) -> Closeness:
        """As little late as is aimed at comes first, then how little moved."""
        late = () if self._as_good(plan, aim) else (len(plan.unkept), *plan.score[:2])
        return (late, len(moved(self.problem, plan, self.known)), plan.score)

    def _as_good(self, plan: Schedule, other: Schedule) -> bool:
        return len(plan.unkept) <= len(other.unkept) and plan.score[:2] <= other.score[:2]


def _date(problem: Problem, j: int) -> float:
    wanted = problem.jobs[j].wanted
    return float("inf") if wanted is None else wanted


def moved(problem: Problem, plan: Schedule, known: kept.Kept) -> tuple[Moved, ...]:
    """What begins at another time than in the kept plan, or is new."""
    found = []
    for job, placed in zip(problem.jobs, plan.placed, strict=True):
        row = known.begins.get(job.code)
        for t, (task, where) in enumerate(zip(job.tasks, placed, strict=False)):
            before = None if row is None else row.get(kept.name(task))
            after = problem.grid.hour(where.start)
            if before is None or abs(before - after) > 1e-6:
                found.append(Moved(job.code, task.steps, before, after, t, task.part))
    return tuple(found)
