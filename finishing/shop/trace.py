"""Trace both ways: from a can or a lot to the batches that got it, and from a batch to what went on it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import pendulum

from finishing.clock import hour_of
from finishing.cure.terms import Release
from finishing.cure.work import AbradeEntry, CloseEntry, CoatEntry, Entry, MoveEntry, ReleaseEntry, StepEntry, standing
from finishing.errors import BadInput, NotFound
from finishing.library import Frozen
from finishing.shop.cans import opened_on
from finishing.shop.frozen import thaw_all, thawed
from finishing.shop.record import words_of
from finishing.shop.shop import Shop
from finishing.shop.words import step_words
from finishing.store import trace as stored
from finishing.store import without_can
from finishing.store.batches import codes
from finishing.store.cans import CanRow
from finishing.store.trace import AirRead, BatchKept, Reached, Whereabouts, Written
from finishing.store.work import Reader

Legs = list[tuple[str, float, float]]

NEAR_HOURS = 1.0
"""A reading no further from a coat than this tells the air it went on in."""

DRYING_HOURS = 30 * 24.0
"""The air around a last coat is told for so long at most."""


@dataclass(frozen=True, slots=True)
class Recall:
    """A lot or a can, its cans, and every batch with a standing coat from them, in the order they were begun.

    may_have: other batches, with the coats of the same finish that say no can, put on while one was on the shelf.
    """

    of: str
    word: str
    cans: tuple[CanRow, ...]
    batches: tuple[Reached, ...]
    may_have: tuple[Reached, ...] = ()

    @property
    def pieces(self) -> int:
        """Pieces of all the batches."""
        return sum(batch.pieces for batch in self.batches)


@dataclass(frozen=True, slots=True)
class Conditions:
    """The air read over a stretch of hours."""

    start: float
    end: float
    air: AirRead


@dataclass(frozen=True, slots=True)
class CoatTraced:
    """A standing coat: what, from which can and lot, by whom, the air it went on in and the air it dried in.

    applied: °C and % RH of the nearest reading within an hour, None without one. drying: until the next coat on one of
    its faces, or until the batch was released for use or closed, or now; 30 days at most.
    """

    number: int
    coat: int
    face: str
    finish: str
    title: str
    at: float
    recorded_at: float
    amount_ml: float | None
    wiped_back: bool
    maker: str
    can: int | None
    lot: str
    place: str
    applied: tuple[float, float | None] | None
    drying: Conditions


@dataclass(frozen=True, slots=True)
class Line:
    """One standing entry that is no coat: number, hour, in words, who."""

    number: int
    at: float
    words: str
    maker: str


@dataclass(frozen=True, slots=True)
class BatchTraced:
    """Everything that went on a batch, in order; and where it is. missing: coats voided below one that holds.

    begun: the hour of the first work on record, None for none yet.
    """

    row: BatchKept
    where: Whereabouts
    coats: tuple[CoatTraced, ...]
    others: tuple[Line, ...]
    missing: tuple[str, ...] = ()
    begun: float | None = None


def trace(shop: Shop, word: str, now: float, kind: str | None = None) -> Recall | BatchTraced:
    """What a batch's code, a lot or a can's number leads to; kind: which of them is meant.

    NotFound with the nearest; BadInput where the word is more than one of them and none was said to be meant.
    """
    text = word.strip()
    number = _number(text)
    with shop.store.read() as r:
        row = stored.batch_kept(r, text) if kind in (None, "batch") else None
        ways: list[tuple[str, Sequence[str | int]]] = []
        if kind in (None, "lot") and text:
            ways.append(("lot", [text]))
        if kind in (None, "can") and number is not None:
            ways.append(("can", [number]))
        meant = [(what, names, found) for what, names in ways if (found := stored.cans_of(r, names))]
        if row is None and not meant and kind in (None, "lot") and (alike := stored.spellings(r, text)):
            meant.append(("lot", alike, stored.cans_of(r, alike)))
        kinds = [*(["batch"] if row else []), *(what for what, _, _ in meant)]
        if len(kinds) > 1:
            said = " or ".join(f"--{k}" for k in kinds)
            raise BadInput("trace", word, f"{said} beside it, as it is {' and '.join(f'a {k}' for k in kinds)}")
        if row is not None:
            return _traced(r, row, now)
        for what, names, found in meant:
            batches = stored.reached(r, names)
            found = tuple(_first_used(row, batches) for row in found)
            return Recall(what, text, found, batches, _may_have(r, found, batches, shop.settings.zone, now))
        raise NotFound(kind or "lot, can or batch", word, [*stored.lots(r), *codes(r)])


def _first_used(row: CanRow, batches: Sequence[Reached]) -> CanRow:
    """A can with the hour of the first coat from it."""
    return replace(row, first_use=min((c.at for b in batches for c in b.coats if c.can == row.id), default=None))


def _may_have(
    r: Reader, cans: Sequence[CanRow], known: Sequence[Reached], zone: str, now: float
) -> tuple[Reached, ...]:
    """Batches not known to have got it that had its finish from no can on record while it was on the shelf."""
    shelved = [(row.can.finish, *_on_shelf(row, zone, now)) for row in cans]
    loose = without_can.coats(r, min(start for _, start, _ in shelved), max(end for _, _, end in shelved))
    began = thaw_all(r, {coat.frozen_key for coat in loose})
    wanted: dict[int, set[int]] = {}
    for coat in loose:
        finish = began[coat.frozen_key].schedule.steps[coat.step].finish
        if any(name == finish and start <= coat.at <= end for name, start, end in shelved):
            wanted.setdefault(coat.batch, set()).add(coat.number)
    named = {batch.coats[0].batch for batch in known}
    return without_can.reached(r, {batch: numbers for batch, numbers in wanted.items() if batch not in named})


def _on_shelf(row: CanRow, zone: str, now: float) -> tuple[float, float]:
    """From the day it was bought or opened, or put on record if that was before, until it was empty, or now."""
    said = (row.can.bought_on, opened_on(row, zone))
    days = [hour_of(pendulum.datetime(d.year, d.month, d.day, tz=zone)) for d in said if d is not None]
    return min([row.created_at, *days]), now if row.emptied_at is None else row.emptied_at


def _number(text: str) -> int | None:
    """A can's number, written with or without "can" before it."""
    number = text.casefold().removeprefix("can").strip()
    return int(number) if number.isdecimal() and number.isascii() and len(number) <= 9 else None


