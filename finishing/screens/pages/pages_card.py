"""All pages by name, with the digits that go there from anywhere."""

from __future__ import annotations

from collections.abc import Mapping
from typing import ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option


class PagesCard(ModalScreen[str]):
    """Hands back the name of the page that was chosen, by its digit, by enter or by a click."""

    CSS = """
    PagesCard #card { width: 50; }
    PagesCard #pages { height: auto; border: none; background: $surface; padding: 0; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,p", "leave", "Leave it"),
        *(Binding(digit, f"take('{digit}')", "Go there", show=False) for digit in "0123456789"),
    ]

    def __init__(self, pages: Mapping[str, tuple[str, str, str]]) -> None:
        """pages: the app's list."""
        super().__init__()
        self._pages = pages

    def compose(self) -> ComposeResult:
        """The list."""
        with VerticalScroll(id="card", can_focus=False):
            yield Static(Text("Pages: these digits go there from any page", style="bold"), classes="title")
            yield OptionList(
                *(
                    Option(Text.assemble((f"{key}  ", "bold"), words), id=name)
                    for name, (key, words, _) in self._pages.items()
                ),
                id="pages",
            )
            yield Static("enter goes there, esc back", classes="label", markup=False)

    @on(OptionList.OptionSelected)
    def chosen(self, event: OptionList.OptionSelected) -> None:
        """By enter or by a click."""
        self.dismiss(event.option.id)

    def action_take(self, digit: str) -> None:
        """By its digit."""
        self.dismiss(next(name for name, (key, _, _) in self._pages.items() if key == digit))

    def action_leave(self) -> None:
        """Leave it."""
        self.dismiss(None)
