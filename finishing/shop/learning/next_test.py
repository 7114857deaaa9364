"""Where and when the next touch test of a finish tells most, among the coats that are on.

What is said of a look agrees with what is said elsewhere: the chance of dry is the one by which the batch's own hours
are given, and the factor after either answer is what that answer, on record, would make of the factor that is shown.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from finishing.cure.coat import Coat, spread_of
from finishing.cure.finish import Finish
from finishing.cure.learn import Learned, Lessons, Observation
from finishing.cure.learn.ahead import prospect
from finishing.cure.learn.observation import felt
from finishing.cure.learn.posterior import class_of, places
from finishing.cure.terms import Extractives, Face, Stage
from finishing.shop.learning.kin import Kin, coat_entry, share, split_of
from finishing.shop.shop import Standing

Array = npt.NDArray[np.float64]

STEP = 0.25
AHEAD = 10 * 24.0
"""Hours looked ahead, by the quarter of an hour."""

AS_GOOD = 0.9
"""Of all hours that tell nearly as much as the best, the first is named: nobody should wait for the last tenth."""

FELT_FOR = (Stage.TACK_FREE, Stage.DRY_TO_TOUCH, Stage.DRY_TO_RECOAT, Stage.DRY_TO_HANDLE)
"""Stages that a moment with the hand tells; the others take a weight and an hour, or weeks."""


@dataclass(frozen=True, slots=True)
class Chance:
    """A look at one coat for one stage at an hour. dry: the chance of finding it dry. bits: what it would tell.

    if_dry, if_tacky: the factor after either answer, on woods (None: all that have none of their own).
    """

    code: str
    coat: int
    stage: Stage
    at: float
    dry: float
    bits: float
    if_dry: float
    if_tacky: float
    woods: Extractives | None = None


@dataclass(frozen=True, slots=True)
class NextTest:
    """now: the look that tells most at once. best: the one that tells most, within the maker's hours where there are
    any ahead. Both None where no coat of the finish is on that is still in doubt.
    """

    now: Chance | None
    best: Chance | None


@dataclass(frozen=True, slots=True)
class _Look:
    """A look thought of. ratio: the multiple of the stage's stated time that the coat has then."""

    standing: Standing
    coat: Coat
    stage: Stage
    at: float
    ratio: float
    bits: float


def next_test(
    learned: Learned,
    finish: Finish,
    standings: Iterable[Standing],
    kin: Kin,
    hours: Sequence[tuple[float, float]],
    now: float,
) -> NextTest:
    """hours: worked stretches ahead; the best look is now or lies in one of them, or anywhere if there are none.

    kin: the batches of the standings, and those that splits connect them to.
    """
    lessons = learned.about(finish)
    first = math.ceil(now / STEP + 1e-9)
    times = np.array([now, *(STEP * i for i in range(first, first + int(AHEAD / STEP)))])
    worked = np.array([any(a <= t <= b for a, b in hours) for t in times])
    allowed = worked if worked.any() else np.ones(len(times), dtype=bool)
    allowed[0] = True  # whoever asks is there
    seen = places(lessons.observations)
    at_once: list[_Look] = []
    later: list[_Look] = []
    for standing in standings:
        for coat, stage in _in_doubt(standing, lessons):
            ratios = _ratios(coat, stage, times)
            if ratios is None:
                continue
            bits = _bits(lessons, seen.get(coat.entry), coat, ratios)
            at_once.append(_look(standing, coat, stage, times, ratios, bits, 0))
            later.append(_look(standing, coat, stage, times, ratios, bits, _best(bits, allowed)))
    found = [None if look is None else _answers(learned, finish, look, kin) for look in (_most(at_once), _most(later))]
    return NextTest(*found)


def _look(standing: Standing, coat: Coat, stage: Stage, times: Array, ratios: Array, bits: Array, i: int) -> _Look:
    return _Look(standing, coat, stage, float(times[i]), float(ratios[i]), float(bits[i]))


