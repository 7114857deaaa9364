"""What touch tests say of one finish in this shop, exactly, by quadrature.

ln(T/τ) of a coat of finish f on wood of class c is θ_f + δ_fc + ε:

- θ_f = μ_m + η_f, of the finish: N(0, spread²) in all, of which a share lies in the μ_m that all finishes of one
  mechanism have in common (the shop, its makers' fingers), so that a new can starts from what similar ones taught.
- δ_fc, of the slow classes of wood alone: N(0, that class's spread²).
- ε ~ N(0, repeat²) of one coat against the next; see `likelihood`.

The graph is a tree, so each marginal is a product of messages, each a one-dimensional integral over even points.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np
import numpy.typing as npt

from finishing.cure.coat import ShopFactor
from finishing.cure.learn.curve import REACH, Curve
from finishing.cure.learn.density import Density, even, log_blurred, log_normal_at, means
from finishing.cure.learn.likelihood import LEAST_CHANCE, Intervals, intervals, log_likelihood
from finishing.cure.learn.observation import Observation
from finishing.cure.learn.rules import LEAST_COATS, LEAST_FACTOR, LEAST_MOVE, MOST_FACTOR
from finishing.cure.terms import Extractives

Array = npt.NDArray[np.float64]

BEFORE_POINTS = 257
MEAN_POINTS = 129
MEAN_REACH = 6.0
"""The common part of finishes' factors is looked for within so many of its own standard deviations."""


def class_of(seen: Observation) -> Extractives | None:
    """The slow class an observation tells of; None for all other woods."""
    return seen.woods if seen.slow else None


def columns(seen: Sequence[Observation], weights: Array) -> Intervals:
    """Observations as intervals of ln(T/τ)."""
    logs = np.array([o.logs for o in seen], dtype=float).reshape(-1, 2)
    noise, never = [o.sigma for o in seen], [o.never for o in seen]
    return intervals(logs[:, 0], logs[:, 1], noise, weights, never)


@dataclass(frozen=True, slots=True)
class Mean:
    """What the finishes of a mechanism have in common, on the word of some of them: a density, in logarithms.

    spread: of it before any test.
    """

    at: Array
    log: Array
    spread: float

    @classmethod
    def of(cls, others: Sequence[Lessons], spread: float) -> Mean:
        """On the word of these, each as if alone."""
        at = even(-MEAN_REACH * spread, MEAN_REACH * spread, MEAN_POINTS)
        log = log_normal_at(at, spread)
        for one in others:
            log = log + one.said_of_the_mean(at)
        return cls(at, log, spread)


