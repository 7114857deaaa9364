"""How past promises came out, kept so that no page works the same ones out twice."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from finishing.cure.learn import Lessons, Observation, Rules
from finishing.cure.learn.promises import Kept, promises
from finishing.units import counted


@dataclass(frozen=True, slots=True)
class Score:
    """Of the coats that were felt: how many were there by the hour they could be counted on (9 in 10), and how many
    were not. undecided: last found short before that hour and first found dry after it, or not looked at since.
    """

    held: int = 0
    broken: int = 0
    undecided: int = 0

    @property
    def decided(self) -> int:
        """How many promises are known to have held or not."""
        return self.held + self.broken

    @property
    def share(self) -> float | None:
        """The share of them that held, None while there is none."""
        return self.held / self.decided if self.decided else None

    def words(self) -> str:
        """In a line."""
        if not self.decided:
            return "no promise yet whose outcome is known"
        left = f"; {self.undecided} can't be told" if self.undecided else ""
        return f"of {counted(self.decided, 'time')} to count on (9 in 10), {self.held} held{left}"


def score(lessons: Lessons, rules: Rules) -> Score:
    """Of one finish's coats, each promised on the word of the finish's tests before it alone."""
    return _score(lessons.observations, rules)


@lru_cache(maxsize=64)
def _score(seen: tuple[Observation, ...], rules: Rules) -> Score:
    found = [promise.kept for promise in promises(seen, rules)]
    return Score(found.count(Kept.HELD), found.count(Kept.BROKEN), found.count(Kept.UNDECIDED))


def together(scores: Sequence[Score]) -> Score:
    """All finishes' scores as one."""
    return Score(sum(s.held for s in scores), sum(s.broken for s in scores), sum(s.undecided for s in scores))
