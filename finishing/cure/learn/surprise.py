"""How surprising a test is on the word of all the others: flagged and asked about, never obeyed blindly."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from finishing.cure.learn.density import Density
from finishing.cure.learn.likelihood import STRAY_SIGMA, log_likelihood
from finishing.cure.learn.normal import cumulative
from finishing.cure.learn.observation import Observation
from finishing.cure.learn.posterior import Lessons, columns

ASK_BELOW = 0.02
"""From this surprise on the maker is asked: one such test in fifty would show by chance. A judgement."""


@dataclass(frozen=True, slots=True)
class Verdict:
    """One observation against all the others.

    chance: of one as far out or farther, on either side (posterior predictive, twice the smaller tail). stray: the
    chance that it tells nothing of the finish. late: whether it is on the slow side.
    """

    observation: Observation
    weight: float
    chance: float
    stray: float
    late: bool

    @property
    def surprising(self) -> bool:
        """Whether the maker should be asked what happened."""
        return self.chance < ASK_BELOW


def verdicts(lessons: Lessons, newest: int | None = None) -> list[Verdict]:
    """Every observation of a finish, or so many of the newest, in their order."""
    count = len(lessons.observations)
    return [verdict(lessons, i) for i in range(0 if newest is None else max(count - newest, 0), count)]


def verdict(lessons: Lessons, place: int) -> Verdict:
    """One observation of a finish, by its place among them."""
    seen, weight = lessons.observations[place], float(lessons.weights[place])
    expected = lessons.of(place)
    low, high = seen.logs
    by_high = reached_by(expected, seen.sigma, high)
    after_low = 1.0 - reached_by(expected, seen.sigma, low)
    if math.isinf(high):
        after_low = seen.never + (1.0 - seen.never) * after_low
    chance = min(1.0, 2.0 * min(by_high, after_low))
    return Verdict(seen, weight, chance, _stray(lessons, seen, expected), after_low < by_high)


def reached_by(expected: Density, sigma: float, log_ratio: float) -> float:
    """The chance that a coat is there by a multiple of its stated time, given as its logarithm."""
    if math.isinf(log_ratio):
        return 0.0 if log_ratio < 0.0 else 1.0
    return float(expected.mass @ cumulative((log_ratio - expected.at) / sigma))


def _stray(lessons: Lessons, seen: Observation, expected: Density) -> float:
    """Bayes' rule between a look at this coat and one at anything."""
    if lessons.stray <= 0.0:
        return 0.0
    one = columns([seen], np.ones(1))
    of_the_coat = (1.0 - lessons.stray) * float(expected.mass @ np.exp(log_likelihood(one, expected.at, 0.0)))
    low, high = (np.array([x]) for x in seen.logs)
    of_anything = lessons.stray * float((cumulative(high / STRAY_SIGMA) - cumulative(low / STRAY_SIGMA))[0])
    whole = of_the_coat + of_anything
    return of_anything / whole if whole > 0.0 else 1.0
