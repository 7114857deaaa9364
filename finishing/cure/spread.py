"""How sure a time is: log-normal spread about the median, its three levels, and what a look at the film tells."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from statistics import NormalDist

COULD_BE, LIKELY, COUNT_ON = 0.2, 0.5, 0.9
"""The three levels of certainty that are shown: the chance that the stage has been reached by then."""

USUAL_LEVEL = 0.8
"""The level the bench and the planner go by unless the maker chose another."""

_NORMAL = NormalDist()


@lru_cache(maxsize=256)
def z(level: float) -> float:
    """Standard normal quantile of a level in (0, 1)."""
    return _NORMAL.inv_cdf(level)


@dataclass(frozen=True, slots=True)
class Spread:
    """A time in equivalent hours: median and standard deviation of its logarithm, seen not yet reached at `after`.

    after: equivalent hours at which the film was still found short of the stage (0: never looked).
    """

    median: float
    sigma: float
    after: float = 0.0

    def at(self, level: float) -> float:
        """Equivalent hours by which the stage is reached with the chance `level`.

        After a look that found it short, the distribution is cut off there and scaled up again:
        P(T <= t | T > a) = (F(t) - F(a)) / (1 - F(a)).
        """
        if self._certain:
            return max(self.median, self.after)
        if self.after <= 0.0:
            return self.median * math.exp(self.sigma * z(level))
        # Survival, not distribution function: far in the tail 1 - F(a) would round to nothing.
        survives = _survival(self._score(self.after))
        return max(self.after, self.median * math.exp(self.sigma * _upper(survives * (1.0 - level))))

    def chance(self, equivalent: float) -> float:
        """The chance that the stage has been reached after so many equivalent hours."""
        if equivalent <= self.after:
            return 0.0
        if self._certain:
            return 1.0 if equivalent >= self.median else 0.0
        left = _survival(self._score(equivalent))
        if self.after <= 0.0:
            return 1.0 - left
        return 1.0 - left / _survival(self._score(self.after))

    def median_by(self, found: float) -> float:
        """The median, given that the stage was found reached at `found` equivalent hours (inf: never found)."""
        if self._certain or found <= self.after:
            return min(max(self.median, self.after), max(found, self.after))
        not_at_look = 1.0 if self.after <= 0.0 else _survival(self._score(self.after))
        not_when_found = 0.0 if math.isinf(found) else _survival(self._score(found))
        middle = min((not_at_look + not_when_found) / 2, 1.0 - 1e-15)
        return min(max(self.median * math.exp(self.sigma * _upper(middle)), self.after), found)

    @property
    def _certain(self) -> bool:
        return self.sigma <= 0.0 or self.median <= 0.0

    def _score(self, hours: float) -> float:
        return (math.log(hours) - math.log(self.median)) / self.sigma


def _survival(score: float) -> float:
    return max(0.5 * math.erfc(score / math.sqrt(2.0)), 1e-300)


@lru_cache(maxsize=4096)
def _upper(survival: float) -> float:
    """The score that a standard normal exceeds with the chance `survival`, also for very small chances."""
    return -_NORMAL.inv_cdf(survival)


def together(*sigmas: float) -> float:
    """Independent spreads of a product, combined."""
    return math.sqrt(sum(s * s for s in sigmas))
