"""One coat: what slows it, when each stage comes at each level of certainty, and its recoat window."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from finishing.cure.film import film_factor
from finishing.cure.finish import Finish
from finishing.cure.species import SpeciesFactor
from finishing.cure.spread import COULD_BE, COUNT_ON, LIKELY, Spread, together
from finishing.cure.terms import ClockName, Extractives, Face, Stage
from finishing.cure.track import Track
from finishing.cure.work import Finding, TestEntry

SOFT = (Stage.TACK_FREE, Stage.DRY_TO_TOUCH)
"""A film found tacky to these is short of the firmer stages too. The other way round nothing follows."""

FIRM = (Stage.DRY_TO_RECOAT, Stage.DRY_TO_HANDLE, Stage.STACKABLE, Stage.CURED)


@dataclass(frozen=True, slots=True)
class ShopFactor:
    """How much slower (> 1) this finish hardens in this shop than stated: ln mean, ln sd, tests it rests on.

    sd None: nothing learned yet, the finish's own spread holds. similar: tests of other finishes of its mechanism that
    it rests on as well. with_wood: the sd holds what is unsure about the wood too. slow: the same for woods of a class
    that holds finishes up. without: by the number of a coat's entry, the same but for what that coat taught, by class.
    agreed: the coats felt say one way, slower or faster, whichever of them is left out; else the stated times hold.
    """

    ln_mean: float = 0.0
    ln_sd: float | None = None
    tests: int = 0
    similar: int = 0
    with_wood: bool = False
    agreed: bool = True
    slow: Mapping[Extractives, ShopFactor] = field(default_factory=dict)
    without: Mapping[int, ShopFactor] = field(default_factory=dict)

    @property
    def factor(self) -> float:
        """The factor itself: what stretches a median time, the geometric mean of what is believed."""
        return math.exp(self.ln_mean)

    @property
    def moves(self) -> bool:
        """Whether windows go by it, and not by the stated times."""
        return self.ln_sd is not None and self.agreed

    def on(self, woods: Extractives) -> ShopFactor:
        """The factor on woods of a class."""
        return self.slow.get(woods, self)

    def but_for(self, entry: int) -> ShopFactor:
        """The factor on the word of all other coats.

        A look bears on the stage it was made for through `Spread`; in that stage's factor it would count twice.
        """
        return self.without.get(entry, self)


@dataclass(frozen=True, slots=True)
class Factors:
    """What stretches one coat's stated hours: woods, film against the finish's own, shop.

    others: the shop's factor but for what this coat taught. felt: the stages a finger was put on it for.
    """

    species: SpeciesFactor
    film_ratio: float
    shop: ShopFactor
    others: ShopFactor | None = None
    felt: frozenset[Stage] = frozenset()

    def shop_for(self, stage: Stage) -> ShopFactor:
        """The shop's factor for a stage: but for this coat's own looks where it was felt for that very stage."""
        return self.others if self.others is not None and stage in self.felt else self.shop

    def on(self, finish: Finish, stage: Stage) -> float:
        """The product of the factors for a stage."""
        return self.stretch(finish, stage) * self.shop_for(stage).factor

    def stretch(self, finish: Finish, stage: Stage) -> float:
        """The same without the shop's factor."""
        return self.species.factor * film_factor(finish.film.law, self.film_ratio, stage)

    def sigma(self, finish: Finish, stage: Stage) -> float:
        """Spread of ln(time) to a stage: shop and can, coat against coat, and the wood."""
        shop = self.shop_for(stage)
        spread = finish.spread if shop.ln_sd is None else shop.ln_sd
        return together(spread, finish.repeat, 0.0 if shop.with_wood else self.species.spread)


@dataclass(frozen=True, slots=True)
class StageTime:
    """When a stage comes. Hours since the epoch, None for never.

    stated_hours: as the finish states them. equivalent_hours: the same with all factors, at the reference
    atmosphere. at_level: at the maker's level. seen: when a touch test found it reached.
    """

    stage: Stage
    stated_hours: float
    equivalent_hours: float
    could_be: float | None
    likely: float | None
    count_on: float | None
    at_level: float | None
    seen: float | None = None


@dataclass(frozen=True, slots=True)
class Window:
    """When the next coat may go on without abrading. None: never opens / never shuts.

    tight: by the time it can be counted on to be open it has probably shut.
    """

    opens: float | None
    shuts: float | None
    tight: bool = False


@dataclass(frozen=True)
class Coat:
    """A coat that lies on the pieces (or, in a forecast, will).

    track, level: where the pieces stand, and the maker's level. entry: the number of its entry. Its times are worked
    out when first asked for: of coats long covered nobody asks.
    """

    step: int
    number: int
    face: Face
    finish: Finish
    at: float
    factors: Factors
    track: Track = field(repr=False, compare=False)
    level: float
    expected: bool = False
    tests: tuple[TestEntry, ...] = ()
    entry: int = field(default=0, compare=False)

    @cached_property
    def stages(self) -> Mapping[Stage, StageTime | None]:
        """When each stage comes; None where the finish states none, and for all where no date can be given."""
        stages: dict[Stage, StageTime | None] = dict.fromkeys(Stage)
        if not self.undated:
            for clock in ClockName:
                stages.update(
                    _stages_of(clock, self.finish, self.at, self.factors, self.track, self.level, self._looks)
                )
        return stages

    @cached_property
    def window(self) -> Window:
        """When the next coat may go on."""
        recoat, look = self.stages[Stage.DRY_TO_RECOAT], self._looks.get(Stage.DRY_TO_RECOAT)
        return _window(self.finish, self.at, self.factors, self.track, recoat, look)

    @cached_property
    def _looks(self) -> Mapping[Stage, Look]:
        return looks(self.tests)

    @property
    def undated(self) -> bool:
        """Whether a bare oily wood forbids giving any date: seal or test first."""
        return self.factors.species.test_first

    def reached(self, stage: Stage, hour: float) -> bool:
        """Whether a stage may be taken as reached at an hour, at the maker's level."""
        time = self.stages.get(stage)
        return time is not None and time.at_level is not None and time.at_level <= hour


