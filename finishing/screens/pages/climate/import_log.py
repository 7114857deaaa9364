"""Reading a logger's file in: which file, what was understood of it, and then, on a second word, taking it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import takewhile
from pathlib import Path
from typing import ClassVar

from rich.text import Text
from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.message import Message
from textual.screen import ModalScreen
from textual.widgets import Button, Input, Select, Static
from textual.worker import Worker, get_current_worker

from finishing.errors import BadInput, FinishingError
from finishing.exchange.plain import plain
from finishing.exchange.readings import LogReading, read_log
from finishing.moments import zone_named
from finishing.screens.pages.card import field
from finishing.screens.pages.working import Stopped, bar
from finishing.shop.weather import completions
from finishing.units import counted

CHOICES_SHOWN = 8


@dataclass(frozen=True, slots=True)
class ChosenLog:
    """A log that was understood and is to be added."""

    path: Path
    log: LogReading


@dataclass(frozen=True, slots=True)
class Asked:
    """Which file to read, and how."""

    path: Path
    zone: str
    day_first: bool | None


class PathInput(Input):
    """A path; tab fills in what can only be meant, and shows the rest; with nothing to fill in it goes on."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("tab", "complete", "Complete", show=False)]

    @dataclass
    class Choices(Message):
        """What the path could go on as."""

        names: tuple[str, ...]

    def action_complete(self) -> None:
        """Fill in as far as all that begin so agree."""
        found = completions(self.value)
        common = shared_start(found)
        if len(common) <= len(self.value):
            if len(found) < 2:
                self.screen.focus_next()
            self.post_message(self.Choices(tuple(found)))
            return
        self.value = common
        self.cursor_position = len(common)
        self.post_message(self.Choices(tuple(found) if len(found) > 1 else ()))


