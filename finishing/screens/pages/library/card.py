"""A card to fill in: lines with a name and a field, two buttons, and one line for what is wrong."""

from __future__ import annotations

from pathlib import Path
from typing import ClassVar, TypeVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Button, Input, Static

from finishing.errors import FinishingError
from finishing.exchange.plain import plain

T = TypeVar("T")


class Line(Horizontal):
    """A name and, beside it, the field of that name."""

    def __init__(self, name: str, field: str, value: str = "", example: str = "") -> None:
        """field: the Input's id."""
        super().__init__(classes="line")
        self._words, self._field, self._value, self._example = name, field, value, example

    def compose(self) -> ComposeResult:
        """Side by side."""
        yield Static(Text(plain(self._words), no_wrap=True, overflow="ellipsis"), classes="name")
        yield Input(self._value, placeholder=self._example, id=self._field, select_on_focus=True)


class Card(ModalScreen[T | None]):
    """Tab and shift-tab move, enter hands back what `made` makes, escape leaves. Saves nothing."""

    CSS_PATH = Path(__file__).with_name("card.tcss")  # whole, as a card of another folder would look beside itself
    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "leave", "Leave it")]
    TITLE_WORDS: ClassVar[str] = ""
    DONE_WORDS: ClassVar[str] = "Save"

    def compose(self) -> ComposeResult:
        """Title, lines, what they come to, buttons."""
        with VerticalScroll(id="card", can_focus=False):
            yield Static(Text(plain(self.title_words()), style="bold"))
            yield from self.lines()
            yield Static("", id="preview", markup=False)
            yield Static("", id="problem", markup=False)
            with Horizontal(classes="buttons"):
                yield Button(f"{self.DONE_WORDS} (enter)", id="done", variant="primary")
                yield Button("Leave it (esc)", id="leave")

    def title_words(self) -> str:
        """What the card is for."""
        return self.TITLE_WORDS

    def lines(self) -> ComposeResult:
        """The lines to fill in."""
        raise NotImplementedError

    def made(self) -> T:
        """What the lines make. FinishingError when one of them is not right."""
        raise NotImplementedError

    def preview(self) -> str:
        """What the lines come to so far; may raise FinishingError, which is not shown until enter."""
        return ""

    def on_mount(self) -> None:
        """Begin in the first field."""
        self.query("Input, Select").first().focus()
        self.look_ahead()

    def text(self, field: str) -> str:
        """What was typed in a field."""
        return self.query_one(f"#{field}", Input).value.strip()

    @on(Input.Changed)
    def look_ahead(self) -> None:
        """Say what it comes to, while typing."""
        self.say_problem("")
        shown = self.query_one("#preview", Static)
        try:
            shown.update(Text(plain_lines(self.preview())))
        except FinishingError:
            shown.update("")

    def say_problem(self, words: str) -> None:
        """One line of what is wrong, in sight."""
        shown = self.query_one("#problem", Static)
        shown.update(Text(plain(words)))
        if words:
            shown.scroll_visible(animate=False)

    @on(Button.Pressed, "#done")
    @on(Input.Submitted)
    def action_done(self) -> None:
        """Hand it back, or say what is wrong."""
        try:
            made = self.made()
        except FinishingError as problem:
            self.say_problem(str(problem))
        else:
            self.dismiss(made)

    @on(Button.Pressed, "#leave")
    def action_leave(self) -> None:
        """Leave it."""
        self.dismiss(None)


def plain_lines(text: str) -> str:
    """Lines made harmless, still lines."""
    return "\n".join(plain(line) for line in text.split("\n"))
