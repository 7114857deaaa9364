"""A touch test that doesn't go with what is known: flagged and asked about, never silently obeyed."""

from __future__ import annotations

from dataclasses import dataclass

from finishing.cure.learn.surprise import Verdict, verdict
from finishing.cure.work import Finding, TestEntry, standing
from finishing.shop.inherited import inherited
from finishing.shop.learning.words import interval_words, surprise_words
from finishing.shop.shop import Shop
from finishing.shop.views import View


@dataclass(frozen=True, slots=True)
class Doubt:
    """A batch's newest touch test whose coat surprises. test: its number. tests: all those of the coat."""

    code: str
    coat: int
    finish: str
    test: int
    finding: Finding
    tests: tuple[int, ...]
    verdict: Verdict

    def words(self) -> str:
        """How surprising, and what to ask oneself."""
        took = interval_words(self.verdict.observation)
        return f"coat {self.coat} took {took} of its stated time, {surprise_words(self.verdict)}"


def doubt(shop: Shop, code: str, now: float) -> Doubt | None:
    """Of the touch test recorded last on a batch; None where it goes with the others, or isn't learned from."""
    batch = shop.standing(code, now)
    tests = [e for e in standing(batch.entries) if isinstance(e, TestEntry)]
    if not tests:
        return None
    newest = max(tests, key=lambda e: e.number)
    if newest.number in inherited(batch.entries):
        return None
    learned = shop.rack(now).learned
    for name in learned.tested:
        lessons = learned.lessons(name)
        for place, seen in enumerate(lessons.observations):
            if seen.batch == code and newest.number in seen.tests:
                found = verdict(lessons, place)
                return (
                    Doubt(code, seen.coat, name, newest.number, newest.finding, seen.tests, found)
                    if found.surprising
                    else None
                )
    return None


def doubt_view(found: Doubt | None) -> View | None:
    """The same as JSON."""
    if found is None:
        return None
    return {
        "coat": found.coat,
        "finish": found.finish,
        "test": found.test,
        "chance": round(found.verdict.chance, 6),
        "slower": found.verdict.late,
        "words": found.words(),
    }
