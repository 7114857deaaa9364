"""What may be put on record of a batch: no coat twice, none out of its order, and nothing before what it rests on."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from itertools import pairwise

from finishing.clock import at_zone, hour_of
from finishing.cure.progress import Progress
from finishing.cure.schedule import Schedule
from finishing.cure.terms import StepKind
from finishing.cure.work import CoatEntry, Entry, VoidEntry, standing
from finishing.errors import BadInput
from finishing.moments import which
from finishing.shop.drafts import StepDraft
from finishing.shop.shop import Standing
from finishing.shop.words import short_time, step_words
from finishing.store.types import instant

NOT_YET = "that is not on record yet; correct or void its entry if it was wrong"

JUST_NOW = "just now"

Laid = Sequence[tuple[int, float]]
"""Coats on record: the step of each, and its hour."""


def laid(batch: Standing) -> Laid:
    """The coats of a batch that hold."""
    return [(coat.step, coat.at) for coat in batch.fold.coats]


def as_typed(typed: str, at: float | None, zone: str) -> str:
    """A time as its maker wrote it, where that is known."""
    if typed.strip():
        return typed.strip()
    return JUST_NOW if at is None else at_zone(at, zone).format("YYYY-MM-DD HH:mm")


def as_kept(at: float) -> float:
    """An hour as the record gives it back, so that the same time typed twice is one."""
    return hour_of(instant(at))


A_MOMENT = 1.0 / 60.0
"""Hours by which times of one moment may differ: a minute."""


def by_the_minute(coats: Laid, at: float, *, lies: bool = True) -> float:
    """A time, or that of a coat less than a minute after it.

    Times are typed to the minute, and a coat recorded just now has its seconds; nor do two benches' clocks agree on
    them. lies: also where a coat lies already; False for a test, which just before a coat is of the one below.
    """
    if not lies and any(hour <= at for _, hour in coats):
        return at
    return max((hour for _, hour in coats if at < hour <= at + A_MOMENT), default=at)


def check_coat(batch: Standing, position: int) -> None:
    """No coat twice, and none before the one below it, unless a later one is on record already: then it fills a gap."""
    on, words = {step for step, _ in laid(batch)}, step_words(batch.batch.schedule, position)
    if position in on:
        raise BadInput("coat", words, f"a coat {NOT_YET}")
    if not fills_gap(batch, position):
        check_below(batch, position, "coat")


def fills_gap(batch: Standing, position: int) -> bool:
    """Whether a later coat than that of a step is on record already."""
    return any(step > position for step, _ in laid(batch))


def check_step(batch: Standing, position: int, at: float) -> None:
    """No step twice but a wipe with solvent gone stale, and none that rests on a coat which is not on."""
    if position in batch.fold.done and position != batch.fold.wipe_again(at):
        raise BadInput("step", step_words(batch.batch.schedule, position), f"a step {NOT_YET}")
    check_below(batch, position, "step")


def gap(p: Progress) -> int | None:
    """Step of the first coat that is not on record, though a later one is; None where none is missing so."""
    on = {coat.step for coat in p.coats}
    return next((i for i in p.batch.schedule.coat_steps if i not in on and i < max(on, default=0)), None)


def wiped_off(schedule: Schedule, position: int) -> bool:
    """Whether a coat is one that its schedule wipes off."""
    after = next((step for step in schedule.steps[position + 1 :] if step.kind is not StepKind.SOAK), None)
    return after is not None and after.kind is StepKind.WIPE


def check_left_on(batch: Standing, position: int, draft: StepDraft) -> None:
    """Only what is to be wiped off can be left on."""
    schedule = batch.batch.schedule
    if not draft.wiped_back and not wiped_off(schedule, position):
        raise BadInput("not wiped", step_words(schedule, position), "a coat that its schedule wipes off")


def check_below(batch: Standing, position: int, field: str) -> None:
    """Every coat below a step is on record."""
    schedule, on = batch.batch.schedule, {step for step, _ in laid(batch)}
    below = [i for i in schedule.coat_steps if i < position and i not in on]
    if below:
        words = step_words(schedule, position)
        raise BadInput(field, words, f"{step_words(schedule, below[0])} first: it is not on record")


def check_time(
    schedule: Schedule, coats: Laid, position: int, at: float, shown: str, zone: str, now: float, *, field: str = "time"
) -> None:
    """A step comes after the coats below it, and a coat before those above it. shown: the time as it was typed."""
    below = max(((hour, step) for step, hour in coats if step < position), default=None)
    if below is not None and at < below[0]:
        raise BadInput(field, shown, f"a time after {_when(schedule, below, zone, now)}")
    above = min(((hour, step) for step, hour in coats if step > position), default=None)
    if above is not None and at > above[0] and schedule.steps[position].kind is StepKind.COAT:
        hint = "say when it was done" if shown == JUST_NOW else ""
        raise BadInput(field, shown, f"a time before {_when(schedule, above, zone, now)}", hint)


def after_coat(
    schedule: Schedule, coats: Laid, at: float, shown: str, zone: str, now: float, *, last: bool = False
) -> None:
    """What is about coats comes after the first of them, or the last."""
    found = sorted((hour, step) for step, hour in coats)
    which = found[-1 if last else 0] if found else None
    if which is not None and at < which[0]:
        raise BadInput("time", shown, f"a time after {_when(schedule, which, zone, now)}")


def _when(schedule: Schedule, coat: tuple[float, int], zone: str, now: float) -> str:
    return f"{step_words(schedule, coat[1])}, {sure_time(coat[0], zone, now)}"


def sure_time(hour: float, zone: str, now: float) -> str:
    """A time in words; of one that comes twice, which, as it can be typed."""
    twice = which(hour, zone)
    return f"{short_time(hour, zone, now)}{f' ({twice})' if twice else ''}"


def contradiction(schedule: Schedule, entries: Iterable[Entry]) -> str:
    """What a record would say that can't be, in words; "" for none: a coat twice, or before the one below it."""
    coats = [e for e in standing(list(entries)) if isinstance(e, CoatEntry)]
    twice = next((step for step, n in Counter(coat.step for coat in coats).items() if n > 1), None)
    if twice is not None:
        return f"{step_words(schedule, twice)} would be on record twice"
    for before, coat in pairwise(coats):
        if before.step > coat.step:
            return f"{step_words(schedule, before.step)} would come before {step_words(schedule, coat.step)}"
    return ""


def check_voids(batch: Standing, voids: Sequence[VoidEntry]) -> None:
    """Voids that bring entries back don't make the record contradict itself. Their numbers follow the record's."""
    first = batch.row.last_number + 1
    more = [VoidEntry(first + n, void.at, void.voids) for n, void in enumerate(voids)]
    if said := contradiction(batch.batch.schedule, [*batch.entries, *more]):
        raise BadInput("entry", voids[-1].voids, f"an entry that may hold again: {said}")
