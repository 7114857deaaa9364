"""The cards of the pass guide: a question, the rags, and what was really used. None of them writes anything."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar

from rich.text import Text
from textual import events, on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Button, Select, Static

from finishing.cure.cautions import DEFER, HAZARDS
from finishing.cure.terms import Hazard
from finishing.exchange.plain import plain
from finishing.screens.pages.card import Card, field
from finishing.shop.guide import Used
from finishing.shop.guide_plan import Prepared
from finishing.units import parse_volume, show_volume


@dataclass(frozen=True, slots=True)
class Choice:
    """One answer: its key, its words, and what is handed back for it."""

    key: str
    words: str
    value: str


class Ask(ModalScreen[str | None]):
    """A question with its answers; escape is None."""

    CSS_PATH = "cards.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "answer", "Back")]

    def __init__(self, question: str, choices: Sequence[Choice], back: str) -> None:
        super().__init__()
        self._question, self._choices, self._back = question, choices, back

    def compose(self) -> ComposeResult:
        """Question and a button for every answer; the harmless one first, with the focus."""
        with VerticalScroll(id="card", can_focus=False):
            yield Static(Text(plain(self._question), style="bold"))
            with Horizontal(classes="buttons"):
                yield Button(f"{self._back} (esc)", id="back")
                for choice in self._choices:
                    yield Button(f"{choice.words} ({choice.key})", id=choice.value)

    def on_key(self, event: events.Key) -> None:
        """A choice by its key."""
        for choice in self._choices:
            if event.key == choice.key:
                event.stop()
                self.dismiss(choice.value)

    @on(Button.Pressed, "#back")
    def action_answer(self) -> None:
        """Leave it."""
        self.dismiss(None)

    def on_button_pressed(self, event: Button.Pressed) -> None:
        """The same by mouse."""
        if event.button.id != "back":
            self.dismiss(event.button.id)


class RagCard(ModalScreen[bool]):
    """The rags, now. Only its own key or button ends it: no escape, nothing focused that enter would press."""

    CSS_PATH = "cards.tcss"
    AUTO_FOCUS = ""
    BINDINGS: ClassVar[list[BindingType]] = [Binding("r", "safe", "Rags are safe")]

    def __init__(self, code: str) -> None:
        super().__init__()
        self._code = code

    def compose(self) -> ComposeResult:
        """The caution whole, where it comes from, and the one way on."""
        caution = HAZARDS[Hazard.RAGS]
        with VerticalScroll(id="card", can_focus=False, classes="rags"):
            yield Static(Text(f"! {plain(self._code)}: the rags, before anything else", style="bold"))
            yield Static(Text(f"\n{caution.text}\n", style="bold"))
            yield Static(Text(f"{DEFER}\n{caution.source}", style="dim"))
            with Horizontal(classes="buttons"):
                yield Button("They are safe (r)", id="safe")

    @on(Button.Pressed, "#safe")
    def action_safe(self) -> None:
        """Say so."""
        self.dismiss(True)


class Closing(Card[Used]):
    """What was really used. Enter puts the session on record as it stands."""

    DONE_WORDS = "Put on record"
    LEAVE_WORDS = "Not yet"

    def __init__(self, prepared: Prepared, went: str, system: str) -> None:
        super().__init__()
        self._prepared, self._went, self._system = prepared, went, system

    def title_words(self) -> str:
        """Which coat of which batch."""
        return f"{self._prepared.code}: {self._prepared.words}, to go on record"

    def lines(self) -> ComposeResult:
        """How it went, amount, can, note."""
        p = self._prepared
        film = p.plan.amount_ml
        about = "not known: no size given" if film is None else f"about {show_volume(film, self._system)}"
        yield Static(Text(plain(self._went), style="dim"))
        yield from field(
            f"finish really used on all pieces (its own film: {about})", "amount", "leave empty for its own film"
        )
        if p.cans:
            yield Static("from can", classes="label", markup=False)
            options = [(Text(plain(label)), number) for number, label in p.cans]
            yield Select(options, value=p.cans[0][0], allow_blank=True, id="can")
        yield from field("note (may stay empty)", "note", "what to remember of it")

    def made(self) -> Used:
        """What was used. BadInput for an amount that is none."""
        unit = "floz" if self._system == "imperial" else "ml"
        typed = self.text("amount")
        amount = parse_volume(typed, "finish used", unit=unit) if typed else None
        can = self.query_one("#can", Select).value if self._prepared.cans else None
        return Used(amount, can if isinstance(can, int) else None, self.text("note"))
