"""Recording a step: says what will be written down, and writes nothing itself."""

from __future__ import annotations

from dataclasses import replace
from typing import ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Button, Input, Select, Static

from finishing.clock import Clock, now_hour
from finishing.errors import BadInput
from finishing.exchange.plain import plain
from finishing.moments import parse_when
from finishing.shop.drafts import StepDraft, Suggestion
from finishing.units import parse_volume, show_volume


class RecordStep(ModalScreen[StepDraft | None]):
    """One step of one batch. Enter records it as it stands; tab changes the amount, the can or the time first."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "leave", "Not now"),
        Binding("enter", "record", "Record", priority=False),
    ]

    def __init__(self, suggestion: Suggestion, *, zone: str, system: str, clock: Clock = now_hour) -> None:
        super().__init__()
        self.suggestion = suggestion
        self.zone = zone
        self.clock = clock
        self.system = system

    def compose(self) -> ComposeResult:
        """What, for which pieces, when, how much, and what to heed."""
        suggestion = self.suggestion
        with VerticalScroll(id="card", can_focus=False):
            yield Static(Text(f"{plain(suggestion.draft.code)}: {plain(suggestion.words)}", style="bold"))
            yield Static(Text(plain(suggestion.pieces), style="dim"))
            if suggestion.heed:
                yield Static(Text(f"! {plain(suggestion.heed)}"), classes="heed")
            yield Static("done at", classes="label", markup=False)
            yield Input(placeholder="now, or a time such as 18:30", id="at")
            if suggestion.is_coat:
                yield from self._coat_fields()
            for caution in suggestion.cautions:
                style = "bold" if caution.urgent else ""
                yield Static(Text(f"! {plain(caution.text)}", style=style), classes="caution")
            with Horizontal(classes="buttons"):
                yield Button("Record (enter)", id="record", variant="primary")
                yield Button("Not now (esc)", id="leave")
            yield Static("", id="problem", markup=False)

    def _coat_fields(self) -> ComposeResult:
        suggestion = self.suggestion
        amount = suggestion.amount_ml
        about = "not known: no size given" if amount is None else f"about {show_volume(amount, self.system)}"
        yield Static(f"finish used on all pieces (for its own film: {about})", classes="label", markup=False)
        yield Input(placeholder="leave empty for its own film", id="amount")
        if suggestion.cans:
            yield Static("from can", classes="label", markup=False)
            options = [(Text(plain(label)), number) for number, label in suggestion.cans]
            yield Select(options, value=suggestion.cans[0][0], allow_blank=True, id="can")
        if suggestion.pass_words:
            yield Static(Text(plain(suggestion.pass_words)), classes="caution")

    def on_mount(self) -> None:
        """The button has the focus, so that enter alone records."""
        self.query_one("#record", Button).focus()

    @on(Button.Pressed, "#leave")
    def action_leave(self) -> None:
        """Leave without recording."""
        self.dismiss(None)

    @on(Button.Pressed, "#record")
    @on(Input.Submitted)
    def action_record(self) -> None:
        """Hand back what to record, or say what is wrong with a field."""
        try:
            self.dismiss(self._draft())
        except BadInput as problem:
            self.query_one("#problem", Static).update(Text(plain(str(problem))))

    def _draft(self) -> StepDraft:
        at = self.query_one("#at", Input).value.strip()
        draft = self.suggestion.draft
        if at:
            draft = replace(draft, at=parse_when(at, "done at", self.zone, self.clock()))
        if self.suggestion.is_coat:
            amount = self.query_one("#amount", Input).value.strip()
            unit = "floz" if self.system == "imperial" else "ml"
            if amount:
                draft = replace(draft, amount_ml=parse_volume(amount, "finish used", unit=unit))
            if self.suggestion.cans:
                chosen = self.query_one("#can", Select).value
                draft = replace(draft, can=chosen if isinstance(chosen, int) else None)
        return draft
