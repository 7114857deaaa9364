"""What was learned of a finish, as a page and a command show it: stated and found, every coat felt, the next test."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from finishing.cure.coat import ShopFactor
from finishing.cure.finish import Finish
from finishing.cure.learn import Learned, Lessons, Observation
from finishing.cure.learn.density import Density
from finishing.cure.learn.surprise import Verdict, verdicts
from finishing.cure.terms import Extractives, Stage, StepKind
from finishing.errors import NotFound
from finishing.shop.learning.kin import Kin, with_kin
from finishing.shop.learning.next_test import AHEAD, NextTest, next_test, telling_ratio
from finishing.shop.learning.paces import Pace, paces
from finishing.shop.learning.score import Score, score, together
from finishing.shop.shop import Rack, Shop
from finishing.store import lessons as stored
from finishing.store.lessons import Felt, Lesson

Array = npt.NDArray[np.float64]

SHARE = 0.9
"""Of the interval that is shown."""


RECENT, SHOWN = 20, 100
"""Of so many of a finish's newest coats the list, and the page, say whether they surprise."""


@dataclass(frozen=True, slots=True)
class Range:
    """A factor, as windows go by it where they do, and the ends of its 90 % interval."""

    low: float
    middle: float
    high: float

    @classmethod
    def of(cls, density: Density) -> Range:
        """Of a density over its logarithm."""
        low, high = density.interval(SHARE)
        return cls(math.exp(low), math.exp(density.mean), math.exp(high))


@dataclass(frozen=True, slots=True)
class Said:
    """An exclusion or reset that holds; felt: the test left out."""

    lesson: Lesson
    felt: Felt | None = None


@dataclass(frozen=True, slots=True)
class LearnedSheet:
    """Everything learned of one finish.

    shop: what windows use. before, found: the factor before any test of this finish, and after all of them. slow: found
    on the woods of a slow class. looks: the newest coats felt with how surprising they are, oldest first. worth: as
    how many fresh coats the tests weigh. telling: multiple of its stated time at which a look at a coat tells most.
    hands: how quick the hands are at it. by: all that was learned, this among it.
    """

    finish: Finish
    shop: ShopFactor
    before: Range
    found: Range
    slow: dict[Extractives, Range]
    looks: tuple[Verdict, ...]
    said: tuple[Said, ...]
    worth: float
    next: NextTest
    telling: float
    score: Score
    hands: Mapping[StepKind, Pace]
    lessons: Lessons
    by: Learned

    @property
    def learned(self) -> bool:
        """Whether windows rest on it: two coats at least say the same way."""
        return self.shop.moves

    def but_for(self, seen: Observation) -> ShopFactor:
        """What windows would use with a coat's tests left out."""
        rest = [o for o in self.lessons.observations if o is not seen and (o.tests or o.split_of != seen.split_of)]
        return self.by.had(self.finish, rest).shop_factor()

    def afresh(self) -> ShopFactor:
        """What windows would use with all of its tests forgotten."""
        return self.by.had(self.finish, ()).shop_factor()

    @property
    def tests(self) -> int:
        """Touch tests of this finish."""
        return self.lessons.tests

    @property
    def surprising(self) -> tuple[Verdict, ...]:
        """Coats that don't go with the others."""
        return tuple(v for v in self.looks if v.surprising)

    @property
    def stated(self) -> dict[Stage, float]:
        """Stated hours of each stage at the finish's own reference air."""
        return {stage: time.typical for stage, time in self.finish.stages.items()}


@dataclass(frozen=True, slots=True)
class Line:
    """A finish in the list of those learned of, without what takes long to work out."""

    finish: Finish
    shop: ShopFactor
    found: Range
    tests: int
    coats: int
    surprising: int
    said: int


def lines(shop: Shop, now: float) -> tuple[Line, ...]:
    """Every finish that was felt, is on an open batch, or had tests left out, the most tested first."""
    rack, said = shop.rack(now), _said(shop)
    found = [_line(finish, rack.learned, said) for finish in finishes(shop, rack, said)]
    return tuple(sorted(found, key=lambda line: (-line.tests, line.finish.title)))


def _line(finish: Finish, learned: Learned, said: tuple[Lesson, ...]) -> Line:
    lessons = learned.about(finish)
    return Line(
        finish,
        learned.factor(finish),
        _range(lessons),
        lessons.tests,
        lessons.coats,
        sum(v.surprising for v in verdicts(lessons, RECENT)),
        sum(one.finish == finish.name for one in said),
    )


def finishes(shop: Shop, rack: Rack, said: tuple[Lesson, ...]) -> list[Finish]:
    """Finishes there is anything to say of. As batches began with them, where they are no longer in the library."""
    here = {name: f for s in rack.standings.values() for name, f in s.batch.finishes.items()}
    names = {*rack.learned.tested, *(one.finish for one in said), *here}
    known = {f.name: f for f in shop.library.finishes()}
    return [finish for name in sorted(names) if (finish := known.get(name) or here.get(name)) is not None]


def sheet(shop: Shop, name: str, now: float) -> LearnedSheet:
    """Everything learned of a finish. NotFound with the nearest names."""
    rack, said = shop.rack(now), _said(shop)
    finish, rules = finish_named(shop, name, now), rack.settings.learning()
    lessons = rack.learned.about(finish)
    hours = list(rack.settings.working_hours().stretches(now, now + AHEAD, rack.settings.zone))
    return LearnedSheet(
        finish,
        rack.learned.factor(finish),
        Range.of(lessons.before()),
        _range(lessons),
        {woods: Range.of(lessons.woods(woods)) for woods in lessons.woods_spread},
        tuple(verdicts(lessons, SHOWN)),
        _held(shop, [one for one in said if one.finish == name]),
        lessons.effective,
        next_test(rack.learned, finish, rack.standings.values(), _kin(shop, rack), hours, now),
        telling_ratio(lessons, finish.repeat),
        score(lessons, rules),
        {kind: pace for (of, kind), pace in paces(shop).items() if of == name},
        lessons,
        rack.learned,
    )


def finish_named(shop: Shop, name: str, now: float) -> Finish:
    """A finish that was learned of, or is in the library. NotFound with the nearest names."""
    known = {f.name: f for f in (*finishes(shop, shop.rack(now), _said(shop)), *shop.library.finishes())}
    if name not in known:
        raise NotFound("finish", name, known)
    return known[name]


def total(shop: Shop, found: Iterable[Line], now: float) -> Score:
    """How the past promises of all these finishes came out."""
    rack = shop.rack(now)
    rules = rack.settings.learning()
    return together([score(rack.learned.about(line.finish), rules) for line in found])


def _kin(shop: Shop, rack: Rack) -> Kin:
    rows = [standing.row for standing in rack.standings.values()]
    with shop.store.read() as r:
        return with_kin(r, rows, rows)


def _range(lessons: Lessons) -> Range:
    return Range.of(lessons.theta() if lessons.observations else lessons.before())


def _said(shop: Shop) -> tuple[Lesson, ...]:
    with shop.store.read() as r:
        return stored.standing(r)


def _held(shop: Shop, said: list[Lesson]) -> tuple[Said, ...]:
    numbers = {one.test for one in said if one.test is not None}
    with shop.store.read() as r:
        felt = stored.felt(r, numbers) if numbers else {}
    return tuple(Said(one, felt.get(one.test) if one.test is not None else None) for one in said)


def curve(density: Density, ratios: Array) -> Array:
    """The density of the factor's logarithm at some factors, for drawing."""
    return np.interp(np.log(ratios), density.at, density.value, left=0.0, right=0.0)
