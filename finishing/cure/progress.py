"""How a batch stands: one pure function that every screen and command reads."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from finishing.cure.advice import advice
from finishing.cure.cautions import Caution
from finishing.cure.climate import PlaceAir
from finishing.cure.coat import Coat, ShopFactor
from finishing.cure.fold import WAITS, Fold, Next, State
from finishing.cure.schedule import Step
from finishing.cure.spread import USUAL_LEVEL
from finishing.cure.terms import RELEASE_STAGE, Face, Release, Stage, StepKind
from finishing.cure.work import Batch, CoatEntry, Entry, TestEntry, standing


@dataclass(frozen=True, slots=True)
class StepState:
    """One step of the schedule: done at an hour (None: taken as done with a later one), next, or ahead.

    A last rest is ahead until the pieces may be used, though it asks nothing of the hands.
    """

    position: int
    step: Step
    coat_number: int
    done: bool
    at: float | None

    @property
    def taken(self) -> bool:
        """Whether it is only taken as done: it needs hands, and nobody recorded it."""
        return self.done and self.at is None and self.step.kind not in WAITS


@dataclass(frozen=True, slots=True)
class Progress:
    """How a batch stands at an hour.

    releases: when it may be handled, packed and used at the maker's level, once its last coat is on; None where
    that is not (yet) known. said: releases the maker gave. finished: no step is left that needs hands.
    """

    batch: Batch
    now: float
    level: float
    place: str
    steps: tuple[StepState, ...]
    coats: tuple[Coat, ...]
    next: Next | None
    releases: Mapping[Release, float | None]
    said: Mapping[Release, float]
    cautions: tuple[Caution, ...]
    held: bool
    closed: float | None

    @property
    def finished(self) -> bool:
        """Whether no step is left that needs hands."""
        return self.next is None

    @property
    def test_first(self) -> bool:
        """Whether an oily wood forbids a date."""
        return any(c.undated for c in self.coats) or (self.next is not None and self.next.state is State.TEST_FIRST)

    def may(self, release: Release) -> bool:
        """Whether the batch may be handled, packed or used now: it is time, or the maker said so."""
        if release in self.said:
            return True
        when = self.releases[release]
        return when is not None and when <= self.now


def folded(
    batch: Batch,
    entries: Sequence[Entry],
    climate: Mapping[str, PlaceAir],
    shop: Mapping[str, ShopFactor],
    level: float,
) -> Fold:
    """The record replayed: standing entries in order of when they happened, touch tests with their coats."""
    alive = standing(list(entries))
    fold = Fold(batch, climate, shop, level, _tests_by_coat(batch, alive), _coated_over(batch, alive))
    # A move changes the air of coats already on, so places come first and the coats are laid on the whole track.
    for entry in sorted(alive, key=lambda e: isinstance(e, CoatEntry)):
        fold.apply(entry)
    return fold


def progress(
    batch: Batch,
    entries: Sequence[Entry],
    climate: Mapping[str, PlaceAir],
    shop: Mapping[str, ShopFactor],
    now: float,
    *,
    level: float = USUAL_LEVEL,
) -> Progress:
    """Fold a batch's record into how it stands at `now` [hours since the epoch].

    climate: the air of every place it has stood in. shop: learned factors by finish name (absent: none). NotFound
    if a place is missing from the climate.
    """
    return read(folded(batch, entries, climate, shop, level), now)


def read(fold: Fold, now: float) -> Progress:
    """A fold as it stands at an hour."""
    following = fold.next(now)
    free = releases(fold, following)
    return Progress(
        batch=fold.batch,
        now=now,
        level=fold.level,
        place=fold.place,
        steps=tuple(_steps(fold, following, _hard(fold, free[Release.USE], now))),
        coats=tuple(fold.coats),
        next=following,
        releases=free,
        said=dict(fold.released),
        cautions=tuple(advice(fold, following, now)),
        held=fold.held,
        closed=fold.closed,
    )


def releases(fold: Fold, following: Next | None) -> dict[Release, float | None]:
    """When pieces may be handled, packed and used: when every coat has the stage, no hands' work being left.

    A finish that never cures is ready for use when it can be packed: it leaves no mark on paper any more.
    """
    if following is not None or not fold.coats:
        return dict.fromkeys(Release)
    return {release: _all_reached(fold.coats, release) for release in Release}


def _all_reached(coats: Sequence[Coat], release: Release) -> float | None:
    latest: float | None = None
    for coat in coats:
        stage = RELEASE_STAGE[release]
        if release is Release.USE and not coat.finish.cures:
            stage = Stage.STACKABLE
        if stage not in coat.finish.stages:
            continue
        time = coat.stages[stage]
        if time is None or time.at_level is None:
            return None
        latest = time.at_level if latest is None else max(latest, time.at_level)
    return latest


def _tests_by_coat(batch: Batch, alive: Sequence[Entry]) -> dict[int, list[TestEntry]]:
    """Touch tests by the number of the coat entry, or the two, uppermost on the tested faces at the time."""
    found: dict[int, list[TestEntry]] = {}
    coats = [e for e in alive if isinstance(e, CoatEntry)]
    for test in (e for e in alive if isinstance(e, TestEntry)):
        for number in {_uppermost(batch, coats, side, test.at) for side in test.face.sides}:
            if number is not None:
                found.setdefault(number, []).append(test)
    return found


def _uppermost(batch: Batch, coats: Sequence[CoatEntry], side: Face, hour: float) -> int | None:
    over = (c for c in reversed(coats) if c.at <= hour and side in batch.schedule.steps[c.step].face.sides)
    return next((c.number for c in over), None)


def _coated_over(batch: Batch, alive: Sequence[Entry]) -> set[int]:
    """Numbers of the coat entries that another coat was put on."""
    over: set[int] = set()
    top: dict[Face, int] = {}
    for coat in (e for e in alive if isinstance(e, CoatEntry)):
        sides = batch.schedule.steps[coat.step].face.sides
        over |= {top[side] for side in sides if side in top}
        top.update(dict.fromkeys(sides, coat.number))
    return over


def _hard(fold: Fold, use: float | None, now: float) -> bool:
    """Whether the pieces may be used, so that a last rest is over."""
    return Release.USE in fold.released or (use is not None and use <= now)


def _steps(fold: Fold, following: Next | None, hard: bool) -> list[StepState]:
    schedule = fold.batch.schedule
    last = len(schedule.steps) - 1
    upto = len(schedule.steps) if following is None else following.position
    if following is None and schedule.steps[last].kind is StepKind.REST and not hard and last not in fold.done:
        upto = last
    return [
        StepState(
            i,
            step,
            schedule.coat_number(i) if step.finish else 0,
            i < upto and (i in fold.done or i < fold.reached or step.finish is None),
            fold.done.get(i),
        )
        for i, step in enumerate(schedule.steps)
    ]
