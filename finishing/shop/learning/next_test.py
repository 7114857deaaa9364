"""Where and when the next touch test of a finish tells most, among the coats that are on."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from finishing.cure.coat import Coat
from finishing.cure.learn import Lessons
from finishing.cure.learn.ahead import prospect
from finishing.cure.learn.density import Density
from finishing.cure.learn.posterior import places
from finishing.cure.terms import Face, Stage
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

    if_dry, if_tacky: the factor after either answer.
    """

    code: str
    coat: int
    stage: Stage
    at: float
    dry: float
    bits: float
    if_dry: float
    if_tacky: float


@dataclass(frozen=True, slots=True)
class NextTest:
    """now: the look that tells most at once. best: the one that tells most, within the maker's hours where there are
    any ahead. Both None where no coat of the finish is on that is still in doubt.
    """

    now: Chance | None
    best: Chance | None


def next_test(
    lessons: Lessons, standings: Iterable[Standing], hours: Sequence[tuple[float, float]], now: float
) -> NextTest:
    """hours: worked stretches ahead; the best look is now or lies in one of them, or anywhere if there are none."""
    first = math.ceil(now / STEP + 1e-9)
    times = np.array([now, *(STEP * i for i in range(first, first + int(AHEAD / STEP)))])
    worked = np.array([any(a <= t <= b for a, b in hours) for t in times])
    allowed = worked if worked.any() else np.ones(len(times), dtype=bool)
    allowed[0] = True  # whoever asks is there
    seen = places(lessons.observations)
    at_once: list[Chance] = []
    later: list[Chance] = []
    for standing in standings:
        for coat, stage in _in_doubt(standing, lessons):
            looks = _looks(lessons, seen, coat, stage, times)
            if looks is None:
                continue
            made = [_chance(standing, coat, stage, times, looks, i) for i in (0, _best(looks[1], allowed))]
            at_once.append(made[0])
            later.append(made[1])
    return NextTest(_most(at_once), _most(later))


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


Looks = tuple[Array, Array, Array, Array]
"""Chance of dry, bits, factor if dry, factor if tacky: an element for each hour."""


def _looks(lessons: Lessons, seen: Mapping[int, int], coat: Coat, stage: Stage, times: Array) -> Looks | None:
    time = coat.finish.stages[stage]
    stated = time.typical * coat.factors.stretch(coat.finish, stage)
    if stated <= 0.0:
        return None
    now = float(times[0])
    integral = coat.track.place_at(now).of(coat.finish, time.clock)
    gathered = coat.track.gathered(coat.finish, time.clock, coat.at, now)
    ratios = (gathered + np.asarray(integral.at(times)) - float(integral.at(now))) / stated
    density, sigma, short = _known(lessons, seen, coat)
    told = prospect(density, sigma, ratios, short)
    return told.dry, told.bits, told.if_dry, told.if_tacky


def _known(lessons: Lessons, seen: Mapping[int, int], coat: Coat) -> tuple[Density, float, float]:
    """ln(factor) of a coat but for its own looks, the noise about it, and the ratio at which it was last short."""
    woods = coat.factors.species
    place = seen.get(coat.entry)
    if place is not None:
        one = lessons.observations[place]
        return lessons.of(place), one.sigma, one.low
    told = woods.extractives in lessons.curves
    noise = coat.finish.repeat if told else math.hypot(coat.finish.repeat, woods.spread)
    return lessons.woods(woods.extractives if told else None), noise, 0.0


def _best(bits: Array, allowed: npt.NDArray[np.bool_]) -> int:
    most = float(np.where(allowed, bits, -1.0).max())
    return int(np.flatnonzero(allowed & (bits >= AS_GOOD * most))[0])


def _chance(standing: Standing, coat: Coat, stage: Stage, times: Array, looks: Looks, i: int) -> Chance:
    dry, bits, if_dry, if_tacky = (float(column[i]) for column in looks)
    return Chance(standing.row.code, coat.number, stage, float(times[i]), dry, bits, if_dry, if_tacky)


def _most(found: Sequence[Chance]) -> Chance | None:
    """What tells most; of those that tell nearly as much the first, then the softest stage."""
    if not found:
        return None
    most = max(c.bits for c in found)
    return min((c for c in found if c.bits >= AS_GOOD * most), key=lambda c: (c.at, -c.bits))


def telling_ratio(lessons: Lessons, noise: float) -> float:
    """For a coat still to come: the multiple of its stated time at which a look tells most."""
    ratios = np.exp(np.linspace(-1.5, 1.5, 121))
    return float(ratios[prospect(lessons.theta(), noise, ratios).bits.argmax()])
