"""Work that takes its time, done in a thread under a card that shows how far it is and stops it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import ClassVar, Literal

from rich.text import Text
from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.message import Message
from textual.screen import ModalScreen
from textual.widgets import Button, Static

from finishing.errors import FinishingError
from finishing.exchange.plain import plain

BAR = 24

Tell = Callable[[int, int], None]
"""Told so much of all; raises Stopped where the maker asked to stop."""


class Stopped(Exception):
    """The maker stopped the work; raised out of a progress call, never shown as an error."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of it, in a line."""

    words: str
    severity: Literal["information", "warning", "error"] = "information"


class WorkCard(ModalScreen[Outcome]):
    """A work is done by the page below; escape asks it to stop. Closes with what came of it."""

    DEFAULT_CSS = """
    WorkCard { align: center middle; background: $background 60%; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "stop", "Stop")]

    @dataclass
    class Progressed(Message):
        """So much of all is done."""

        done: int
        total: int

    @dataclass
    class Ended(Message):
        """The work is over."""

        outcome: Outcome

    def __init__(self, words: str, act: Callable[[Tell], str], nothing: str) -> None:
        """words: what is being done. act: does it and says what came of it. nothing: what a stop leaves done."""
        super().__init__()
        self._words, self._act, self._nothing = words, act, nothing
        self._stopped = False
        self._outcome: Outcome | None = None

    def compose(self) -> ComposeResult:
        """What, how far, and a way to stop."""
        with VerticalScroll(id="card", can_focus=False):
            yield Static(Text(plain(self._words)), classes="title")
            yield Static("", id="progress", markup=False)
            with Horizontal(classes="buttons"):
                yield Button(f"Stop: {self._nothing} (esc)", id="stop")

    def on_mount(self) -> None:
        """Begin."""
        self._work()

    @work(thread=True)
    def _work(self) -> None:
        try:
            outcome = Outcome(self._act(self._tell))
        except FinishingError as problem:
            outcome = Outcome(str(problem), "error")
        except Stopped:
            outcome = Outcome(f"stopped: {self._nothing}", "warning")
        self.post_message(self.Ended(outcome))

    def _tell(self, done: int, total: int) -> None:
        if self._stopped:
            raise Stopped
        self.post_message(self.Progressed(done, total))

    @on(Progressed)
    def show_progress(self, message: Progressed) -> None:
        """How far it has come."""
        self.query_one("#progress", Static).update(bar(message.done, message.total))

    @on(Ended)
    def end(self, message: Ended) -> None:
        """Close, or as soon as what lies over it is closed."""
        self._outcome = message.outcome
        self.on_screen_resume()

    def on_screen_resume(self) -> None:
        """In sight again."""
        if self._outcome is not None and self.is_active:
            self.dismiss(self._outcome)

    @on(Button.Pressed, "#stop")
    def action_stop(self) -> None:
        """Ask to stop. The card closes when the work has."""
        self._stopped = True


def bar(done: int, total: int) -> str:
    """How far something has come, in characters and per cent."""
    share = min(done / total, 1.0) if total else 1.0
    full = int(share * BAR)
    return f"{'━' * full}{'┄' * (BAR - full)} {share:.0%}"
