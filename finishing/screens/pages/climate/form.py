"""A card with a few fields that hands back one answer, or says in a line what is wrong with a field."""

from __future__ import annotations

from collections.abc import Iterable
from typing import ClassVar, TypeVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.screen import ModalScreen
from textual.widget import Widget
from textual.widgets import Button, Input, Static

from finishing.errors import FinishingError
from finishing.exchange.plain import plain

T = TypeVar("T")


class FormCard(ModalScreen[T | None]):
    """A subclass gives `fields` and `answer`. Enter in a field or on the first button answers, escape leaves."""

    DEFAULT_CSS = """
    FormCard { align: center middle; background: $background 60%; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "leave", "Leave it")]
    TITLE_WORDS: ClassVar[str] = ""
    DO: ClassVar[str] = "Keep (enter)"

    def title_text(self) -> str:
        """The card's heading."""
        return self.TITLE_WORDS

    def fields(self) -> Iterable[Widget]:
        """What stands between heading and buttons."""
        raise NotImplementedError

    def answer(self) -> T:
        """What the fields say. FinishingError for the first that is not right."""
        raise NotImplementedError

    def compose(self) -> ComposeResult:
        """Heading, fields, buttons, and a line for what is wrong."""
        with VerticalScroll(id="card", can_focus=False):
            yield Static(Text(plain(self.title_text())), classes="title")
            yield from self.fields()
            with Horizontal(classes="buttons"):
                yield from self.buttons()
            yield Static("", id="problem", markup=False)

    def buttons(self) -> Iterable[Button]:
        """The first answers, the last leaves."""
        return Button(self.DO, id="do", variant="primary"), Button("Leave it (esc)", id="leave")

    def on_mount(self) -> None:
        """Begin in the first field."""
        self.query("Input, Select, OptionList").first().focus()

    @on(Button.Pressed, "#leave")
    def action_leave(self) -> None:
        """Leave with no answer."""
        self.dismiss(None)

    @on(Button.Pressed, "#do")
    @on(Input.Submitted)
    def do(self) -> None:
        """Hand back the answer."""
        try:
            answer = self.answer()
        except FinishingError as problem:
            self.trouble(str(problem))
        else:
            self.dismiss(answer)

    def trouble(self, words: str) -> None:
        """Say what is wrong, in sight."""
        line = self.query_one("#problem", Static)
        line.update(Text(plain(words)))
        line.scroll_visible(animate=False)

    def value(self, id: str) -> str:
        """What stands in a field."""
        return self.query_one(f"#{id}", Input).value.strip()


def field(label: str, id: str, example: str = "", value: str = "") -> tuple[Static, Input]:
    """A label and the line below it."""
    return Static(Text(plain(label)), classes="label"), Input(plain(value), placeholder=plain(example), id=id)