class ImportCard(ModalScreen[ChosenLog | None]):
    """The first enter reads the file and shows what was understood; the second hands it back to be added."""

    DEFAULT_CSS = """
    ImportCard { align: center middle; background: $background 60%; }
    ImportCard #understood { height: auto; margin-top: 1; }
    ImportCard #progress { height: auto; color: $secondary; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "leave", "Leave it"),
        Binding("pageup", "scroll(-1)", "Up", show=False),
        Binding("pagedown", "scroll(1)", "Down", show=False),
    ]

    @dataclass
    class Progressed(Message):
        """So many bytes of all are read."""

        done: int
        total: int

    @dataclass
    class Understood(Message):
        """The file was read. words: what was understood. take: what the button then says."""

        asked: Asked
        log: LogReading
        words: str
        take: str

    @dataclass
    class Failed(Message):
        """The file was not understood, or ("") reading it was stopped."""

        words: str

    def __init__(self, place: str, zone: str) -> None:
        super().__init__()
        self.place, self.zone = place, zone
        self.chosen: ChosenLog | None = None
        self._reading: Worker[None] | None = None

    def title_words(self) -> str:
        """What it is for."""
        return f"Read in a logger's file for {self.place}"

    def account(self, asked: Asked, log: LogReading) -> tuple[str, str]:
        """What was understood, and what the button then says. Called beside the screens, in the reading thread.

        FinishingError where there is nothing to take.
        """
        return "\n".join(log.understanding.lines()), f"Add {counted(len(log), 'reading')}"

    def compose(self) -> ComposeResult:
        """The file above, what was understood below."""
        orders = (("day before month", True), ("month before day", False))
        with VerticalScroll(id="card", can_focus=False):
            yield Static(Text(plain(self.title_words())), classes="title")
            yield Static("its CSV or text export (tab completes)", classes="label", markup=False)
            yield PathInput(placeholder="~/Downloads/log.csv", id="path")
            yield Static("", id="choices", classes="label", markup=False)
            yield Static("dates such as 03/04 mean", classes="label", markup=False)
            yield Select(orders, prompt="what the file itself shows", id="order")
            yield from field("zone of the logger's clock, where the file has none", "zone", self.zone)
            yield Static("", id="progress", markup=False)
            yield Static("", id="understood", markup=False)
            with Horizontal(classes="buttons"):
                yield Button("Read it (enter)", id="read", variant="primary")
                yield Button("Leave it (esc)", id="leave")
            yield Static("", id="problem", markup=False)

    def on_mount(self) -> None:
        """Begin with the path."""
        self.query_one(PathInput).focus()

    @on(PathInput.Choices)
    def show_choices(self, message: PathInput.Choices) -> None:
        """What the path could go on as."""
        names = [Path(name).name + ("/" if name.endswith("/") else "") for name in message.names]
        more = f" and {len(names) - CHOICES_SHOWN} more" if len(names) > CHOICES_SHOWN else ""
        self.query_one("#choices", Static).update(Text(plain("  ".join(names[:CHOICES_SHOWN]) + more)))

    @on(Input.Changed)
    @on(Select.Changed)
    def begin_again(self) -> None:
        """Another file or another way to read it: what was understood no longer holds."""
        if self.chosen is not None:
            self.chosen = None
            self.query_one("#understood", Static).update("")
            self.query_one("#read", Button).label = "Read it (enter)"

    @on(Button.Pressed, "#read")
    @on(Input.Submitted)
    def read(self) -> None:
        """Read the file; or, once it is understood, hand it back."""
        if self.chosen is not None:
            self.dismiss(self.chosen)
            return
        if self._reading is not None:
            return
        self._say("problem", "")
        try:
            asked = self._asked()
        except BadInput as problem:
            self._say("problem", str(problem))
        else:
            self._say("progress", "reading (escape stops)")
            self._reading = self._read(asked)

    def _asked(self) -> Asked:
        path = self.query_one("#path", Input).value.strip()
        if not path:
            raise BadInput("file", path, "the path of a logger's CSV or text file")
        zone = self.query_one("#zone", Input).value.strip()
        order = self.query_one("#order", Select).value
        return Asked(
            Path(path).expanduser(), zone_named(zone) if zone else self.zone, order if isinstance(order, bool) else None
        )

    @work(thread=True, exclusive=True)
    def _read(self, asked: Asked) -> None:
        worker = get_current_worker()

        def tell(done: int, total: int) -> None:
            if worker.is_cancelled:
                raise Stopped
            self.post_message(self.Progressed(done, total))

        try:
            log = read_log(asked.path, zone=asked.zone, day_first=asked.day_first, progress=tell)
            words, take = self.account(asked, log)
        except FinishingError as problem:
            self.post_message(self.Failed(str(problem)))
        except Stopped:
            self.post_message(self.Failed(""))
        else:
            self.post_message(self.Failed("") if worker.is_cancelled else self.Understood(asked, log, words, take))

    @on(Progressed)
    def show_progress(self, message: Progressed) -> None:
        """How far the reading has come."""
        if self._reading is not None:
            self._say("progress", f"reading {bar(message.done, message.total)} (escape stops)")

    @on(Understood)
    def show_understood(self, message: Understood) -> None:
        """What was understood, for the maker to check."""
        self._reading = None
        self.chosen = ChosenLog(message.asked.path, message.log)
        self._say("progress", "")
        self._say("understood", message.words)
        button = self.query_one("#read", Button)
        button.label = Text(f"{message.take} (enter)")
        button.refresh(layout=True)  # the words are longer than those before
        button.focus(scroll_visible=False)
        self.call_after_refresh(self.query_one("#card", VerticalScroll).scroll_end, animate=False)

    @on(Failed)
    def show_failed(self, message: Failed) -> None:
        """Why there is nothing to show."""
        self._reading = None
        self._say("progress", "" if message.words else "stopped: nothing was read")
        self._say("problem", message.words)

    def action_scroll(self, by: int) -> None:
        """Scroll what was understood, where there is more than fits."""
        self.query_one("#card", VerticalScroll).scroll_relative(y=8 * by, animate=False)

    def _say(self, id: str, words: str) -> None:
        text = "\n".join(plain(line) for line in words.split("\n"))
        self.query_one(f"#{id}", Static).update(Text(text))

    @on(Button.Pressed, "#leave")
    def action_leave(self) -> None:
        """Stop reading; or, when nothing is being read, leave with nothing added."""
        if self._reading is not None:
            self._reading.cancel()
        else:
            self.dismiss(None)


def shared_start(names: Sequence[str]) -> str:
    """How far all names agree from their beginning."""
    first, last = min(names, default=""), max(names, default="")
    same = takewhile(lambda pair: pair[0] == pair[1], zip(first, last, strict=False))
    return "".join(letter for letter, _ in same)
