"""The card that asks when work is to begin."""

from __future__ import annotations

from textual.app import ComposeResult

from finishing.errors import BadInput
from finishing.moments import parse_moment
from finishing.screens.pages.card import Card, Line
from finishing.shop.words import short_time


class BeginCard(Card[float]):
    """A time ahead."""

    TITLE_WORDS = "When it is to begin"
    DONE_WORDS = "Pin it there"

    def __init__(self, words: str, begins: float, zone: str, now: float) -> None:
        super().__init__()
        self._words, self._begins, self._zone, self._now = words, begins, zone, now

    def title_words(self) -> str:
        """What is moved."""
        return f"{self._words}: when is it to begin?"

    def lines(self) -> ComposeResult:
        """One time."""
        yield Line("begins", "begins", "", f"{short_time(self._begins, self._zone, self._now)}; or 2026-12-01 18:30")

    def preview(self) -> str:
        """The time as understood."""
        return short_time(self.made(), self._zone, self._now)

    def made(self) -> float:
        """The hour. BadInput for one that has passed."""
        hour = parse_moment(self.text("begins"), "begins", self._zone, self._now)
        if hour < self._now:
            raise BadInput("begins", self.text("begins"), "a time ahead of now")
        return hour
