"""The nights between sessions: how cold it gets where coats harden, and what stands still."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass

import pendulum

from finishing.clock import hour_of
from finishing.cure.advice import stall
from finishing.cure.fold import Fold
from finishing.cure.terms import Stage
from finishing.shop.plan.ask import Asked
from finishing.shop.plan.play import played as play

EVENING, MORNING = 18, 9
"""Local hours between which it is called the night: the working day over until the next has warmed up."""

SHORTEST = 0.5
"""Hours of standing still that are worth a word."""

__all__ = ["Night", "after", "play"]


@dataclass(frozen=True, slots=True)
class Still:
    """A coat that stands still for some hours of a night."""

    code: str
    finish: str
    minimum_c: float
    hours: float


@dataclass(frozen=True, slots=True)
class Night:
    """A night at a place where something hardens: its lowest temperature, and what stands still."""

    place: str
    low_c: float
    stills: tuple[Still, ...]


def after(date: dt.date, asked: Asked, folds: Mapping[str, Fold]) -> tuple[Night, ...]:
    """The night after a day, at each place where a coat is hardening."""
    zone = asked.settings.zone
    start = hour_of(pendulum.datetime(date.year, date.month, date.day, EVENING, tz=zone))
    end = hour_of(pendulum.datetime(date.year, date.month, date.day, MORNING, tz=zone).add(days=1))
    found: dict[str, list[Still]] = {}
    for code, fold in folds.items():
        for coat in fold.coats:
            ready = coat.stages.get(Stage.DRY_TO_HANDLE)
            if coat.at >= end or (ready is not None and ready.at_level is not None and ready.at_level <= start):
                continue
            stills = found.setdefault(fold.place, [])
            hours, _ = stall(fold, coat, max(start, coat.at), end)
            if hours >= SHORTEST and all(s.code != code for s in stills):
                stills.append(Still(code, coat.finish.title, coat.finish.limits.minimum_c, hours))
    return tuple(
        Night(place, float(asked.air[place].window(start, end).temperature_c.min()), tuple(stills))
        for place, stills in sorted(found.items())
    )
