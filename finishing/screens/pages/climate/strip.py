"""The places in one line, the shown one marked; a click chooses another."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rich.cells import cell_len
from rich.text import Text
from textual import events
from textual.app import RenderResult
from textual.message import Message
from textual.widget import Widget

from finishing.exchange.plain import plain


class PlaceStrip(Widget):
    """Names side by side. Those before the shown one slide out of sight when there is no room for all."""

    @dataclass
    class Chosen(Message):
        """A place was clicked."""

        name: str

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._names: tuple[str, ...] = ()
        self._chosen = 0

    def show(self, names: Sequence[str], chosen: int) -> None:
        """Show these places, one of them marked."""
        self._names, self._chosen = tuple(names), chosen
        self.refresh()

    def _labels(self) -> list[str]:
        return [(f"▸ {plain(n)} " if i == self._chosen else f"  {plain(n)} ") for i, n in enumerate(self._names)]

    def _first(self, labels: list[str]) -> int:
        """The first name in sight, so that the chosen one is too."""
        first = 0
        while first < self._chosen and cell_len("".join(labels[first : self._chosen + 1])) + 2 > self.size.width:
            first += 1
        return first

    def render(self) -> RenderResult:
        """The line."""
        labels = self._labels()
        first = self._first(labels)
        text = Text("‹ " if first else "  ", no_wrap=True, overflow="ellipsis")
        for i, label in enumerate(labels[first:], first):
            text.append(label, style="bold reverse" if i == self._chosen else "")
        return text

    def on_click(self, event: events.Click) -> None:
        """Choose the place that was clicked."""
        labels = self._labels()
        left = 2
        for i, label in enumerate(labels):
            if i < self._first(labels):
                continue
            if left <= event.x < left + cell_len(label):
                self.post_message(self.Chosen(self._names[i]))
                return
            left += cell_len(label)
