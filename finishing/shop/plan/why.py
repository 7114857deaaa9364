"""Why a batch is late, and the smallest set of batches and limits that can't all be kept."""

from __future__ import annotations

import time
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from finishing.cure.progress import releases
from finishing.cure.terms import Release
from finishing.plan import StopToken
from finishing.plan.batches import Placed, Problem, packed
from finishing.plan.batches.fits import Fit, fits, is_late, on_time
from finishing.plan.batches.problem import Job
from finishing.plan.batches.serial import alone
from finishing.shop.plan.ask import Asked, Variant, ask
from finishing.shop.plan.make import Made
from finishing.shop.plan.parts import scarce_room
from finishing.shop.plan.play import played
from finishing.shop.shop import Shop
from finishing.shop.words import and_words, short_time
from finishing.units import show_duration

PROOF_S, ONE_PROOF_S = 8.0, 1.5
"""Seconds that all proofs may take, and each."""

AT_COST = "in time only where others are later by as many days or more: a higher priority decides so"
"""Of a batch that is late in a plan proved best, and yet could make its date."""

HOURS, PINS = "your working hours", "what is pinned"


@dataclass(frozen=True, slots=True)
class Clash:
    """Batches whose dates can't all be kept, with the limits that keep them from it: none of them can be left out.

    Without limits: the batch is late by its own coats, whatever the hands do. proved: that they can't, among starts on
    the quarter hour; else no way was found in the time there was. That none can be left out is always shown by a plan.
    fits: its date could be kept by a plan other than the one asked about, if need be at the cost of another's. best:
    and that one is proved late by the fewest days in all, so that it is at the cost of others.
    """

    codes: tuple[str, ...]
    limits: tuple[str, ...]
    proved: bool = False
    fits: bool = False
    best: bool = False

    @property
    def own(self) -> bool:
        """Whether one batch is late all by itself."""
        return len(self.codes) == 1 and not self.limits and not self.fits

    def words(self) -> str:
        """In a sentence."""
        if self.fits and self.best:
            return f"{self.codes[0]}: {AT_COST}"
        if self.fits:
            return f"{self.codes[0]}: there is a plan that makes its date; one made afresh, given time, weighs it up"
        if self.own:
            return f"{self.codes[0]}: its coats alone take too long, whatever your hands do"
        sure = "proved" if self.proved else "as far as was searched"
        if len(self.codes) == 1:
            return f"{self.codes[0]} alone does not fit into {and_words(list(self.limits))}: {sure}"
        return f"clash, {sure}: {and_words([*self.codes, *self.limits])}; with any one of them gone the others fit"


