"""What lies ahead if every remaining step is taken at its earliest."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from finishing.cure.climate import PlaceAir
from finishing.cure.coat import Coat, ShopFactor
from finishing.cure.fold import Fold, Next, State
from finishing.cure.progress import folded, releases
from finishing.cure.spread import USUAL_LEVEL
from finishing.cure.terms import Release, StepKind
from finishing.cure.work import AbradeEntry, Batch, CoatEntry, Entry, StepEntry

Hands = Callable[[float], float]
"""The first hour from one on at which there are hands, inf for none."""


@dataclass(frozen=True, slots=True)
class StepAhead:
    """A step that needs hands, at its earliest hour. abrade_first: its window would have shut by then."""

    position: int
    at: float
    abrade_first: bool = False


@dataclass(frozen=True, slots=True)
class Forecast:
    """Coats laid and to come (`expected`), steps at their earliest, and releases; None for no date.

    stopped: why it goes no further, when it doesn't reach the end.
    """

    coats: tuple[Coat, ...]
    ahead: tuple[StepAhead, ...]
    releases: Mapping[Release, float | None]
    stopped: State | None


def forecast(
    batch: Batch,
    entries: Sequence[Entry],
    climate: Mapping[str, PlaceAir],
    shop: Mapping[str, ShopFactor],
    now: float,
    *,
    level: float = USUAL_LEVEL,
    amount_ml: float | None = None,
    hands: Hands | None = None,
) -> Forecast:
    """Go on from the record with every remaining step at its earliest, hands taking no time.

    amount_ml: what each coat to come will take, None for the finish's own film. hands: when there are any, None for at
    any hour; a wipe-off belongs to its coat.
    """
    return go_on(folded(batch, entries, climate, shop, level), now, amount_ml, hands)


def go_on(fold: Fold, now: float, amount_ml: float | None = None, hands: Hands | None = None) -> Forecast:
    """Take a fold to its end; the fold is used up."""
    ahead: list[StepAhead] = []
    number = -1
    while (following := fold.next(now)) is not None:
        if following.opens is None:
            return Forecast(tuple(fold.coats), tuple(ahead), dict.fromkeys(Release), following.state)
        now = max(now, following.opens)
        if hands is not None and following.step.kind is not StepKind.WIPE and (later := hands(now)) > now:
            if math.isinf(later):
                return Forecast(tuple(fold.coats), tuple(ahead), dict.fromkeys(Release), following.state)
            now = later
            continue  # its window may have shut by then
        shut = following.state is State.SHUT
        if shut:
            fold.apply(AbradeEntry(number, now, following.step.face, following.shut_grit), expected=True)
        ahead.append(StepAhead(following.position, now, shut))
        fold.apply(_entry(following, number, now, amount_ml), expected=True)
        number -= 1
    return Forecast(tuple(fold.coats), tuple(ahead), releases(fold, None), None)


def _entry(following: Next, number: int, at: float, amount_ml: float | None) -> Entry:
    """The entry a step would leave; numbers below zero never meet the record's."""
    if following.step.kind is StepKind.COAT:
        return CoatEntry(number, at, following.position, amount_ml)
    if following.step.kind is StepKind.ABRADE:
        return AbradeEntry(number, at, following.step.face, following.step.grit, following.position)
    return StepEntry(number, at, following.position)


def last_release(ahead: Forecast, release: Release) -> float:
    """The hour of a release, inf when it has no date: for comparing."""
    when = ahead.releases[release]
    return math.inf if when is None else when