@dataclass(frozen=True)
class Lessons:
    """What was seen of one finish.

    weights: in the order of `observations`. curves: by slow class, None for all other woods; woods_spread likewise.
    above: what similar finishes say of it. own_spread: of its factor about theirs. tests: how many touch tests of it.
    coats: on how many coats; what a split has parted is one still. few: a place of each of those on a class of woods
    with no more than FEW_COATS of them. others: similar finishes that were tested, each as if alone.
    """

    finish: str
    observations: tuple[Observation, ...]
    weights: Array
    curves: Mapping[Extractives | None, Curve]
    woods_spread: Mapping[Extractives, float]
    above: Mean
    own_spread: float
    tests: int
    coats: int
    few: tuple[int, ...]
    stray: float
    others: tuple[Lessons, ...] = ()
    kept: dict[object, Density] = field(default_factory=dict, compare=False, repr=False)
    blurs: dict[object, Array] = field(default_factory=dict, compare=False, repr=False)
    ways: dict[object, int] = field(default_factory=dict, compare=False, repr=False)

    @property
    def similar(self) -> int:
        """How many touch tests of similar finishes there are."""
        return sum(one.tests for one in self.others)

    @cached_property
    def all_coats(self) -> int:
        """On how many coats tests were, those of similar finishes too."""
        return self.coats + sum(one.coats for one in self.others)

    @property
    def effective(self) -> float:
        """How many fresh coats the tests are worth after ageing."""
        return float(self.weights.sum())

    def before(self) -> Density:
        """ln(factor) before any test of this finish: its stated times and what similar finishes taught."""
        reach = REACH + 4.0 * self.own_spread
        at = even(-reach, reach, BEFORE_POINTS)
        return Density.of_logs(at, log_blurred(self.above.at, self.above.log, at, self.own_spread))

    def theta(self, without: int | None = None) -> Density:
        """ln(factor) on woods that do not slow it. without: the place of an observation whose coat to leave out."""
        return self._kept((None, without), lambda: self._theta(without, None))

    def woods(self, slow: Extractives | None, without: int | None = None) -> Density:
        """ln(factor) on woods of a class that was tested: its own factor and the finish's."""
        if slow is None or slow not in self.curves:
            return self.theta(without)
        return self._kept((slow, without), lambda: self._woods(slow, without))

    def of(self, place: int) -> Density:
        """ln(factor) that an observation's coat had, on the word of all other coats."""
        return self.woods(class_of(self.observations[place]), place)

    def _kept(self, key: object, make: Callable[[], Density]) -> Density:
        if key not in self.kept:
            self.kept[key] = make()
        return self.kept[key]

    def _log(self, woods: Extractives | None, without: int | None) -> Array:
        """ln likelihood of the tests of one class."""
        log = self.curves[woods].log
        if without is None or class_of(self.observations[without]) is not woods:
            return log
        coat = self._coat(without)
        one = columns([self.observations[i] for i in coat], self.weights[coat])
        return log - log_likelihood(one, self.curves[woods].at, self.stray)

    def _coat(self, place: int) -> list[int]:
        """The places of all parts of an observation's coat."""
        of = self.observations[place].split_of
        return [place] if of is None else [i for i, o in enumerate(self.observations) if o.split_of == of]

    def _theta(self, without: int | None, but: Extractives | None) -> Density:
        at = self.curves[None].at
        log = self._log(None, without) + self._prior(at)
        for woods in self.curves:
            if woods is not None and woods is not but:
                log = log + self._of_woods(woods, without)
        return Density.of_logs(at, log)

    def _prior(self, at: Array) -> Array:
        """ln of the prior of θ, kept: it is the same whichever observation is left out."""
        if None not in self.blurs:
            self.blurs[None] = log_blurred(self.above.at, self.above.log, at, self.own_spread)
        return self.blurs[None]

    def _of_woods(self, woods: Extractives, without: int | None) -> Array:
        """What the tests on a slow class of wood say of θ, kept where all of them are meant."""
        at, spread = self.curves[None].at, self.woods_spread[woods]
        if without is not None and class_of(self.observations[without]) is woods:
            return log_blurred(self.curves[woods].at, self._log(woods, without), at, spread)
        if woods not in self.blurs:
            self.blurs[woods] = log_blurred(self.curves[woods].at, self._log(woods, None), at, spread)
        return self.blurs[woods]

    def _woods(self, woods: Extractives, without: int | None) -> Density:
        rest, at = self._theta(without, woods), self.curves[woods].at
        logs = np.log(np.maximum(rest.value, LEAST_CHANCE))
        return Density.of_logs(at, self._log(woods, without) + log_blurred(rest.at, logs, at, self.woods_spread[woods]))

    def said_of_the_mean(self, at: Array, without: int | None = None) -> Array:
        """ln likelihood of these tests for what the finishes of the mechanism have in common, kept for one `at`."""
        key = "mean", without
        if key not in self.blurs:
            log = self._log(None, without)
            for woods in self.woods_spread:
                log = log + self._of_woods(woods, without)
            self.blurs[key] = log_blurred(self.curves[None].at, log, at, self.own_spread)
        return self.blurs[key]

    def way(self, woods: Extractives | None) -> int:
        """Which way dates may move on some woods: 1 later, -1 sooner, 0 neither.

        The way that this finding takes, and takes still whichever coat is left out, be it of a similar finish. So a
        "dry" never lets dates move later, nor a "tacky" sooner, not even the one that makes enough coats.
        """
        if woods not in self.ways:
            self.ways[woods] = self._way(woods)
        return self.ways[woods]

    def _way(self, woods: Extractives | None) -> int:
        way = sign(self.woods(woods).mean)
        held = way != 0 and all(sign(self.woods(woods, place).mean) == way for place in self.few)
        return way if held and all(sign(found) == way for found in self._without_similar(woods)) else 0

    def _without_similar(self, woods: Extractives | None) -> list[float]:
        """The mean of ln(factor) on some woods with each coat of similar finishes left out."""
        at, rows = self.above.at, []
        for other in self.others:
            full = other.said_of_the_mean(at)
            rows += [self.above.log - full + other.said_of_the_mean(at, place) for place in other.few]
        if not rows:
            return []
        at = self.curves[None].at
        logs = log_blurred(self.above.at, np.array(rows), at, self.own_spread) + self._own(woods)
        if woods is not None and woods in self.woods_spread:
            onto = self.curves[woods].at
            logs = log_blurred(at, logs, onto, self.woods_spread[woods]) + self.curves[woods].log
            at = onto
        return [float(mean) for mean in means(at, logs)]

    def _own(self, but: Extractives | None) -> Array:
        """ln likelihood of its own tests for θ, but for those on a slow class of woods."""
        log = self.curves[None].log
        for woods in self.woods_spread:
            if woods is not but:
                log = log + self._of_woods(woods, None)
        return log

    def shop_factor(self, without: int | None = None) -> ShopFactor:
        """What a window needs to know. Until LEAST_COATS coats were felt nothing is taken as learned."""
        if self.all_coats < LEAST_COATS:
            return ShopFactor()
        slow = {woods: self._factor(woods, without) for woods in self.woods_spread}
        plain = self._factor(None, without)
        return replace(plain, slow=slow, without=_Without(self) if without is None else {})

    def in_use(self, woods: Extractives | None, without: int | None = None) -> Density:
        """ln(factor) as windows go by it: what was found, or what is believed while nothing is taken as learned."""
        if self.way(woods) != 0 and self.all_coats >= LEAST_COATS:
            return self.woods(woods, without)
        sd = self._factor(woods, without).ln_sd if self.all_coats >= LEAST_COATS else None
        at = self.curves[None].at
        return Density.of_logs(at, log_normal_at(at, self._prior_spread(woods) if sd is None else sd))

    def _prior_spread(self, woods: Extractives | None) -> float:
        slow = self.woods_spread.get(woods, 0.0) if woods is not None else 0.0
        return math.hypot(self.above.spread, self.own_spread, slow)

    def _factor(self, woods: Extractives | None, without: int | None) -> ShopFactor:
        found = self.woods(woods, without)
        mean, sd = found.mean, found.sd
        agreed = self.way(woods) != 0
        if not agreed:
            # About the stated times instead, and no less sure than before any test.
            mean, sd = 0.0, min(math.hypot(sd, mean), self._prior_spread(woods))
        mean = min(max(mean, math.log(LEAST_FACTOR)), math.log(MOST_FACTOR))
        less = 0 if without is None else sum(len(self.observations[i].tests) for i in self._coat(without))
        return ShopFactor(mean, sd, self.tests - less, self.similar, woods is not None, agreed)


def sign(mean: float) -> int:
    """The way a mean of ln(factor) points: 1 slower, -1 faster, 0 where it is as good as the stated time."""
    return 0 if abs(mean) <= LEAST_MOVE else 1 if mean > 0.0 else -1


def places(seen: Sequence[Observation]) -> dict[int, int]:
    """Where each coat is among observations, by the number of its entry, in whichever batch its pieces are now."""
    return {entry: i for i, o in enumerate(seen) for entry in (o.entry, *o.parts)}


class _Without(Mapping[int, ShopFactor]):
    """Factors but for what one coat taught, worked out when asked for: few coats of those on record still lie open."""

    def __init__(self, lessons: Lessons) -> None:
        self._lessons = lessons
        self._places = places(lessons.observations)

    def __getitem__(self, entry: int) -> ShopFactor:
        return self._lessons.shop_factor(self._places[entry])

    def __iter__(self) -> Iterator[int]:
        return iter(self._places)

    def __len__(self) -> int:
        return len(self._places)
