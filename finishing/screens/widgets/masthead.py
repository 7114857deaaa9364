"""The line at the top of every screen: what is shown, the air of each place, and the time."""

from __future__ import annotations

from collections.abc import Sequence

from rich.cells import cell_len
from rich.text import Text
from textual.app import RenderResult
from textual.reactive import reactive
from textual.widget import Widget


class Masthead(Widget):
    """Title at the left, air in the middle, date and time at the right; what doesn't fit is left out whole.

    lost: said instead of the air, before anything else, while the database is out of reach. word: said after the title
    of a shop that may only be read.
    """

    title: reactive[str] = reactive("")
    clock: reactive[str] = reactive("")
    lost: reactive[str] = reactive("")
    word: reactive[str] = reactive("")
    air: reactive[tuple[str, ...]] = reactive(())

    def render(self) -> RenderResult:
        """Lay the three out over the width there is."""
        width = self.size.width
        if self.lost:
            return self._without_connection(width)
        word = f" {self.word} " if self.word else ""
        room = width - cell_len(self.title) - cell_len(word) - cell_len(self.clock) - 6
        middle = max((dot.join(_fitting(self.air, room, dot)) for dot in ("  ·  ", " · ")), key=cell_len)
        gap = max(width - 3 - cell_len(self.title + word + middle + self.clock), 1)
        text = Text(no_wrap=True)
        text.append(f" {self.title} ", style="bold")
        text.append(word, style="bold reverse")
        text.append(" " * (gap // 2) + middle + " " * (gap - gap // 2), style="dim")
        text.append(f"{self.clock} ")
        return text

    def _without_connection(self, width: int) -> Text:
        room = width - cell_len(self.lost) - cell_len(self.clock) - 5
        title = self.title if cell_len(self.title) <= room else ""
        text = Text(no_wrap=True)
        text.append(f" {title} ", style="bold")
        text.append(f" {self.lost} ", style="bold reverse")
        text.append(" " * max(width - text.cell_len - cell_len(self.clock) - 1, 1))
        text.append(f"{self.clock} ")
        return text


def _fitting(parts: Sequence[str], room: int, dot: str) -> list[str]:
    kept: list[str] = []
    for part in parts:
        if cell_len(dot.join([*kept, part])) > room:
            break
        kept.append(part)
    return kept