def _traced(r: Reader, row: BatchKept, now: float) -> BatchTraced:
    began = thawed(row.frozen)
    alive = standing([written.entry for written in row.record])
    by_number = {written.entry.number: written for written in row.record}
    legs = _legs(row, alive)
    coats = [e for e in alive if isinstance(e, CoatEntry)]
    ends = [_dry_until(coat, coats, alive, began, now) for coat in coats]
    stood = [next(name for name, start, _ in reversed(legs) if start <= coat.at) for coat in coats]
    near = stored.air_near(r, [(place, coat.at) for place, coat in zip(stood, coats, strict=True)], NEAR_HOURS)
    over = stored.air_over(r, [_dried(legs, coat.at, end) for coat, end in zip(coats, ends, strict=True)])
    traced = [
        _coat(coat, by_number[coat.number], began, stood[i], near[i], Conditions(coat.at, ends[i], over[i]))
        for i, coat in enumerate(coats)
    ]
    others = tuple(
        Line(e.number, e.at, words_of(began.schedule, e), by_number[e.number].maker)
        for e in alive
        if not isinstance(e, CoatEntry)
    )
    released = {e.release.value: e.at for e in alive if isinstance(e, ReleaseEntry)}
    where = Whereabouts(legs[-1][0], row.held, row.closed, released)
    on, schedule = {coat.step for coat in coats}, began.schedule
    gaps = (i for i in schedule.coat_steps if i not in on and i < max(on, default=0))
    missing = tuple(step_words(schedule, i) for i in gaps)
    begun = min((e.at for e in alive if isinstance(e, CoatEntry | StepEntry | AbradeEntry)), default=None)
    return BatchTraced(row, where, tuple(traced), others, missing, begun)


def _coat(
    coat: CoatEntry,
    written: Written,
    began: Frozen,
    place: str,
    applied: tuple[float, float | None] | None,
    dried: Conditions,
) -> CoatTraced:
    schedule, step = began.schedule, began.schedule.steps[coat.step]
    finish = began.finishes[step.finish or ""]
    return CoatTraced(
        coat.number, schedule.coat_number(coat.step), step.face.value, finish.name, finish.title, coat.at,
        written.recorded_at, coat.amount_ml, coat.wiped_back, written.maker, written.can, written.lot, place, applied,
        dried,
    )  # fmt: skip


def _dried(legs: Legs, at: float, end: float) -> Legs:
    """Where a coat stood from an hour until another."""
    return [(name, max(start, at), min(stop, end)) for name, start, stop in legs if start < end and at < stop]


def _legs(row: BatchKept, alive: Sequence[Entry]) -> Legs:
    """Places in order, each from an hour until the next."""
    begun = [(row.place, -math.inf), *((e.place, e.at) for e in alive if isinstance(e, MoveEntry))]
    ends = [*(at for _, at in begun[1:]), math.inf]
    return [(name, start, end) for (name, start), end in zip(begun, ends, strict=True)]


def _dry_until(coat: CoatEntry, coats: Sequence[CoatEntry], alive: Sequence[Entry], began: Frozen, now: float) -> float:
    steps = began.schedule.steps
    sides = set(steps[coat.step].face.sides)
    later = (c.at for c in coats[coats.index(coat) + 1 :] if sides & set(steps[c.step].face.sides))
    ends = [e.at for e in alive if e.at > coat.at and _ends_drying(e)]
    return min([next(later, math.inf), *ends, coat.at + DRYING_HOURS, max(now, coat.at)])


def _ends_drying(entry: Entry) -> bool:
    return isinstance(entry, CloseEntry) or (isinstance(entry, ReleaseEntry) and entry.release is Release.USE)