class Reasons:
    """Answers why, trying out as little as it must. One for one plan.

    seconds: for proofs, all in all; 0: first plans alone are asked. stop: ends them.
    """

    def __init__(self, shop: Shop, made: Made, seconds: float = PROOF_S, stop: StopToken | None = None) -> None:
        self.shop, self.made, self.asked = shop, made, made.asked
        self.until = None if seconds <= 0.0 else time.monotonic() + seconds
        self.stop = stop
        self._free: Asked | None = None
        self._known: dict[tuple[frozenset[str], frozenset[str]], Fit] = {}

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
            if item.job.wanted is not None and not item.held and is_late(problem, item.job, placed.get(code, ()))
        ]

    def why(self, code: str) -> str:
        """Why a batch is late, in a sentence; "" if it isn't."""
        asked = self.asked
        item = asked.items[code]
        if not item.job.dated:
            return item.job.note
        if not item.job.tasks:
            return "nothing is left for the hands: its last coat takes its time in this air"
        if said := self._too_long(item.job) or self._too_many(item.job):
            return said
        problem = asked.problem
        here = alone(problem, item.job).placed[0]
        if is_late(problem, item.job, here):
            free = self.free
            at_all = alone(free.problem, free.items[code].job).placed[0]
            if packed(free.items[code].job, at_all) is not None and is_late(free.problem, free.items[code].job, at_all):
                ready = self._ready(free, code, at_all)
                return (
                    f"its coats take too long to be sure: ready {ready} at the earliest, with hands at any hour and the"
                    " minutes that their work takes"
                )
            if packed(item.job, here) is None:
                return "your hours: not even alone in the shop would it be done in the days planned for"
            return f"your hours: alone in the shop it would be ready {self._ready(asked, code, here)}"
        clash = self.clash(code)
        if clash.best:
            return AT_COST
        if clash.fits:
            return "it could be in time, if need be at the cost of another: plan afresh, or give it priority"
        others = [c for c in clash.codes if c != code]
        if others:
            return f"not enough hands beside {and_words(others)}"
        return f"limited by {and_words(list(clash.limits) or ['?'])}"

    def _ready(self, asked: Asked, code: str, placed: Sequence[Placed]) -> str:
        """When a batch placed so may be packed: to the minute, as the plan has it, not to the next slot."""
        when = releases(played(asked.items[code], placed, asked.problem.grid), None)[Release.PACK]
        return "no date" if when is None else short_time(when, asked.settings.zone, asked.now)

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

    def _too_many(self, job: Job) -> str:
        """More pieces than the rack has room for, where they are not planned in parts."""
        room = scarce_room(job, self.asked.problem.racks)
        return f"the rack in {job.place} has room for {room}, a coat lays {job.pieces} pieces on it" if room else ""

    def clash(self, code: str) -> Clash:
        """A smallest set that keeps a batch from its date: whatever can be left out with it still late is."""
        if not self.asked.items[code].job.tasks:
            return Clash((code,), ())
        limits = [HOURS, *(f"the rack in {p}" for p in self.asked.problem.racks)]
        if any(t.pinned is not None for j in self.asked.problem.jobs for t in j.tasks):
            limits.append(PINS)
        codes = [code, *self._beside(code, limits)]
        found = self.fit(codes, limits)
        if found is Fit.FITS:
            return Clash((code,), (), fits=True, best=self.made.outcome.proved)
        for each in reversed(codes[1:]):
            rest = [c for c in codes if c != each]
            if (fit := self.fit(rest, limits)) is not Fit.FITS:
                codes, found = rest, fit
        for limit in list(limits):
            rest = [other for other in limits if other != limit]
            if (fit := self.fit(codes, rest)) is not Fit.FITS:
                limits, found = rest, fit
        return Clash(tuple(codes), tuple(limits), found is Fit.NEVER)

    def _beside(self, code: str, limits: list[str]) -> list[str]:
        """Other batches with a date, as many as all make it without this one, so that this one is what is too many."""
        others = [j.code for j in self.asked.problem.jobs if j.code != code and j.wanted is not None]
        others = [c for c in others if self.fit([c], limits) is Fit.FITS]
        if not others or self.fit(others, limits) is Fit.FITS:
            return others
        kept: list[str] = []
        for each in others:
            if self.fit([*kept, each], limits) is Fit.FITS:
                kept.append(each)
        return kept

    def fit(self, codes: Iterable[str], limits: Iterable[str]) -> Fit:
        """Whether these batches all make their dates within these limits alone."""
        key = frozenset(codes), frozenset(limits)
        if key not in self._known:
            self._known[key] = fits(self._within(*key), self._seconds(), self.stop)
        return self._known[key]

    def _seconds(self) -> float:
        left = 0.0 if self.until is None else self.until - time.monotonic()
        return max(min(left, ONE_PROOF_S), 0.0)

    def _within(self, codes: frozenset[str], kept: frozenset[str]) -> Problem:
        """The problem of some batches within some limits alone."""
        asked = self.asked if HOURS in kept else self.free
        jobs = [job for job in asked.problem.jobs if job.code in codes]
        if PINS not in kept:
            jobs = [replace(job, tasks=tuple(replace(t, pinned=None) for t in job.tasks)) for job in jobs]
        racks = {p: room for p, room in asked.problem.racks.items() if f"the rack in {p}" in kept}
        return replace(asked.problem, jobs=tuple(jobs), racks=racks)


__all__ = ["Clash", "Reasons", "Variant", "on_time"]
