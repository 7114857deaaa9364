"""Why a batch is late, and the smallest set of batches and limits that can't all be kept."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from finishing.plan.batches import Problem, Schedule, first_plan, packed
from finishing.plan.batches.problem import Job
from finishing.plan.batches.score import late_days
from finishing.plan.batches.serial import alone
from finishing.shop.plan.ask import Asked, Variant, ask
from finishing.shop.plan.make import Made
from finishing.shop.shop import Shop
from finishing.shop.words import and_words, short_time
from finishing.units import show_duration

TRIES = 3_000
"""Tasks placed to see whether a set of batches fits: fewer than for a plan, as there are many sets to see."""

HOURS, PINS = "your working hours", "what is pinned"


@dataclass(frozen=True, slots=True)
class Clash:
    """Batches whose dates can't all be kept, with the limits that keep them from it: none of them can be left out.

    own: the batch is late by its own coats, whatever the hands do.
    """

    codes: tuple[str, ...]
    limits: tuple[str, ...]

    @property
    def own(self) -> bool:
        """Whether one batch is late all by itself."""
        return len(self.codes) == 1 and not self.limits

    def words(self) -> str:
        """In a sentence."""
        if self.own:
            return f"{self.codes[0]}: its coats alone take too long, whatever your hands do"
        rest = list(self.limits)
        return f"clash: {and_words([*self.codes, *rest])}; with any one of them gone the others fit"


class Reasons:
    """Answers why, trying out as little as it must. One for one plan."""

    def __init__(self, shop: Shop, made: Made) -> None:
        self.shop, self.made, self.asked = shop, made, made.asked
        self._free: Asked | None = None

    @property
    def free(self) -> Asked:
        """The same shop with hands at any hour."""
        if self._free is None:
            parts = {split.code: split.pieces for split in self.asked.splits}
            self._free = ask(self.shop, self.asked.now, replace(self.asked.variant, whole_days=True, parts=parts))
        return self._free

    def late(self) -> list[str]:
        """Codes of the batches that miss their date or find no place, in the plan."""
        problem = self.asked.problem
        plan = self.made.outcome.schedule.placed
        placed = {job.code: row for job, row in zip(problem.jobs, plan, strict=True)}
        return [
            code
            for code, item in self.asked.items.items()
            if item.job.wanted is not None and not item.held and _late(problem, item.job, placed.get(code, ()))
        ]

    def why(self, code: str) -> str:
        """Why a batch is late, in a sentence; "" if it isn't."""
        asked, zone = self.asked, self.asked.settings.zone
        item = asked.items[code]
        if not item.job.dated:
            return item.job.note
        if not item.job.tasks:
            return "nothing is left for the hands: its last coat takes its time in this air"
        if said := self._too_long(item.job):
            return said
        problem = asked.problem
        here = alone(problem, item.job).placed[0]
        if _late(problem, item.job, here):
            free = self.free
            at_all = alone(free.problem, free.items[code].job).placed[0]
            when = packed(free.items[code].job, at_all)
            if when is not None and _late(free.problem, free.items[code].job, at_all):
                ready = short_time(free.problem.grid.hour(when), zone, asked.now)
                return f"its coats harden too slowly: ready {ready} at the earliest, even with hands at any hour"
            when = packed(item.job, here)
            if when is None:
                return "your hours: not even alone in the shop would it be done in the days planned for"
            ready = short_time(problem.grid.hour(when), zone, asked.now)
            return f"your hours: alone in the shop it would be ready {ready}"
        clash = self.clash(code)
        others = [c for c in clash.codes if c != code]
        if others:
            return f"not enough hands beside {and_words(others)}"
        return f"limited by {and_words(list(clash.limits) or ['?'])}"

    def _too_long(self, job: Job) -> str:
        """A coat that fits into no stretch of the hours."""
        grid = self.asked.problem.grid
        longest = max((task for task in job.tasks), key=lambda t: t.slots)
        if longest.slots <= grid.longest:
            return ""
        if not grid.stretches:
            return "no working hours ahead"
        of = "a single piece" if longest.pieces == 1 else f"{longest.pieces} pieces"
        return (
            f"coating {of} takes {show_duration(longest.minutes / 60)}, your longest hours are"
            f" {show_duration(grid.longest / grid.per_hour)}: no split helps, longer hours would"
        )

    def clash(self, code: str) -> Clash:
        """A smallest set that keeps a batch from its date: whatever can be left out with it still late is.

        As far as first plans can tell: a set that a longer search would fit may be named.
        """
        if not self.asked.items[code].job.tasks:
            return Clash((code,), ())
        others = [j.code for j in self.asked.problem.jobs if j.code != code and j.wanted is not None]
        undated = [j.code for j in self.asked.problem.jobs if j.code != code and j.wanted is None]
        codes = [code, *others]
        limits = [HOURS, *(f"the rack in {p}" for p in self.asked.problem.racks)]
        if any(t.pinned is not None for j in self.asked.problem.jobs for t in j.tasks):
            limits.append(PINS)
        if self.fits(codes, limits):
            codes += undated
            if self.fits(codes, limits):
                return Clash((code,), tuple(limits))
        for each in [*undated, *reversed(others)]:
            if each in codes and not self.fits([c for c in codes if c != each], limits):
                codes.remove(each)
        for limit in list(limits):
            if not self.fits(codes, [other for other in limits if other != limit]):
                limits.remove(limit)
        return Clash(tuple(codes), tuple(limits))

    def fits(self, codes: Iterable[str], limits: Iterable[str]) -> bool:
        """Whether these batches all make their dates within these limits alone."""
        kept, codes = set(limits), set(codes)
        asked = self.asked if HOURS in kept else self.free
        jobs = [job for job in asked.problem.jobs if job.code in codes]
        if PINS not in kept:
            jobs = [replace(job, tasks=tuple(replace(t, pinned=None) for t in job.tasks)) for job in jobs]
        racks = {p: room for p, room in asked.problem.racks.items() if f"the rack in {p}" in kept}
        problem = replace(asked.problem, jobs=tuple(jobs), racks=racks)
        plan = first_plan(problem, placings=TRIES)
        return on_time(problem, plan)


def on_time(problem: Problem, plan: Schedule) -> bool:
    """Whether every batch with a date makes it."""
    return not any(
        job.wanted is not None and _late(problem, job, placed)
        for job, placed in zip(problem.jobs, plan.placed, strict=True)
    )


def _late(problem: Problem, job: Job, placed: tuple[object, ...]) -> bool:
    if not job.dated:
        return False
    when = packed(job, placed)  # type: ignore[arg-type]
    return when is None or late_days(job, when, problem.grid.per_day) > 0


__all__ = ["Clash", "Reasons", "Variant", "on_time"]
