"""Touch tests as observations of the shop factor: one interval a coat, however many looks and stages.

Looks are taken on equivalent time, so that a cold night is no slow finish. All looks at one coat are one observation:
what slows it slows every stage. Its interval is what all stages allow; where stages contradict one another (dry to
recoat "too early", tacky to the touch "too late") it lies between the bounds that clash.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

from finishing.cure.coat import Coat, looks
from finishing.cure.fold import Fold
from finishing.cure.terms import Extractives, Mechanism, Stage
from finishing.cure.work import TestEntry

SLOW = (Extractives.MODERATE, Extractives.HIGH)
"""Classes with a factor of their own beside the finish's; the spread of the others counts as noise."""

NARROWEST = 0.02
"""A finger tells no finer than this in ln(time)."""

LEAST_RATIO = 1e-3
"""Of the stated time: found dry after less than this, the film got there before anybody could have looked."""


@dataclass(frozen=True, slots=True)
class Observation:
    """What the looks at one coat say: its time over the stated one lies above `low` and up to `high` (inf: open).

    finish, mechanism, spread, noise: of the finish (see `Finish.spread` and `repeat`). woods, woods_spread, never: of
    the class its slowest wood counts as. batch, coat, entry: code, number of the coat on its face, number of its entry.
    at: hour of the last look. tests: numbers of the entries. stages: what was felt for. pieces: share of the coat's
    pieces that it speaks of, 1 unless the batch was split. clashing: stages contradict one another. split_of: code
    of the batch it was put on and the hour, where a split parted its pieces; None for a whole coat.
    """

    finish: str
    mechanism: Mechanism
    spread: float
    noise: float
    woods: Extractives
    woods_spread: float
    never: float
    low: float
    high: float
    at: float
    batch: str = ""
    coat: int = 0
    entry: int = 0
    tests: tuple[int, ...] = ()
    stages: tuple[Stage, ...] = ()
    pieces: float = 1.0
    clashing: bool = False
    split_of: tuple[str, float] | None = None

    @property
    def slow(self) -> bool:
        """Whether its wood has a factor of its own."""
        return self.woods in SLOW

    @property
    def sigma(self) -> float:
        """Noise of ln(time) about the factor it observes."""
        return self.noise if self.slow else math.hypot(self.noise, self.woods_spread)

    @property
    def logs(self) -> tuple[float, float]:
        """The interval in ln(time over stated), -inf and inf where open."""
        low = -math.inf if self.low <= 0.0 else math.log(self.low)
        return low, math.log(self.high)


def coats_felt(seen: Iterable[Observation]) -> int:
    """On how many coats: what a split has parted is one still, however many of its parts were felt."""
    found = [o.split_of for o in seen]
    return found.count(None) + len({part for part in found if part is not None})


def observations(fold: Fold, skip: Collection[int] = (), pieces: float = 1.0) -> list[Observation]:
    """Every coat of a batch that a finger was put on.

    skip: numbers of tests that don't count: inherited from another batch, or left out by the maker.
    """
    found = []
    for coat in fold.coats:
        tests = [t for t in coat.tests if t.number not in skip]
        seen = _observed(fold.batch.code, coat, tests, pieces)
        if seen is not None:
            found.append(seen)
    return found


def _observed(code: str, coat: Coat, tests: Sequence[TestEntry], pieces: float) -> Observation | None:
    bounds = _bounds(coat, tests)
    if not bounds:
        return None
    low, high = max(b[1] for b in bounds), min(b[2] for b in bounds)
    clashing = low > high
    if clashing:
        low, high = high, low
    low, high = _no_finer(low, max(high, LEAST_RATIO))
    woods, finish = coat.factors.species, coat.finish
    felt = {b[0] for b in bounds}
    used = [t for t in tests if t.stage in felt]
    return Observation(
        finish.name, finish.mechanism, finish.spread, finish.repeat, woods.extractives, woods.spread, woods.never,
        low, high, max(t.at for t in used), code, coat.number, coat.entry, tuple(sorted(t.number for t in used)),
        tuple(s for s in Stage if s in felt), pieces, clashing,
    )  # fmt: skip


def _bounds(coat: Coat, tests: Sequence[TestEntry]) -> list[tuple[Stage, float, float]]:
    """By stage that was felt for and has a time: the last ratio it was short at, and the first it was there after."""
    found = []
    for stage, look in looks(tests, spread=False).items():
        time = coat.finish.stages.get(stage)
        if time is None or time.typical <= 0.0:
            continue
        stated = time.typical * coat.factors.stretch(coat.finish, stage)
        low, high = (
            none if hour is None else coat.track.gathered(coat.finish, time.clock, coat.at, hour) / stated
            for hour, none in ((look.short_at, 0.0), (look.dry_at, math.inf))
        )
        found.append((stage, low, high))
    return found


def _no_finer(low: float, high: float) -> tuple[float, float]:
    """An interval no narrower than a finger can tell, about its middle."""
    if low <= 0.0 or math.isinf(high) or high >= low * math.exp(NARROWEST):
        return low, high
    middle, half = math.sqrt(low * high), math.exp(NARROWEST / 2.0)
    return middle / half, middle * half
