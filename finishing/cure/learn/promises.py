"""How many past promises held: of every coat felt, what could be "counted on" before, and what the finger found."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from finishing.cure.learn.learned import learn
from finishing.cure.learn.observation import Observation
from finishing.cure.learn.posterior import class_of
from finishing.cure.learn.rules import LEAST_COATS, LEAST_SPREAD, Rules
from finishing.cure.spread import COUNT_ON, z

NEWEST = 200
"""So many of a finish's newest coats are looked at: older promises say little of today's."""


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
    """Of one finish's coats, each promised on the word of what was felt before it, in order of time."""
    ordered = sorted(seen, key=lambda o: (o.at, o.batch, o.entry))
    return [_promise(ordered[:i], ordered[i], rules) for i in range(max(len(ordered) - NEWEST, 0), len(ordered))]


def _promise(before: Sequence[Observation], one: Observation, rules: Rules) -> Promise:
    mean, sd, noise = 0.0, max(one.spread, LEAST_SPREAD), math.hypot(one.noise, one.woods_spread)
    if len(before) >= LEAST_COATS:
        found = learn(before, one.at, rules).lessons(one.finish)
        woods = class_of(one)
        now = found.woods(woods)
        mean, sd = now.mean, now.sd
        if woods is not None and woods in found.curves:
            noise = one.noise
    ratio = math.exp(mean + z(COUNT_ON) * math.hypot(sd, noise))
    kept = Kept.HELD if one.high <= ratio else Kept.BROKEN if one.low >= ratio else Kept.UNDECIDED
    return Promise(one, ratio, kept)
