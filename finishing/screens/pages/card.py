"""A card to fill in: fields with names, two buttons, a line for what is wrong. It hands back an answer, no more."""

from __future__ import annotations

import re
from collections.abc import Iterable
from pathlib import Path
from typing import Any, ClassVar, TypeVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.events import Key
from textual.screen import ModalScreen
from textual.suggester import Suggester
from textual.widget import Widget
from textual.widgets import Button, Input, Select, Static

from finishing.errors import BadInput, FinishingError
from finishing.exchange.plain import plain

T = TypeVar("T")

ONWARD: tuple[BindingType, ...] = (
    Binding("tab", "app.focus_next", "Next field", show=False, priority=True),
    Binding("shift+tab", "app.focus_previous", "Field before", show=False, priority=True),
)
"""Tab before all else, so that what is typed after it lands in the next field even when a slow terminal sends both at
once."""


ENTER = " (enter)"
"""What stands on the first button while enter does what it says."""


class Line(Horizontal):
    """A name and, beside it, the field of that name."""

    def __init__(
        self, name: str, field: str, value: str = "", example: str = "", suggester: Suggester | None = None
    ) -> None:
        """field: the Input's id."""
        super().__init__(classes="line")
        self._words, self._field, self._value, self._example = name, field, value, example
        self._suggester = suggester

    def compose(self) -> ComposeResult:
        """Side by side."""
        yield name_of(self._words)
        yield Input(plain(self._value), placeholder=plain(self._example), id=self._field, suggester=self._suggester)


class Pick(Horizontal):
    """A name and, beside it, a list to choose from."""

    def __init__(self, name: str, chooser: Select[Any]) -> None:
        super().__init__(classes="line")
        self._words, self._chooser = name, chooser

    def compose(self) -> ComposeResult:
        """Side by side."""
        yield name_of(self._words)
        yield self._chooser


def name_of(words: str) -> Static:
    """The name of a field, at its left."""
    return Static(Text(plain(words), no_wrap=True, overflow="ellipsis"), classes="name")


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
    FIELDS: ClassVar[dict[str, str]] = {}
    """Where a problem is put right, by the field it names, where that is not the id of the widget."""

    def compose(self) -> ComposeResult:
        """Title, lines, what they come to, buttons."""
        with VerticalScroll(id="card", can_focus=False):
            yield Static(Text(plain(self.title_words()), style="bold"), classes="title")
            yield from self.lines()
            if type(self).preview is not Card.preview:
                yield Static("", id="preview", markup=False)
            with Vertical(classes="foot"):
                yield Static("", id="problem", markup=False)
                with Horizontal(classes="buttons"):
                    yield from self.buttons()

    def begin_in(self) -> str:
        """What has the focus first."""
        return self.BEGIN_IN

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
            Button(self.DONE_WORDS + ENTER, id="done", variant="primary"),
            Button(f"{self.LEAVE_WORDS} (esc)", id="leave"),
        )

    def on_mount(self) -> None:
        """Begin where most begin."""
        for begin in self.query(self.begin_in()).results():
            begin.focus()
            break
        self.look_ahead()
        self.watch(self, "focused", self._say_what_enter_does)

    def on_key(self, event: Key) -> None:
        """What is typed while a button has the focus goes into the first field, and is not lost."""
        if not isinstance(self.focused, Button) or not event.is_printable or event.character in (None, " "):
            return
        for line in self.query(Input).results():
            line.select_on_focus = False  # or the next character would take the place of this one
            line.focus()
            line.insert_text_at_cursor(event.character or "")
            event.stop()
            break

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
            self.app.clear_notifications()  # one that still stands would lie over it

    @on(Button.Pressed, "#done")
    @on(Input.Submitted)
    def action_done(self) -> None:
        """Hand it back, or say what is wrong."""
        try:
            made = self.made()
        except FinishingError as problem:
            self.say_problem(str(problem))
            if isinstance(problem, BadInput):
                self._go_to(problem.field)
        else:
            self.dismiss(made)

    def _go_to(self, field: str) -> None:
        """Where a problem is put right, if it has a place of its own here."""
        id = self.FIELDS.get(field, field)
        if re.fullmatch(r"[a-z]+", id):
            for wrong in self.query(f"Input#{id}, Select#{id}").results():
                wrong.focus()
                break

    def _say_what_enter_does(self, focused: Widget | None) -> None:
        """Enter opens a list and presses the other buttons; only elsewhere it does what the first button says."""
        for done in self.query("#done").results(Button):
            words = str(done.label).removesuffix(ENTER)
            elsewhere = isinstance(focused, Select | Button) and focused is not done
            done.label = words if elsewhere else words + ENTER

    @on(Button.Pressed, "#leave")
    def action_leave(self) -> None:
        """Leave it."""
        self.dismiss(None)


def plain_lines(text: str) -> str:
    """Lines made harmless, still lines."""
    return "\n".join(plain(line) for line in text.split("\n"))