def lay(
    *,
    step: int,
    number: int,
    face: Face,
    finish: Finish,
    at: float,
    factors: Factors,
    track: Track,
    level: float,
    tests: Sequence[TestEntry] = (),
    expected: bool = False,
    entry: int = 0,
) -> Coat:
    """A coat put on at an hour, given the touch tests made of it."""
    return Coat(step, number, face, finish, at, factors, track, level, expected, tuple(tests), entry)


def spread_of(coat: Coat, stage: Stage, track: Track) -> Spread | None:
    """How a stage of a coat is spread [equivalent hours since it was put on], given its touch tests; None: never."""
    time = coat.finish.stages.get(stage)
    if time is None or coat.undated:
        return None
    look = looks(coat.tests).get(stage)
    after = 0.0
    if look is not None and look.short_at is not None:
        after = track.gathered(coat.finish, time.clock, coat.at, look.short_at)
    return Spread(time.typical * coat.factors.on(coat.finish, stage), coat.factors.sigma(coat.finish, stage), after)


@dataclass(frozen=True, slots=True)
class Look:
    """When a film was last found short of a stage, and when it was first found there after that [hours]."""

    short_at: float | None
    dry_at: float | None


def looks(tests: Sequence[TestEntry], *, spread: bool = True) -> dict[Stage, Look]:
    """By stage: when last found short of it, and when first found there after that.

    spread: a film found tacky to a finger is short of the firmer stages too.
    """
    found: dict[Stage, Look] = {}
    for test in sorted(tests, key=lambda t: (t.at, t.number)):
        old = found.get(test.stage, Look(None, None))
        if test.finding is Finding.TACKY:
            found[test.stage] = Look(test.at, None)
            for stage in FIRM if spread and test.stage in SOFT else ():
                found[stage] = Look(test.at, None)
        elif old.dry_at is None:
            found[test.stage] = Look(old.short_at, test.at)
    return found


def _stages_of(
    clock: ClockName,
    finish: Finish,
    at: float,
    factors: Factors,
    track: Track,
    level: float,
    looks: Mapping[Stage, Look],
) -> dict[Stage, StageTime]:
    on_clock = [(stage, time) for stage, time in finish.stages.items() if time.clock is clock]
    if not on_clock:
        return {}
    rows = []
    for stage, time in on_clock:
        look = looks.get(stage)
        after = 0.0
        if look is not None and look.short_at is not None:
            after = track.gathered(finish, clock, at, look.short_at)
        spread = Spread(time.typical * factors.on(finish, stage), factors.sigma(finish, stage), after)
        rows.append([spread.at(p) for p in (COULD_BE, LIKELY, COUNT_ON, level)])
    hours = track.reached(finish, clock, at, np.array(rows))
    found = {}
    for (stage, time), row in zip(on_clock, hours, strict=True):
        look = looks.get(stage)
        seen = None if look is None else look.dry_at
        could_be, likely, count_on, at_level = (_known(float(h), seen) for h in row)
        median = time.typical * factors.on(finish, stage)
        found[stage] = StageTime(stage, time.typical, median, could_be, likely, count_on, at_level, seen)
    return found


def _known(hour: float, seen: float | None) -> float | None:
    """A finite hour, no later than the finger found it."""
    if seen is not None:
        hour = min(hour, seen)
    return hour if math.isfinite(hour) else None


def _window(
    finish: Finish, at: float, factors: Factors, track: Track, recoat: StageTime | None, look: Look | None
) -> Window:
    """Opens at the maker's level; shuts at the limit's median, since opening and shutting share their factors."""
    if recoat is None or recoat.at_level is None:
        return Window(None, None)
    limit = finish.recoat_limit
    if limit is None:
        return Window(recoat.at_level, None)
    hours = limit.typical * factors.on(finish, Stage.DRY_TO_RECOAT) * _slower(finish, at, factors, track, look)
    shuts = float(track.reached(finish, limit.clock, at, np.array([hours]))[0])
    if not math.isfinite(shuts):
        return Window(recoat.at_level, None)
    return Window(recoat.at_level, max(shuts, recoat.at_level), shuts <= recoat.at_level)


def _slower(finish: Finish, at: float, factors: Factors, track: Track, look: Look | None) -> float:
    """How much slower than its median a coat found short of dry-to-recoat has shown itself: it shuts as much later.

    1 without such a finding: a lone "dry" tells when someone looked, not how fast it hardens.
    """
    if look is None or look.short_at is None:
        return 1.0
    time = finish.stages[Stage.DRY_TO_RECOAT]
    short = track.gathered(finish, time.clock, at, look.short_at)
    dry = math.inf if look.dry_at is None else track.gathered(finish, time.clock, at, look.dry_at)
    median = time.typical * factors.on(finish, Stage.DRY_TO_RECOAT)
    if median <= 0.0:
        return 1.0
    return max(1.0, Spread(median, factors.sigma(finish, Stage.DRY_TO_RECOAT), short).median_by(dry) / median)
