"""How many past promises held: of every coat felt, what could be "counted on" before, and what the finger found."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
import numpy.typing as npt

from finishing.cure.learn.curve import REACH
from finishing.cure.learn.density import Density, even, log_normal_at, means
from finishing.cure.learn.likelihood import LEAST_CHANCE, log_likelihood
from finishing.cure.learn.observation import Observation
from finishing.cure.learn.posterior import class_of, columns, sign
from finishing.cure.learn.rules import FEW_COATS, LEAST_COATS, LEAST_SPREAD, Rules
from finishing.cure.spread import COUNT_ON, z
from finishing.cure.terms import Extractives

Array = npt.NDArray[np.float64]

NEWEST = 500
"""So many of a finish's newest coats are looked at: older promises say little of today's."""

POINTS = 513
DAY = 24.0


class Kept(StrEnum):
    """What became of a promise. UNDECIDED: last found tacky before its time and dry after, or not looked at since."""

    HELD = "held"
    BROKEN = "broken"
    UNDECIDED = "undecided"


@dataclass(frozen=True, slots=True)
class Promise:
    """By which multiple of its stated time a coat was promised to be there, as one to count on, and whether it was."""

    observation: Observation
    ratio: float
    kept: Kept


def promises(seen: Sequence[Observation], rules: Rules) -> list[Promise]:
    """Of one finish's coats, each promised on the word of what was felt before it, in order of time.

    As `learn` of each stretch of the record would have it, with the finish's present spread, but in one pass: fading
    takes the same share of all that was known, so what a coat adds need be worked out once.
    """
    ordered = sorted(seen, key=lambda o: (o.at, o.batch, o.entry))[-NEWEST:]
    if not ordered:
        return []
    so_far = _SoFar(ordered[-1], rules)
    found = []
    for one in ordered:
        so_far.fade(one.at)
        ratio = so_far.promised(one)
        if one.tests:  # a part with no look of its own since it was split off is told with the others
            found.append(Promise(one, ratio, _kept(one, ratio)))
        so_far.take(one, ratio)
    return found


def _kept(one: Observation, ratio: float) -> Kept:
    return Kept.HELD if one.high <= ratio else Kept.BROKEN if one.low >= ratio else Kept.UNDECIDED


class _SoFar:
    """What was known of a finish at one time: ln likelihoods over ln(factor), of all other woods and by slow class."""

    def __init__(self, newest: Observation, rules: Rules) -> None:
        self._rules, self._spread = rules, max(newest.spread, LEAST_SPREAD)
        reach = max(REACH, 6.0 * self._spread)
        self._at = even(-reach, reach, POINTS)
        self._prior = log_normal_at(self._at, self._spread)
        self._logs: dict[Extractives | None, Array] = {None: np.zeros(POINTS)}
        self._kernels: dict[Extractives, Array] = {}
        self._day: float | None = None
        self._coats: dict[object, tuple[Extractives | None, Array]] = {}
        self._parted: dict[tuple[str, float, int], float] = {}

    def fade(self, hour: float) -> None:
        """Time went on to an hour."""
        day = math.floor(hour / DAY)
        if self._day is not None and day > self._day:
            left = 0.5 ** ((day - self._day) / self._rules.half_life_days)
            self._logs = {woods: log * left for woods, log in self._logs.items()}
            self._coats = {coat: (woods, log * left) for coat, (woods, log) in self._coats.items()}
        self._day = day

    def take(self, one: Observation, promised: float) -> None:
        """A coat was felt, or a part of it; what was promised of it before any part was."""
        woods = class_of(one)
        if woods is not None and woods not in self._logs:
            self._logs[woods] = np.zeros(POINTS)
            spread = max(one.woods_spread, LEAST_SPREAD)
            kernel = np.exp(-0.5 * ((self._at[:, None] - self._at[None, :]) / spread) ** 2)
            self._kernels[woods] = kernel / kernel.sum(axis=1, keepdims=True)
        said = log_likelihood(columns([one], np.array([one.pieces])), self._at, self._rules.stray)
        self._logs[woods] = self._logs[woods] + said
        coat = one.split_of or (one.batch, one.entry)
        self._coats[coat] = woods, said + self._coats[coat][1] if coat in self._coats else said
        if one.split_of is not None:
            self._parted.setdefault(one.split_of, promised)

    def promised(self, one: Observation) -> float:
        """By which multiple of its stated time a coat could have been counted on; all of its parts by the same."""
        if one.split_of in self._parted:
            return self._parted[one.split_of]
        mean, sd, noise = 0.0, self._spread, math.hypot(one.noise, one.woods_spread)
        if len(self._coats) >= LEAST_COATS:
            woods = class_of(one)
            now = Density.of_logs(self._at, self._of(woods, self._logs))
            mean, sd = now.mean, now.sd
            if woods in self._kernels:
                noise = one.noise
            if not self._agreed(woods, mean):
                slow = one.woods_spread if woods in self._kernels else 0.0
                mean, sd = 0.0, min(math.hypot(sd, mean), math.hypot(self._spread, slow))
        return math.exp(mean + z(COUNT_ON) * math.hypot(sd, noise))

    def _agreed(self, woods: Extractives | None, mean: float) -> bool:
        """As `Lessons.way`: whether the coats so far say one way, whichever of them is left out."""
        on = Counter(of for of, _ in self._coats.values())
        rest = [
            self._of(woods, {**self._logs, of: self._logs[of] - log})
            for of, log in self._coats.values()
            if on[of] <= FEW_COATS
        ]
        return sign(mean) != 0 and all(sign(m) == sign(mean) for m in (means(self._at, np.array(rest)) if rest else ()))

    def _of(self, woods: Extractives | None, logs: Mapping[Extractives | None, Array]) -> Array:
        """ln density of the factor on some woods, up to a constant, by these likelihoods."""
        own = woods if woods in self._kernels else None
        log = self._prior + logs[None]
        for other in self._kernels:
            if other is not own:
                log = log + self._blurred(logs[other], other)
        return log if own is None else logs[own] + self._blurred(log, own)

    def _blurred(self, log: Array, woods: Extractives) -> Array:
        top = float(log.max())
        return np.asarray(np.log(np.maximum(self._kernels[woods] @ np.exp(log - top), LEAST_CHANCE)) + top)
