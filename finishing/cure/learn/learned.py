"""Learning from all touch tests of a shop at once.

A test's weight halves with every half-life of its age: a can ages, a season turns.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from finishing.cure.coat import ShopFactor
from finishing.cure.finish import Finish
from finishing.cure.learn.curve import REACH, Curve, curve
from finishing.cure.learn.observation import Observation
from finishing.cure.learn.posterior import Lessons, Mean, class_of, columns
from finishing.cure.learn.rules import FEW_COATS, LEAST_SPREAD, USUAL_RULES, Rules
from finishing.cure.terms import Extractives, Mechanism

Array = npt.NDArray[np.float64]

DAY = 24.0
LEAST_COMMON = 1e-3


@dataclass(frozen=True, slots=True)
class Group:
    """The tested finishes of one mechanism, each as if it were alone; common: spread of what they have in common."""

    common: float
    members: tuple[Lessons, ...]


class Learned:
    """What was learned of every finish. Asked about one that was never tested it answers with what similar ones say."""

    def __init__(
        self, lessons: Mapping[str, Lessons], groups: Mapping[Mechanism, Group], rules: Rules, as_of: float
    ) -> None:
        self._lessons, self._groups, self._rules, self._as_of = dict(lessons), groups, rules, as_of
        self._factors: dict[str, ShopFactor] = {}

    @property
    def tested(self) -> tuple[str, ...]:
        """Names of the finishes that were tested, in order."""
        return tuple(sorted(name for name, found in self._lessons.items() if found.observations))

    def lessons(self, name: str) -> Lessons:
        """Everything learned of a finish that was tested, by name. KeyError for another."""
        return self._lessons[name]

    def about(self, finish: Finish) -> Lessons:
        """Everything learned of one finish."""
        if finish.name not in self._lessons:
            spread = max(finish.spread, LEAST_SPREAD)
            group = self._groups.get(finish.mechanism) or Group(_common(spread, self._rules), ())
            alone = _lessons(finish.name, (), np.zeros(0), spread, group.common, self._rules)
            self._lessons[finish.name] = _below(alone, group.members, group.common)
        return self._lessons[finish.name]

    def had(self, finish: Finish, seen: Sequence[Observation], at: float | None = None) -> Lessons:
        """What would be known of a finish had this been seen of it instead, as of an hour or that of the rest."""
        others = [o for name in self.tested if name != finish.name for o in self._lessons[name].observations]
        mine = seen[-1].mechanism if seen else finish.mechanism
        kept = [o for o in others if o.mechanism is mine]
        return learn([*kept, *seen], self._as_of if at is None else at, self._rules).about(finish)

    def factor(self, finish: Finish) -> ShopFactor:
        """What a window of this finish needs to know."""
        if finish.name not in self._factors:
            self._factors[finish.name] = self.about(finish).shop_factor()
        return self._factors[finish.name]

    def factors(self, finishes: Iterable[Finish]) -> dict[str, ShopFactor]:
        """The same for several, by name; those of which nothing is known are left out."""
        found = {finish.name: self.factor(finish) for finish in finishes}
        return {name: factor for name, factor in found.items() if factor.ln_sd is not None}


def learn(seen: Iterable[Observation], as_of: float, rules: Rules = USUAL_RULES) -> Learned:
    """Learn from observations, in whatever order, as of an hour."""
    by_finish: defaultdict[str, list[Observation]] = defaultdict(list)
    for one in seen:
        by_finish[one.finish].append(one)
    by_mechanism: defaultdict[Mechanism, list[tuple[Observation, ...]]] = defaultdict(list)
    for _, found in sorted(by_finish.items()):
        found.sort(key=lambda o: (o.at, o.batch, o.entry))
        by_mechanism[found[-1].mechanism].append(tuple(found))
    lessons: dict[str, Lessons] = {}
    groups: dict[Mechanism, Group] = {}
    for mechanism, rows in by_mechanism.items():
        group = _group(rows, as_of, rules)
        groups[mechanism] = group
        for i, alone in enumerate(group.members):
            lessons[alone.finish] = _below(alone, [*group.members[:i], *group.members[i + 1 :]], group.common)
    return Learned(lessons, groups, rules, as_of)


def fading(at: Array, as_of: float, half_life_days: float) -> Array:
    """The weight of tests by their hours: 1 when fresh, half after every half-life. Counted in whole days."""
    days = np.maximum(math.floor(as_of / DAY) - np.floor(at / DAY), 0.0)
    return np.asarray(0.5 ** (days / half_life_days))


def _group(rows: Sequence[tuple[Observation, ...]], as_of: float, rules: Rules) -> Group:
    # A maker may have changed a finish's spread since: its newest test has the one that holds.
    spreads = [max(found[-1].spread, LEAST_SPREAD) for found in rows]
    common = _common(min(spreads), rules)
    members = []
    for found, spread in zip(rows, spreads, strict=True):
        weights = np.array([o.pieces for o in found])
        weights *= fading(np.array([o.at for o in found]), as_of, rules.half_life_days)
        members.append(_lessons(found[0].finish, found, weights, spread, common, rules))
    return Group(common, tuple(members))


def _common(least_spread: float, rules: Rules) -> float:
    return max(math.sqrt(rules.shared) * least_spread, LEAST_COMMON)


def _lessons(
    name: str, seen: tuple[Observation, ...], weights: Array, spread: float, common: float, rules: Rules
) -> Lessons:
    """A finish as if it were the only one of its mechanism."""
    by_class: defaultdict[Extractives | None, list[int]] = defaultdict(list)
    for i, one in enumerate(seen):
        by_class[class_of(one)].append(i)
    reach = max(REACH, 6.0 * spread)
    curves: dict[Extractives | None, Curve] = {
        None: curve(columns(*_some(seen, weights, by_class[None])), reach, rules.stray)
    }
    coats = [_coats_of(seen, places) for places in by_class.values()]
    few = tuple(place for places in coats if len(places) <= FEW_COATS for place in places)
    woods_spread: dict[Extractives, float] = {}
    for woods in Extractives:
        if woods in by_class:
            woods_spread[woods] = max(seen[by_class[woods][-1]].woods_spread, LEAST_SPREAD)
            part = columns(*_some(seen, weights, by_class[woods]))
            curves[woods] = curve(part, reach + 4.0 * woods_spread[woods], rules.stray)
    tests = sum(len(one.tests) for one in seen)
    own = math.sqrt(max(spread**2 - common**2, LEAST_SPREAD**2))
    return Lessons(
        name,
        seen,
        weights,
        curves,
        woods_spread,
        Mean.of((), common),
        own,
        tests,
        sum(map(len, coats)),
        few,
        rules.stray,
    )


def _coats_of(seen: Sequence[Observation], places: Iterable[int]) -> list[int]:
    """The first place of each coat among some places: what a split has parted is one still."""
    first: dict[object, int] = {}
    for place in places:
        first.setdefault(seen[place].split_of or place, place)
    return list(first.values())


def _some(seen: Sequence[Observation], weights: Array, places: Sequence[int]) -> tuple[list[Observation], Array]:
    return [seen[i] for i in places], weights[list(places)]


def _below(alone: Lessons, others: Sequence[Lessons], common: float) -> Lessons:
    """The same finish with what others of its mechanism say."""
    if not others:
        return alone
    return replace(alone, above=Mean.of(others, common), others=tuple(others), kept={}, blurs={}, ways={})
