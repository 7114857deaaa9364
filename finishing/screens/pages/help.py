"""What the keys and marks of a page mean."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import ClassVar

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Static

ITEM = re.compile(r"(\S.*?)\s{2,}(\S.*)")
"""A key or a mark, and what it means."""

DEEP = 8
"""Spaces before the rest of what an item means."""


class HelpScreen(ModalScreen[None]):
    """The help of a page."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape,q,question_mark", "dismiss", "Close")]
    CSS = "HelpScreen.-narrow #card { width: 96%; }"

    def __init__(self, text: str) -> None:
        super().__init__()
        self._text = text

    def compose(self) -> ComposeResult:
        """One page of text."""
        with VerticalScroll(id="card"):
            yield Static(Group(*parts(f"{self._text}\n\n{EVERYWHERE}")))


def parts(text: str) -> Iterator[RenderableType]:
    """Paragraphs as they wrap, and what is set in under them as a list of keys and meanings."""
    for block in text.split("\n\n"):
        yield from _block(block.split("\n"))
        yield Text()


def _block(lines: list[str]) -> Iterator[RenderableType]:
    words: list[str] = []
    items: list[list[str]] = []
    for line in lines:
        if items and line.startswith(" " * DEEP):
            items[-1][1] += f" {line.strip()}"
        elif line.startswith(" "):
            item = ITEM.fullmatch(line.strip())
            items.append([item[1], item[2]] if item else ["", line.strip()])
        else:
            if items:
                yield from (Text(" ".join(words)), _listed(items))
                words, items = [], []
            words.append(line)
    if words:
        yield Text(" ".join(words))
    if items:
        yield _listed(items)


def _listed(items: list[list[str]]) -> Table:
    table = Table.grid(padding=(0, 2))
    table.add_column(no_wrap=True)
    table.add_column()
    for key, meaning in items:
        table.add_row(Text(f"  {key}"), Text(meaning))
    return table


EVERYWHERE = """Everywhere

  ?        this help, for the page you are on
  escape   back
  ctrl+p   every command by name

escape closes this page."""
"""What holds on every page."""
