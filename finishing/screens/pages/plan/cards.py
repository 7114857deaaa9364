"""The card that asks when work is to begin."""

from __future__ import annotations

from textual.app import ComposeResult

from finishing.moments import parse_day
from finishing.screens.pages.card import Card, Line
from finishing.shop.settings import Settings
from finishing.shop.words import short_time


class BeginCard(Card[float]):
    """A time ahead."""

    TITLE_WORDS = "When it is to begin"
    DONE_WORDS = "Pin it there"

    def __init__(self, words: str, begins: float, settings: Settings, now: float) -> None:
        super().__init__()
        self._words, self._begins, self._settings, self._now = words, begins, settings, now

    def title_words(self) -> str:
        """What is moved."""
        return f"{self._words}: when is it to begin?"

    def lines(self) -> ComposeResult:
        """One time."""
        yield Line("begins", "begins", "", f"{self._short(self._begins)}; or saturday, 1 Dec 18:30")

    def preview(self) -> str:
        """The time as understood."""
        return self._short(self.made())

    def _short(self, hour: float) -> str:
        return short_time(hour, self._settings.zone, self._now)

    def made(self) -> float:
        """The hour. BadInput for one that has passed. A day alone means when its working hours begin."""
        begins = self._settings.working_hours().begins
        return parse_day(self.text("begins"), "begins", self._settings.zone, self._now, begins)
