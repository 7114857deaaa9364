"""A can as one line of the list, and as a few lines below it."""

from __future__ import annotations

from dataclasses import dataclass

from rich.text import Text

from finishing.exchange.plain import plain
from finishing.screens.widgets.figures import cut, fill
from finishing.shop import stock
from finishing.shop.settings import Settings
from finishing.shop.stock import CanLine, Level, Need
from finishing.units import show_volume

SIGN = {Level.SHORT: "!!", Level.LOW: "! ", Level.ENOUGH: "  "}
"""What stands before a finish's line, so that short ones are seen first."""


@dataclass(frozen=True, slots=True)
class Columns:
    """Widths in cells; 0 leaves a column out."""

    number: int
    title: int
    lot: int
    opened: int
    bar: int
    left: int
    price: int
    keeps: int

    @classmethod
    def of(cls, width: int, keeps: int) -> Columns:
        """Columns for a width: lot and price where there is room, the finish's name takes the rest.

        keeps: cells of the longest word on how long a can keeps.
        """
        lot = 16 if width >= 100 else 0
        price = 22 if width >= 120 else 0
        bar = 16 if width >= 140 else 10 if width >= 76 else 5
        number, opened, left, keeps = 5, 8, 11, max(keeps, 5) + 1
        title = width - number - lot - opened - bar - 1 - left - price - keeps
        return cls(number, max(title, 10), lot, opened, bar, left, price, keeps)

    def line(self, cells: tuple[str, str, str, str, str, str, str, str]) -> str:
        """Cells in their columns: number, finish, lot, opened, bar, left, price, keeps."""
        widths = (self.number, self.title, self.lot, self.opened, self.bar, self.left, self.price, self.keeps)
        return "".join(
            cell + " " if i == 4 else cut(cell, width - 1) + " "
            for i, (cell, width) in enumerate(zip(cells, widths, strict=True))
            if width
        )


def head(columns: Columns) -> str:
    """What the columns are."""
    bar = cut("left", columns.bar)
    return columns.line(("can", "finish", "lot", "open", bar, "", "price", "keeps"))


def row(line: CanLine, columns: Columns, settings: Settings) -> str:
    """One can."""
    can = line.row.can
    price = stock.price_words(can, settings.currency)
    each = stock.per_litre_words(can, settings.currency, settings.units)
    return columns.line(
        (
            f"{line.row.id:>3}",
            plain(line.title),
            plain(can.lot),
            stock.age_words(line),
            fill(line.share, columns.bar),
            show_volume(line.left_ml, settings.units),
            plain(f"{price}, {each}" if price else ""),
            stock.use_by_words(line),
        )
    )


def about(line: CanLine, settings: Settings) -> Text:
    """What the line has no room for."""
    can, units = line.row.can, settings.units
    text = Text()
    text.append(f"can {line.row.id}  {plain(line.title)}", style="bold")
    text.append(f"\n{show_volume(line.left_ml, units)} left of {show_volume(can.volume_ml, units)}")
    text.append(", as far as amounts were recorded", style="dim")
    price = stock.price_words(can, settings.currency)
    each = stock.per_litre_words(can, settings.currency, units)
    parts = [f"lot {plain(can.lot)}" if can.lot else "no lot given", plain(f"{price}, {each}") if price else "no price"]
    parts += [] if can.bought_on is None else [f"bought {can.bought_on.isoformat()}"]
    text.append(f"\n{' · '.join(parts)}\n")
    if line.opened_on is None:
        text.append("sealed")
    else:
        days = line.age_days or 0
        text.append(f"opened {line.opened_on.isoformat()}{f', {days} d ago' if days > 0 else ', today'}")
        text.append("" if line.opened_on == can.opened_on else ", by the first coat from it")
    keeps = stock.use_by_words(line)
    if line.use_by is not None:
        keeps = f"use by {line.use_by.isoformat()}: {keeps}"
    text.append(f" · {keeps or 'how long it keeps is not said'}", style="bold" if line.past else "")
    return text


def needs(found: tuple[Need, ...], units: str) -> Text:
    """Every finish on the shelf or needed, short ones first."""
    text = Text("what open batches still need", style="bold")
    if not found:
        text.append("\nno can, and no open batch", style="")
    for need in found:
        style = "bold" if need.level is not Level.ENOUGH else "not bold"
        text.append(f"\n{SIGN[need.level]} ", style=style)
        text.append(f"{plain(need.title)}: ", style=style)
        text.append(plain(stock.need_words(need, units)), style="not bold")
        if need.batches:
            text.append(f" ({plain(', '.join(need.batches))})", style="not bold dim")
    return text
