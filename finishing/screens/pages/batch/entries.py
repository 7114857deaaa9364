"""The record of a batch as a list, newest first; what was voided says so."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.text import Text
from textual.widgets import OptionList
from textual.widgets.option_list import Option

from finishing.cure.terms import Face
from finishing.cure.work import AbradeEntry, CoatEntry, Entry, TestEntry
from finishing.exchange.plain import plain
from finishing.screens.pages.batch.look import Look
from finishing.shop.record import entry_words
from finishing.shop.sheets import corrected, voided
from finishing.shop.shop import Standing
from finishing.shop.split import inherited, split_words
from finishing.shop.words import short_time

if TYPE_CHECKING:
    from finishing.store.entries import Recorded

LATE_HOURS = 1.0 / 12.0
"""An entry written down so much later than it happened says when."""


class EntryList(OptionList):
    """The entries. `show` keeps the highlighted one by its number."""

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id, markup=False)
        self._numbers: list[int] = []

    @property
    def number(self) -> int | None:
        """Number of the highlighted entry."""
        return None if self.highlighted is None or not self._numbers else self._numbers[self.highlighted]

    def show(self, look: Look) -> None:
        """Show a batch's record."""
        kept, lines = self.number, entry_lines(look)
        self._numbers = [number for number, _ in lines]
        self.clear_options()
        self.add_options([Option(line) for _, line in lines])
        if self._numbers:
            self.highlighted = self._numbers.index(kept) if kept in self._numbers else 0


def entry_lines(look: Look) -> list[tuple[int, Text]]:
    """Number and line of every entry, newest first."""
    dead, came, instead = voided(look.standing), inherited(look.standing.entries), corrected(look.standing)
    found = []
    for recorded in reversed(look.standing.row.record):
        entry = recorded.entry
        line = Text()
        line.append(f"{entry.number:>4}  ", style="dim")
        by = dead.get(entry.number)
        now_in = f", now {instead[entry.number]}" if entry.number in instead else ""
        void = f"VOID by {by}{now_in}: "
        if by is not None:
            line.append(void, style="dim")
        line.append(f"{short_time(entry.at, look.zone, look.now)}  {words(look.standing, entry, look.settings.units)}")
        line.append(_besides(recorded, look, entry.number in came), style="dim")
        if by is not None:
            line.stylize("strike", len(f"{entry.number:>4}  {void}"))
        found.append((entry.number, line))
    return found


def words(standing: Standing, entry: Entry, units: str) -> str:
    """An entry in a few words, made harmless; with its face where it was of one."""
    said = split_words(entry) or entry_words(standing, entry, units)
    face = entry.face if isinstance(entry, TestEntry | AbradeEntry) else Face.BOTH
    return plain(said if face is Face.BOTH else f"{said}, {face.value}")


def _besides(recorded: Recorded, look: Look, came: bool) -> str:
    """From which can, by whom, written when, and whether it came along from another batch."""
    said = []
    if isinstance(recorded.entry, CoatEntry):
        said += [] if recorded.can_id is None else [f"can {recorded.can_id}"]
        said += [] if recorded.entry.wiped_back else ["not wiped back"]
    if recorded.maker:
        said.append(f"by {plain(recorded.maker)}")
    if came:
        said.append("came along")
    elif recorded.recorded_at - recorded.entry.at > LATE_HOURS:
        said.append(f"written {short_time(recorded.recorded_at, look.zone, look.now)}")
    return f"  ({', '.join(said)})" if said else ""
