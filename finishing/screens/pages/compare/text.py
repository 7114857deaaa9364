"""The lines of the compare page: the table with its bars, and the chosen schedule in full."""

from __future__ import annotations

from dataclasses import dataclass

from rich.cells import cell_len, set_cell_size
from rich.text import Text

from finishing.cure.terms import Release
from finishing.exchange.plain import plain
from finishing.shop.plan.compare_words import (
    WISHES,
    adds_words,
    bar,
    cost_words,
    latest_words,
    limit_words,
    when_words,
)
from finishing.shop.plan.compared import Column, Comparison, Wish
from finishing.units import counted, show_volume, show_work, spoken


@dataclass(frozen=True, slots=True)
class Widths:
    """Cells of the columns: the name, each bar, hands, days, cost, and by when to begin."""

    title: int
    bar: int
    hands: int = 8
    days: int = 6
    cost: int = 9
    latest: int = 11

    @classmethod
    def of(cls, width: int, *, dated: bool) -> Widths:
        """The bars take what a name of some length leaves. dated: whether it is said by when each must begin."""
        latest = 12 if dated else 0
        fixed = 8 + 6 + 9 + latest
        bars = min(max((width - fixed - 27) // 3 - 1, 4), 12)
        return cls(max(width - fixed - 3 * (bars + 1), 12), bars, latest=latest)

    def line(self, title: str, cells: tuple[str, str, str], bars: tuple[str, str, str], latest: str) -> str:
        """One line."""
        parts = [set_cell_size(_cut(title, self.title - 1), self.title)]
        for words, drawn, width in zip(cells, bars, (self.hands, self.days, self.cost), strict=True):
            parts.append(set_cell_size(drawn, self.bar + 1 if self.bar else 0) + set_cell_size(words, width))
        return "".join(parts) + _cut(latest, self.latest)


def head(widths: Widths, found: Comparison) -> Text:
    """What the columns are."""
    latest = "" if found.wanted.by is None else "begin by"
    bars = ("hands-on", "ready in", "costs")
    text = "".join(
        set_cell_size(_cut(name, widths.bar + width), widths.bar + 1 + width)
        for name, width in zip(bars, (widths.hands, widths.days, widths.cost), strict=True)
    )
    return Text(set_cell_size("schedule", widths.title) + text + latest, no_wrap=True)


def row(column: Column, found: Comparison, widths: Widths) -> Text:
    """One schedule, its bars against the most of all."""
    minutes, days, money = column.minutes, days_of(column, found), column.money
    most = (
        max(c.minutes for c in found.columns),
        max((d for c in found.columns if (d := days_of(c, found)) is not None), default=0.0),
        max((c.money for c in found.columns if c.money is not None), default=0.0),
    )
    bars = (
        bar(minutes, most[0], widths.bar),
        "" if days is None else bar(days, most[1], widths.bar),
        "" if money is None else bar(money, most[2], widths.bar),
    )
    cells = (
        show_work(minutes),
        "no date" if days is None else f"{days:.0f} d",
        plain(cost_words(column, found)),
    )
    if days is None:
        bars, cells = (bars[0], "no date", bars[2]), (cells[0], "", cells[2])
    return Text(widths.line(plain(column.schedule), cells, bars, latest_words(column, found)), no_wrap=True)


def days_of(column: Column, found: Comparison) -> float | None:
    """Days until it may be packed."""
    ready = column.released[Release.PACK]
    return None if ready is None else (ready - found.now) / 24.0


def wishes(found: Comparison) -> Text:
    """The wishes, the one that holds marked."""
    text = Text("best first: ", style="dim")
    for n, wish in enumerate(Wish):
        chosen = wish is found.wanted.wish
        text.append("  " if n else "")
        text.append(f"▸{WISHES[wish.value].upper()}" if chosen else WISHES[wish.value], style="bold" if chosen else "")
    return text


def about(column: Column, found: Comparison, units: str) -> Text:
    """The chosen schedule in full."""
    text = Text(plain(column.title), style="bold")
    sessions = counted(column.sessions, "session")
    begins = "" if column.begins is None else f", first {when_words(column.begins, found)}"
    coats = counted(column.coats, "coat")
    text.append(f"  {coats}, {show_work(column.minutes)} in {sessions}{begins}\n", style="not bold")
    text.append(f"adds to a piece: {plain(adds_words(column, found))}\n", style="not bold")
    for title, amount in column.used_ml.items():
        text.append(f"{plain(title)}: {show_volume(amount, units)}\n", style="not bold")
    reoil = (
        ""
        if column.reoil_months is None
        else f", again after {column.reoil_months:g} month{'' if column.reoil_months == 1 else 's'}"
    )
    text.append(
        f"protects {bar(column.protection, 5)} {column.protection}   asks of its owner {bar(column.upkeep, 5)}"
        f" {column.upkeep}{reoil}\n",
        style="not bold",
    )
    if found.wanted.by is not None:
        begun = "" if column.latest is None else f" if begun by {when_words(column.latest, found)}"
        makes = bool(begun) or column.makes_it
        said = f"makes the date{begun}" if makes else "misses the date whenever it begins"
        text.append(f"{said}\n", style="not bold" if makes else "bold")
    text.append(f"{plain(limit_words(column))}\n", style="not bold")
    for caution in column.cautions:
        text.append(f"! {plain(spoken(caution.text, units))}\n", style="bold" if caution.urgent else "not bold")
    for note in found.notes:
        text.append(f"{plain(note)}\n", style="dim not bold")
    return text


def _cut(text: str, width: int) -> str:
    return text if cell_len(text) <= width else set_cell_size(text, max(width - 1, 0)).rstrip() + "…"
