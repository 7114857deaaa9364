"""The cards of the library page: a new name for a copy, the common figures, a label, a file that doesn't read."""

from __future__ import annotations

import datetime as dt
from typing import ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Button, Select, Static

from finishing.cure.finish import Finish
from finishing.cure.terms import Stage
from finishing.errors import BadInput, FinishingError
from finishing.exchange.plain import plain
from finishing.library import Library
from finishing.library.kinds import Item, Kind
from finishing.screens.pages.card import Card, Line, Pick
from finishing.screens.pages.library.fields import changed, fields
from finishing.screens.pages.library.shelf import shown_name
from finishing.shop import own
from finishing.units import parse_humidity, parse_temperature, show_temperature


class CopyCard(Card[Item]):
    """A name for a copy of the maker's own."""

    def __init__(self, library: Library, item: Item) -> None:
        super().__init__()
        self._library, self._item = library, item

    def title_words(self) -> str:
        """What is copied."""
        return f"A copy of your own: {shown_name(self._item)}"

    def lines(self) -> ComposeResult:
        """One line."""
        yield Line("its name", "name", "", "what you call it")

    def made(self) -> Item:
        """The copy."""
        return own.copied(self._library, self._item, self.text("name"))

    def preview(self) -> str:
        """Where it will be written."""
        copy = self.made()
        assert self._library.own is not None
        return f"will be written in {own.own_file(self._library.own, Kind.of(copy), copy.name)}"


class EditCard(Card[Item]):
    """The common figures of one of the maker's own."""

    def __init__(self, item: Item, units: str, day: dt.date, note: str) -> None:
        """note: what to know before saving, or ""."""
        super().__init__()
        self._item, self._units, self._day, self._note = item, units, day, note
        self._fields = fields(item, units)

    def title_words(self) -> str:
        """What is changed."""
        return f"Change {shown_name(self._item)}"

    def lines(self) -> ComposeResult:
        """A line for each figure."""
        for number, field in enumerate(self._fields):
            yield Line(field.name, f"f{number}", field.value, field.example)

    def made(self) -> Item:
        """The thing as changed."""
        typed = {field.name: self.text(f"f{number}") for number, field in enumerate(self._fields)}
        return own.checked(changed(self._item, typed, self._units, self._day))

    def preview(self) -> str:
        """What to know before saving."""
        return self._note


TIMES = {
    "touch": ("dry to touch", Stage.DRY_TO_TOUCH, "2h, or 1-2h"),
    "recoat": ("recoat from", Stage.DRY_TO_RECOAT, "6h"),
    "handle": ("handle", Stage.DRY_TO_HANDLE, "12h"),
    "cured": ("cured", Stage.CURED, "21d"),
}
"""Fields for the times of a label: what they are called, the stage, an example."""


class LabelCard(Card[Finish]):
    """What the label of a can says, over the generic finish it is most like."""

    TITLE_WORDS = "From the label of a can"

    def __init__(self, library: Library, generic: tuple[Finish, ...], base: str, units: str, day: dt.date) -> None:
        """generic: the finishes to choose from. base: name of the one it is likely to be."""
        super().__init__()
        self._library, self._generic, self._base, self._units, self._day = library, generic, base, units, day

    def lines(self) -> ComposeResult:
        """Name, kind, times, the air they are for, what else labels say."""
        cold = "10 °C" if self._units != "imperial" else "50 °F"
        air = show_temperature(own.LABEL_C, self._units)
        yield Line("its name", "name", "", "what you call it")
        options = [(Text(plain(f.title), no_wrap=True, overflow="ellipsis"), f.name) for f in self._generic]
        yield Pick("most like", Select(options, value=self._base, allow_blank=False, id="base"))
        for field, (words, _, example) in TIMES.items():
            yield Line(words, field, "", f"such as {example}")
            if field == "recoat":
                yield Line("recoat until", "until", "", "such as 24h; may stay empty")
        yield Line("times are for", "temperature", "", f"{air}, the standard test air")
        yield Line("at humidity", "humidity", "", f"{own.LABEL_PCT:g} %")
        yield Line("coldest", "coldest", "", f"such as {cold}")
        yield Line("spreads", "spreads", "", f"such as {own.show_spreading(12.0, self._units)}")

    def made(self) -> Finish:
        """The maker's own finish."""
        return own.from_label(self._library, self.label(), self._day)

    def label(self) -> own.Label:
        """What was typed. BadInput naming the first line that isn't right."""
        base = self.query_one("#base", Select).value
        if not isinstance(base, str):
            raise BadInput("most like", None, "a finish from the list")
        unit = "F" if self._units == "imperial" else "C"
        until, warm, damp = self.text("until"), self.text("temperature"), self.text("humidity")
        cold, rate = self.text("coldest"), self.text("spreads")
        return own.Label(
            title=self.text("name"),
            base=base,
            hours={
                stage: own.parse_range(self.text(field), words)
                for field, (words, stage, _) in TIMES.items()
                if self.text(field)
            },
            recoat_until=own.parse_range(until, "recoat until") if until else None,
            temperature_c=parse_temperature(warm, "times are for", unit=unit) if warm else None,
            humidity_pct=parse_humidity(damp, "at humidity") if damp else None,
            minimum_c=parse_temperature(cold, "coldest", unit=unit) if cold else None,
            m2_per_l=own.parse_spreading(rate, "spreads", self._units) if rate else None,
        )

    def preview(self) -> str:
        """How the times stand to the generic finish's, and which one is nearest in its times."""
        said = self.label()
        if not said.hours:
            return "Leave empty what the label doesn't say. The label comes before any figure of this program."
        base = self._library.finish(said.base)
        against = [
            f"{stage.words} {own.show_range(hours)} (generic {own.exact_hours(base.stages[stage].typical)})"
            for stage, hours in said.hours.items()
            if stage in base.stages
        ]
        near = own.nearest_generic(self._generic, said.hours)
        hint = "" if near is None or near is base else f"\nnearest in its times: {near.title}"
        return "; ".join(against) + hint


class Rejected(ModalScreen[bool]):
    """An edited file that can't be read: open it again (True), or leave the old one as it is (False)."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "dismiss(True)", "Open it again"),
        Binding("escape", "dismiss(False)", "Keep the old"),
    ]

    def __init__(self, problem: FinishingError) -> None:
        super().__init__()
        self._problem = problem

    def compose(self) -> ComposeResult:
        """What is wrong, and the choice."""
        with VerticalScroll(id="card", can_focus=False):
            yield Static(Text("Not saved: the old file stays as it was", style="bold"))
            yield Static(Text(plain(str(self._problem))), id="problem")
            with Horizontal(classes="buttons"):
                yield Button("Open it again (enter)", id="again", variant="primary")
                yield Button("Keep the old (esc)", id="old")

    @on(Button.Pressed)
    def choose(self, event: Button.Pressed) -> None:
        """Hand back the choice."""
        self.dismiss(event.button.id == "again")
