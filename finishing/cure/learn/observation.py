"""Touch tests as observations of the shop factor: one interval a coat, however many looks and stages.

Looks are taken on equivalent time, so that a cold night is no slow finish. All looks at one coat are one observation:
what slows it slows every stage. Its interval is what all stages allow; where stages contradict one another (dry to
recoat "too early", tacky to the touch "too late") it lies between the bounds that clash.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace

from finishing.cure.coat import Coat, looks
from finishing.cure.fold import Fold
from finishing.cure.terms import Extractives, Mechanism, Stage
from finishing.cure.work import TestEntry

SLOW = (Extractives.MODERATE, Extractives.HIGH)
"""Classes with a factor of their own beside the finish's; the spread of the others counts as noise."""

NARROWEST = 0.02
"""A finger tells no finer than this in ln(time)."""

SAME = 1e-4
"""Two ends of intervals that differ by no more of themselves are one."""

LEAST_RATIO = 1e-3
"""Of the stated time: found dry after less than this, the film got there before anybody could have looked."""


@dataclass(frozen=True, slots=True)
class Observation:
    """What the looks at one coat say: its time over the stated one lies above `low` and up to `high` (inf: open).

    finish, mechanism, spread, noise: of the finish (see `Finish.spread` and `repeat`). woods, woods_spread, never: of
    the class its slowest wood counts as. batch, coat, entry: code, number of the coat on its face, number of its entry.
    at: hour of the last look. tests: numbers of the entries, but for looks at the coat before this part was split
    off, which are told once, where they were made. stages: what was felt for. pieces: share of the coat's pieces that
    it speaks of, 1 unless the batch was split. clashing: stages contradict one another. split_of: code of the batch it
    was put on, hour and step, where a split parted its pieces; None for a whole coat. parts: numbers of the coat's
    entries in other batches whose pieces are among these.
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
    split_of: tuple[str, float, int] | None = None
    parts: tuple[int, ...] = ()

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


def together(seen: Iterable[Observation]) -> list[Observation]:
    """Parts of a coat of which nothing else is known than of another part, taken together with that one."""
    found: dict[object, list[Observation]] = defaultdict(list)
    for o in seen:
        found[o.split_of if o.split_of is not None else (o.batch, o.entry)].append(o)
    said: list[Observation] = []
    for parts in found.values():
        # Those with a look of their own first, then by what came earlier: the others are told where it was made.
        parts.sort(key=lambda o: (not o.tests, o.entry))
        whole: list[Observation] = []
        for o in parts:
            same = next((i for i, w in enumerate(whole) if not o.tests and _same(o, w)), None)
            if same is None:
                whole.append(o)
            else:
                w = whole[same]
                whole[same] = replace(w, pieces=w.pieces + o.pieces, parts=(*w.parts, o.entry, *o.parts))
        said += whole
    return said


def _same(one: Observation, other: Observation) -> bool:
    # A part's amount is kept to the microlitre, so its film, and with it the interval, is a hair different.
    ends = ((one.low, other.low), (one.high, other.high))
    return one.woods is other.woods and all(math.isclose(a, b, rel_tol=SAME) for a, b in ends)


def observations(
    fold: Fold, skip: Collection[int] = (), pieces: float = 1.0, copies: Collection[int] = ()
) -> list[Observation]:
    """Every coat of a batch that a finger was put on.

    skip: numbers of tests that don't count. copies: of those that were made on the batch it was split from.
    """
    found = []
    for coat in fold.coats:
        tests = [t for t in coat.tests if t.number not in skip]
        seen = _observed(fold.batch.code, coat, tests, pieces, copies)
        if seen is not None:
            found.append(seen)
    return found


def _observed(
    code: str, coat: Coat, tests: Sequence[TestEntry], pieces: float, copies: Collection[int]
) -> Observation | None:
    bounds = _bounds(coat, tests)
    if not bounds:
        return None
    low, high, clashing = _interval(max(b[1] for b in bounds), min(b[2] for b in bounds))
    woods, finish = coat.factors.species, coat.finish
    felt = {b[0] for b in bounds}
    used = [t for t in tests if t.stage in felt]
    own = tuple(sorted(t.number for t in used if t.number not in copies))
    return Observation(
        finish.name, finish.mechanism, finish.spread, finish.repeat, woods.extractives, woods.spread, woods.never,
        low, high, max(t.at for t in used), code, coat.number, coat.entry, own,
        tuple(s for s in Stage if s in felt), pieces, clashing,
    )  # fmt: skip


def _interval(low: float, high: float) -> tuple[float, float, bool]:
    """What all stages allow, and whether they contradict one another: then what lies between the bounds that clash."""
    clashing = low > high
    return *_no_finer(*sorted((low, max(high, LEAST_RATIO)))), clashing


def felt(
    code: str, coat: Coat, seen: Observation | None, stage: Stage, at: float, ratio: float, dry: bool
) -> Observation:
    """What a coat would say after a look at an hour, at a multiple of a stage's stated time; seen: what it says yet."""
    low, high = (0.0, math.inf) if seen is None else (seen.low, seen.high)
    low, high, clashing = _interval(low, min(high, ratio)) if dry else _interval(max(low, ratio), high)
    if seen is not None:
        return replace(seen, low=low, high=high, at=max(seen.at, at), clashing=seen.clashing or clashing)
    woods, finish = coat.factors.species, coat.finish
    return Observation(
        finish.name, finish.mechanism, finish.spread, finish.repeat, woods.extractives, woods.spread, woods.never,
        low, high, at, code, coat.number, coat.entry, (), (stage,), clashing=clashing,
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
