"""Everything the page of a batch shows, read in one go."""

from __future__ import annotations

from dataclasses import dataclass

from finishing.cure.fold import Fold
from finishing.cure.forecast import Forecast, go_on
from finishing.cure.progress import Progress, folded
from finishing.cure.terms import Release, StepKind
from finishing.cure.work import MoveEntry
from finishing.screens.widgets.timeline import Lane
from finishing.shop.promise import Promise
from finishing.shop.settings import Settings
from finishing.shop.shop import Shop, Standing
from finishing.shop.words import brief_step, brief_words, next_why, short_time


@dataclass(frozen=True, slots=True)
class Look:
    """A batch as of an hour: how it stands, what lies ahead at its earliest, why, and whether it makes its date."""

    now: float
    settings: Settings
    standing: Standing
    progress: Progress
    ahead: Forecast
    reasons: tuple[str, ...]
    promise: Promise | None
    lanes: tuple[Lane, ...]

    @property
    def zone(self) -> str:
        """The shop's zone."""
        return self.settings.zone

    @property
    def next_coat(self) -> int | None:
        """Position of the first coat not yet on."""
        following = self.progress.next
        steps = self.progress.batch.schedule.steps
        first = len(steps) if following is None else following.position
        return next((i for i in range(first, len(steps)) if steps[i].kind is StepKind.COAT), None)


def look(shop: Shop, code: str, now: float) -> Look:
    """Read a batch. NotFound if there is none of this code."""
    standing = shop.standing(code, now)
    settings = shop.rack(now).settings
    progress = standing.progress(now)
    ahead = go_on(_again(standing, ()), now)  # a fold of its own, as going on uses it up
    reasons = () if progress.next is None else tuple(next_why(standing.fold, progress.next, settings.units))
    return Look(
        now, settings, standing, progress, ahead, reasons, shop.promise(code, now), tuple(lanes(standing, ahead))
    )


def _again(standing: Standing, more: tuple[MoveEntry, ...]) -> Fold:
    fold = standing.fold
    return folded(standing.batch, [*standing.entries, *more], fold.climate, fold.shop, fold.level)


def lanes(standing: Standing, ahead: Forecast) -> list[Lane]:
    """A line for each coat, laid or expected, up to the coat that goes over it."""
    schedule = standing.batch.schedule
    found = []
    for i, coat in enumerate(ahead.coats):
        sides = set(coat.face.sides)
        over = [c.at for c in ahead.coats[i + 1 :] if set(c.face.sides) & sides]
        later = [p for p in schedule.coat_steps if p > coat.step and set(schedule.steps[p].face.sides) & sides]
        found.append(Lane(brief_step(schedule, coat.step), coat, min(over, default=None), not later))
    return found


def if_moved(standing: Standing, place: str | None, now: float, zone: str) -> str:
    """When the next step would open and it could be packed, if it went to another place now; None: if it stays."""
    number = max((e.number for e in standing.entries), default=0) + 1
    fold = _again(standing, () if place is None else (MoveEntry(number, now, place),))
    following = fold.next(now)
    said = [] if following is None else [f"next step {brief_words(following, now, zone)}"]
    packed = go_on(fold, now).releases[Release.PACK]
    said.append("packed: no date" if packed is None else f"packed {short_time(packed, zone, now)}")
    return ", ".join(said)