def _answers(learned: Learned, finish: Finish, look: _Look, kin: Kin) -> Chance:
    """What either answer would come to, by learning from it."""
    lessons, coat = learned.about(finish), look.coat
    place = places(lessons.observations).get(coat.entry)
    others = [o for i, o in enumerate(lessons.observations) if i != place]
    old = None if place is None else lessons.observations[place]
    woods, after = None, []
    for dry in (True, False):
        seen = _felt(look, old, dry, kin)
        woods = class_of(seen[-1])
        after.append(math.exp(learned.had(finish, [*others, *seen], look.at).woods(woods).mean))
    spread, clock = spread_of(coat, look.stage, coat.track), coat.finish.stages[look.stage].clock
    assert spread is not None  # no coat without a date is looked at
    dry_by_then = spread.chance(coat.track.gathered(coat.finish, clock, coat.at, look.at))
    return Chance(
        look.standing.row.code, coat.number, look.stage, look.at, dry_by_then, look.bits, after[0], after[1], woods
    )


def _felt(look: _Look, old: Observation | None, dry: bool, kin: Kin) -> list[Observation]:
    """A coat as it is known after a look at the pieces of one batch, that part last; others of its parts keep to what
    was known before."""
    row, coat = look.standing.row, look.coat
    new = felt(row.code, coat, old, look.stage, look.at, look.ratio, dry=dry)
    mine = share(row, coat.at, kin)
    if old is None:
        return [replace(new, pieces=mine, split_of=split_of(row, coat_entry(row, coat.entry), kin))]
    if old.pieces <= mine + 1e-9:
        return [new]
    return [replace(old, pieces=old.pieces - mine), replace(new, pieces=mine)]


def _in_doubt(standing: Standing, lessons: Lessons) -> list[tuple[Coat, Stage]]:
    """Coats that can be felt, topmost of their faces, with each stage that no finger has found yet."""
    fold = standing.fold
    if fold.closed is not None:
        return []
    found = []
    tops = {id(c): c for c in (fold.last_coat(side) for side in _faces(standing)) if c is not None}
    for coat in tops.values():
        if coat.finish.name == lessons.finish and not coat.undated:
            dry = any(time is not None and time.seen is not None for time in coat.stages.values())
            found += [] if dry else [(coat, stage) for stage in FELT_FOR if stage in coat.finish.stages]
    return found


def _faces(standing: Standing) -> set[Face]:
    return {side for coat in standing.fold.coats for side in coat.face.sides}


def _ratios(coat: Coat, stage: Stage, times: Array) -> Array | None:
    """The multiples of a stage's stated time that a coat has at some hours; None for a stage without a time."""
    time = coat.finish.stages[stage]
    stated = time.typical * coat.factors.stretch(coat.finish, stage)
    if stated <= 0.0:
        return None
    now = float(times[0])
    integral = coat.track.place_at(now).of(coat.finish, time.clock)
    gathered = coat.track.gathered(coat.finish, time.clock, coat.at, now)
    return np.asarray((gathered + np.asarray(integral.at(times)) - float(integral.at(now))) / stated)


def _bits(lessons: Lessons, place: int | None, coat: Coat, ratios: Array) -> Array:
    """What a look at each of some multiples of its stated time would tell."""
    woods = coat.factors.species
    if place is not None:
        one = lessons.observations[place]
        return prospect(lessons.in_use(class_of(one), place), one.sigma, ratios, one.low).bits
    told = woods.extractives in lessons.curves
    noise = coat.finish.repeat if told else math.hypot(coat.finish.repeat, woods.spread)
    return prospect(lessons.in_use(woods.extractives if told else None), noise, ratios).bits


def _best(bits: Array, allowed: npt.NDArray[np.bool_]) -> int:
    most = float(np.where(allowed, bits, -1.0).max())
    return int(np.flatnonzero(allowed & (bits >= AS_GOOD * most))[0])


def _most(found: Sequence[_Look]) -> _Look | None:
    """What tells most; of those that tell nearly as much the first, then the softest stage."""
    if not found:
        return None
    most = max(look.bits for look in found)
    return min((look for look in found if look.bits >= AS_GOOD * most), key=lambda look: (look.at, -look.bits))


def telling_ratio(lessons: Lessons, noise: float) -> float:
    """For a coat still to come: the multiple of its stated time at which a look tells most."""
    ratios = np.exp(np.linspace(-1.5, 1.5, 121))
    return float(ratios[prospect(lessons.in_use(None), noise, ratios).bits.argmax()])
