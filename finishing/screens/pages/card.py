"""A card to fill in: fields with names, two buttons, a line for what is wrong. It hands back an answer, no more."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import ClassVar, TypeVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Button, Input, Select, Static

from finishing.errors import FinishingError
from finishing.exchange.plain import plain

T = TypeVar("T")

ONWARD: tuple[BindingType, ...] = (
    Binding("tab", "app.focus_next", "Next field", show=False, priority=True),
    Binding("shift+tab", "app.focus_previous", "Field before", show=False, priority=True),
)
"""Tab before all else, so that what is typed after it lands in the next field even when a slow terminal sends both at
once."""


class Line(Horizontal):
    """A name and, beside it, the field of that name."""

    def __init__(self, name: str, field: str, value: str = "", example: str = "") -> None:
        """field: the Input's id."""
        super().__init__(classes="line")
        self._words, self._field, self._value, self._example = name, field, value, example

    def compose(self) -> ComposeResult:
        """Side by side."""
        yield Static(Text(plain(self._words), no_wrap=True, overflow="ellipsis"), classes="name")
        yield Input(plain(self._value), placeholder=plain(self._example), id=self._field, select_on_focus=True)


def field(label: str, id: str, example: str = "", value: str = "") -> tuple[Static, Input]:
    """A name and the field below it."""
    return Static(Text(plain(label)), classes="label"), Input(plain(value), placeholder=plain(example), id=id)


class Card(ModalScreen[T | None]):
    """A subclass gives `lines` and `made`. Enter in a field or on the first button hands back what `made` makes."""

    CSS_PATH = Path(__file__).with_name("card.tcss")  # whole, as a card of another folder would look beside itself
    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "leave", "Leave it"), *ONWARD]
    TITLE_WORDS: ClassVar[str] = ""
    DONE_WORDS = "Save"
    LEAVE_WORDS = "Leave it"
    BEGIN_IN: ClassVar[str] = "Input, Select, OptionList"
    """What has the focus first: the first that is one of these."""

    def compose(self) -> ComposeResult:
        """Title, lines, what they come to, buttons."""
        with VerticalScroll(id="card", can_focus=False):
            yield Static(Text(plain(self.title_words()), style="bold"), classes="title")
            yield from self.lines()
            if type(self).preview is not Card.preview:
                yield Static("", id="preview", markup=False)
            with Horizontal(classes="buttons"):
                yield from self.buttons()
            yield Static("", id="problem", markup=False)

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

    def buttons(self) -> Iterable[Button]:
        """The first hands back, the last leaves."""
        return (
            Button(f"{self.DONE_WORDS} (enter)", id="done", variant="primary"),
            Button(f"{self.LEAVE_WORDS} (esc)", id="leave"),
        )

    def on_mount(self) -> None:
        """Begin where most begin."""
        for begin in self.query(self.BEGIN_IN).results():
            begin.focus()
            break
        self.look_ahead()

    def text(self, field: str) -> str:
        """What was typed in a field."""
        return self.query_one(f"#{field}", Input).value.strip()

    @on(Input.Changed)
    @on(Select.Changed)
    def look_ahead(self) -> None:
        """Say what it comes to, while typing."""
        self.say_problem("")
        for shown in self.query("#preview").results(Static):
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
