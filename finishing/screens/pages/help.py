"""What the keys and marks of a page mean."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Static


class HelpScreen(ModalScreen[None]):
    """The help of a page."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape,q,question_mark", "dismiss", "Close")]

    def __init__(self, text: str) -> None:
        super().__init__()
        self._text = text

    def compose(self) -> ComposeResult:
        """One page of text."""
        with VerticalScroll(id="card"):
            yield Static(self._text + "\n\n" + EVERYWHERE, markup=False)


EVERYWHERE = """Everywhere

  ?        this help, for the page you are on
  escape   back
  ctrl+p   every command by name

escape closes this page."""
"""What holds on every page."""
