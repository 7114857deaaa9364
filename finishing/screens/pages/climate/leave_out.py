"""Leaving readings of a stretch of time out, how many being said before; and which of those left out to take back."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.widgets import Button

from finishing.clock import at_zone
from finishing.errors import BadInput
from finishing.exchange.readings import LogReading
from finishing.moments import parse_stretch
from finishing.screens.pages.batch.cards import ChoiceCard
from finishing.screens.pages.card import Card, field
from finishing.screens.pages.climate.import_log import Asked, ImportCard
from finishing.shop import left_out
from finishing.shop.learning.word import checked
from finishing.shop.left_out import Line
from finishing.shop.shop import Shop
from finishing.units import counted

ON_RECORD = "Windows then go by the rest. It stays on record; u takes it back."


@dataclass(frozen=True, slots=True)
class LeaveOutDraft:
    """From one hour to another, both among them, and a note; how many readings that are."""

    first: float
    last: float
    note: str
    readings: int


class ByLog:
    """What the card hands back where a log is to be left out instead."""


class LeaveOutCard(Card[LeaveOutDraft | ByLog]):
    """From, until, and why; or those of a log."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("ctrl+l", "by_log", "Those of a log", show=False)]

    DONE_WORDS = "Leave out"
    LEAVE_WORDS = "Keep them"
    FIELDS: ClassVar[dict[str, str]] = {"readings": "from"}

    def __init__(self, shop: Shop, place: str, now: float) -> None:
        super().__init__()
        self._shop, self._place, self._now = shop, place, now

    def title_words(self) -> str:
        """Where."""
        return f"Leave readings of {self._place} out"

    def lines(self) -> ComposeResult:
        """Two times and a note."""
        today = at_zone(self._now, self._shop.settings.zone).format("YYYY-MM-DD")
        yield from field("from", "from", f"such as yesterday 07:30, or {today} 07:30")
        yield from field("until", "until", f"such as {today} 09:00")
        yield from field("note (may stay empty)", "note", "such as in the sun, wrong room")

    def buttons(self) -> Iterable[Button]:
        """With another between the two."""
        done, leave = super().buttons()
        return done, Button("Of a log (ctrl+l)", id="log"), leave

    @on(Button.Pressed, "#log")
    def action_by_log(self) -> None:
        """Rather the readings of a log."""
        self.dismiss(ByLog())

    def _stretch(self) -> tuple[float, float]:
        texts = self.text("from"), self.text("until")
        return parse_stretch(texts, ("from", "until"), self._shop.settings.zone, self._now)

    def preview(self) -> str:
        """How many, and how warm it was read."""
        stretch, settings = self._stretch(), self._shop.settings
        try:
            found = left_out.would_leave_out(self._shop, self._place, *stretch)
        except BadInput:
            return "nothing was read there in that time"
        words = left_out.found_words(found, settings.units, settings.zone, self._now)
        return f"{words}\n{ON_RECORD}"

    def made(self) -> LeaveOutDraft:
        """The stretch, with something in it."""
        first, last = self._stretch()
        found = left_out.would_leave_out(self._shop, self._place, first, last)
        return LeaveOutDraft(first, last, checked(self.text("note")), found.found.readings)


class LeaveLogCard(ImportCard):
    """The first enter reads a log and shows which of its readings stand here; the second hands it back."""

    def __init__(self, shop: Shop, place: str, now: float) -> None:
        super().__init__(place, shop.settings.zone)
        self._shop, self._units, self._now = shop, shop.settings.units, now

    def title_words(self) -> str:
        """Where."""
        return f"Leave a log out at {self.place}, read as it was read in"

    def account(self, asked: Asked, log: LogReading) -> tuple[str, str]:
        """How many of its readings stand here as they are."""
        found = left_out.would_leave_log_out(self._shop, self.place, asked.path, log)
        words = left_out.found_words(found, self._units, self.zone, self._now)
        stand = f"of {counted(len(log), 'reading')} these stand at {self.place} with the same values: {words}"
        return f"{stand}\n{ON_RECORD}", f"Leave {found.found.readings:,} out"


class TakeBackCard(ChoiceCard):
    """Which of those left out at a place to take back; hands back its number as text."""

    DONE_WORDS = "Take it back"

    def __init__(self, place: str, left: Sequence[Line], zone: str, now: float) -> None:
        choices = [(str(one.line.number), left_out.line_words(one, zone, now)) for one in left]
        said = ["Its readings count again, but where another stands at their second."]
        super().__init__(f"Left out at {place}: take which back?", choices, said)
