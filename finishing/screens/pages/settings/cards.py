"""Changing one setting. Each card hands back the new value as text, checked, and saves nothing itself."""

from __future__ import annotations

from rich.text import Text
from textual import events, on
from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from finishing.errors import BadInput, FinishingError
from finishing.exchange.plain import plain
from finishing.screens.pages.card import Card, field
from finishing.screens.pages.settings.items import Item
from finishing.shop.hours import (
    FULL,
    SPANS_EXAMPLE,
    Spans,
    WorkingHours,
    parse_spans,
    parse_week,
    spans_text,
    week_text,
)
from finishing.shop.settings import parse_setting, zones_like


class TextCard(Card[str]):
    """One line to type."""

    def __init__(self, item: Item, value: str) -> None:
        super().__init__()
        self.item, self._value = item, value

    def title_words(self) -> str:
        """The setting's name."""
        return self.item.label

    def lines(self) -> ComposeResult:
        """The line, with what it does above."""
        yield from field(self.item.explain, "value", self.item.example, self._value)

    def made(self) -> str:
        """The text, which the setting takes."""
        text = self.text("value")
        parse_setting(self.item.key, text)
        return text


class ChoiceCard(Card[str]):
    """One of a few."""

    CSS = """
    ChoiceCard #choices { height: auto; border: none; background: $panel; }
    """

    def __init__(self, item: Item, value: str) -> None:
        super().__init__()
        self.item, self._value = item, value

    def title_words(self) -> str:
        """The setting's name."""
        return self.item.label

    def lines(self) -> ComposeResult:
        """The choices, the present one chosen."""
        yield Static(Text(self.item.explain), classes="label")
        options = OptionList(*(Option(Text(words), id=key) for key, words in self.item.choices.items()), id="choices")
        keys = list(self.item.choices)
        options.highlighted = keys.index(self._value) if self._value in keys else 0
        yield options

    @on(OptionList.OptionSelected)
    def choose(self) -> None:
        """Enter or a click on a choice takes it."""
        self.action_done()

    def made(self) -> str:
        """The highlighted choice."""
        return _highlighted(self.query_one("#choices", OptionList), self.item.label)


class ZoneCard(Card[str]):
    """A time zone, found by a few letters."""

    CSS = """
    ZoneCard #zones { height: 9; border: none; background: $panel; }
    """

    def __init__(self, item: Item, value: str) -> None:
        super().__init__()
        self.item, self._value = item, value

    def title_words(self) -> str:
        """What it is now."""
        return f"{self.item.label}: {self._value}"

    def lines(self) -> ComposeResult:
        """A line to search with, and the zones that have what was typed."""
        yield from field(f"{self.item.explain} Type a few letters.", "search", "oslo, new york, denver")
        yield Static("", id="count", classes="label", markup=False)
        yield OptionList(id="zones")

    @on(Input.Changed, "#search")
    def search(self) -> None:
        """Show the zones that have what was typed."""
        found = zones_like(self.text("search"))
        options = self.query_one("#zones", OptionList)
        options.clear_options()
        options.add_options([Option(Text(zone), id=zone) for zone in found])
        typed = bool(self.text("search"))
        options.highlighted = found.index(self._value) if not typed and self._value in found else 0 if found else None
        self.query_one("#count", Static).update(f"{len(found)} found" if found else "no zone has that")

    def on_mount(self) -> None:
        """All zones first."""
        self.search()

    def on_key(self, event: events.Key) -> None:
        """Up and down move through the zones also while typing."""
        options = self.query_one("#zones", OptionList)
        if self.focused is not options and event.key in ("up", "down"):
            event.stop()
            options.action_cursor_down() if event.key == "down" else options.action_cursor_up()

    @on(OptionList.OptionSelected)
    def choose(self) -> None:
        """Enter or a click on a zone takes it."""
        self.action_done()

    def made(self) -> str:
        """The highlighted zone."""
        return _highlighted(self.query_one("#zones", OptionList), "zone")


def _highlighted(options: OptionList, label: str) -> str:
    index = options.highlighted
    chosen = None if index is None else options.get_option_at_index(index).id
    if chosen is None:
        raise BadInput(label, "", "one from the list")
    return chosen


class WeekCard(Card[str]):
    """The hours of each weekday, a line each."""

    CSS = """
    WeekCard .line { height: 1; }
    WeekCard #card .day { width: 11; height: 1; }
    """

    def __init__(self, item: Item, value: str) -> None:
        super().__init__()
        self.item, self._value = item, value

    def title_words(self) -> str:
        """The setting's name."""
        return self.item.label

    def lines(self) -> ComposeResult:
        """Seven lines, and what they come to."""
        yield Static("8:00-12:00 13:00-17:00, or 8-12 13-17; empty: no work that day", classes="label", markup=False)
        for day, spans in zip(FULL, parse_week(self._value), strict=True):
            line = Input(spans_text(spans), placeholder="off", id=day)
            yield Horizontal(Static(day, classes="day label", markup=False), line, classes="line")
        yield Static("", id="sum", classes="label", markup=False)

    @on(Input.Changed)
    def count(self) -> None:
        """How many hours the week has."""
        try:
            total = f"{WorkingHours(self._week()).weekly_hours:g} hours a week"
        except FinishingError:
            total = SPANS_EXAMPLE
        self.query_one("#sum", Static).update(total)

    def _week(self) -> tuple[Spans, ...]:
        return tuple(parse_spans(self.text(day), day) for day in FULL)

    def made(self) -> str:
        """The week in one line. BadInput naming the first day that is not right."""
        return week_text(self._week())


def card_for(item: Item, value: str) -> Card[str]:
    """The card that changes a setting."""
    special = {"zone": ZoneCard, "hours": WeekCard}
    if item.key in special:
        return special[item.key](item, plain(value))
    return ChoiceCard(item, value) if item.choices else TextCard(item, value)
