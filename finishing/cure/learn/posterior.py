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

import numpy as np
import numpy.typing as npt

from finishing.cure.coat import ShopFactor
from finishing.cure.learn.curve import REACH, Curve
from finishing.cure.learn.density import Density, even, log_blurred
from finishing.cure.learn.likelihood import LEAST_CHANCE, Intervals, intervals, log_likelihood
from finishing.cure.learn.observation import Observation, coats_felt
from finishing.cure.learn.rules import LEAST_COATS, LEAST_FACTOR, MOST_FACTOR
from finishing.cure.terms import Extractives

Array = npt.NDArray[np.float64]

BEFORE_POINTS = 257


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
    """What the finishes of a mechanism have in common, on the word of some of them: a density, in logarithms."""

    at: Array
    log: Array


@dataclass(frozen=True)
class Lessons:
    """What was seen of one finish.

    weights: in the order of `observations`. curves: by slow class, None for all other woods; woods_spread likewise.
    above: what similar finishes say of it. own_spread: of its factor about theirs. tests, similar: how many touch tests
    of its own and of theirs. similar_coats: on how many coats of theirs.
    """

    finish: str
    observations: tuple[Observation, ...]
    weights: Array
    curves: Mapping[Extractives | None, Curve]
    woods_spread: Mapping[Extractives, float]
    above: Mean
    own_spread: float
    tests: int
    similar: int
    similar_coats: int
    stray: float
    kept: dict[object, Density] = field(default_factory=dict, compare=False, repr=False)
    blurs: dict[object, Array] = field(default_factory=dict, compare=False, repr=False)

    @property
    def coats(self) -> int:
        """On how many coats they were; see `coats_felt`."""
        return coats_felt(self.observations)

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

    def said_of_the_mean(self, at: Array) -> Array:
        """ln likelihood of these tests for what the finishes of the mechanism have in common."""
        plain = self.curves[None]
        log = plain.log
        for woods, spread in self.woods_spread.items():
            log = log + log_blurred(self.curves[woods].at, self.curves[woods].log, plain.at, spread)
        return log_blurred(plain.at, log, at, self.own_spread)

    def shop_factor(self, without: int | None = None) -> ShopFactor:
        """What a window needs to know. Until LEAST_COATS coats were felt nothing is taken as learned."""
        if self.coats + self.similar_coats < LEAST_COATS:
            return ShopFactor()
        less = 0 if without is None else sum(len(self.observations[i].tests) for i in self._coat(without))
        slow = {
            woods: _factor(self.woods(woods, without), self.tests - less, self.similar, with_wood=True)
            for woods in self.woods_spread
        }
        plain = _factor(self.theta(without), self.tests - less, self.similar)
        return replace(plain, slow=slow, without=_Without(self) if without is None else {})


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


def _factor(found: Density, tests: int, similar: int, *, with_wood: bool = False) -> ShopFactor:
    mean = min(max(found.mean, math.log(LEAST_FACTOR)), math.log(MOST_FACTOR))
    return ShopFactor(mean, found.sd, tests, similar, with_wood)
