"""Recording a step: says what will be written down, and writes nothing itself."""

from __future__ import annotations

from dataclasses import replace
from typing import ClassVar

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.widgets import Select, Static

from finishing.clock import Clock, now_hour
from finishing.exchange.plain import plain
from finishing.moments import parse_when
from finishing.screens.pages.card import Card, Line, Pick
from finishing.shop.drafts import StepDraft, Suggestion
from finishing.units import parse_volume, show_volume, spoken


class RecordStep(Card[StepDraft]):
    """One step of one batch. Enter records it as it stands; tab changes the amount, the can or the time first."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("enter", "done", "Record", priority=False)]
    CSS = "RecordStep.-narrow #card { width: 96%; }"
    DONE_WORDS = "Record"
    LEAVE_WORDS = "Not now"
    BEGIN_IN = "#done"

    def __init__(self, suggestion: Suggestion, *, zone: str, system: str, clock: Clock = now_hour) -> None:
        super().__init__()
        self.suggestion = suggestion
        self.zone = zone
        self.clock = clock
        self.system = system

    def title_words(self) -> str:
        """Which step of which batch."""
        return f"{self.suggestion.draft.code}: {self.suggestion.words}"

    def lines(self) -> ComposeResult:
        """For which pieces, when, how much, and what to heed."""
        suggestion = self.suggestion
        yield Static(Text(plain(suggestion.pieces), style="dim"))
        if suggestion.heed:
            yield Static(Text(f"! {plain(suggestion.heed)}"), classes="heed")
        yield Line("done at", "at", "", "now, or such as 18:30, yesterday 18:30")
        if suggestion.is_coat:
            yield from self._coat_fields()
        for caution in suggestion.cautions:
            style = "bold" if caution.urgent else ""
            yield Static(Text(f"! {plain(spoken(caution.text, self.system))}", style=style), classes="caution")

    def _coat_fields(self) -> ComposeResult:
        suggestion = self.suggestion
        amount = suggestion.amount_ml
        about = "" if amount is None else f", about {show_volume(amount, self.system)}"
        yield Line("finish used, all pieces", "amount", "", f"empty: its own film{about}")
        if suggestion.cans:
            options = [(Text(plain(label)), number) for number, label in suggestion.cans]
            yield Pick("from can", Select(options, value=suggestion.cans[0][0], allow_blank=True, id="can"))
        if suggestion.pass_words:
            yield Static(Text(plain(suggestion.pass_words)), classes="caution")

    def made(self) -> StepDraft:
        """What to record. BadInput for a field that is not right."""
        at = self.text("at")
        draft = self.suggestion.draft
        if at:
            draft = replace(draft, at=parse_when(at, "done at", self.zone, self.clock()), typed=at)
        if self.suggestion.is_coat:
            amount = self.text("amount")
            unit = "floz" if self.system == "imperial" else "ml"
            if amount:
                draft = replace(draft, amount_ml=parse_volume(amount, "finish used", unit=unit))
            if self.suggestion.cans:
                chosen = self.query_one("#can", Select).value
                draft = replace(draft, can=chosen if isinstance(chosen, int) else None)
        return draft
