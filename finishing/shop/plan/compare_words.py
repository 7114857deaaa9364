"""A comparison in words, for commands and screens alike."""

from __future__ import annotations

from finishing.clock import at_zone
from finishing.shop.plan.compared import Column, Comparison
from finishing.shop.words import and_words, short_time, size_words, with_year
from finishing.units import counted, show_work

WISHES = {
    "soonest": "ready soonest",
    "hands-on": "least hands-on",
    "cheapest": "cheapest",
    "toughest": "toughest",
}
"""Wishes by their word."""


def when_words(hour: float | None, found: Comparison) -> str:
    """An hour with as much of its date as it needs; days alone where it is a week off or more."""
    if hour is None:
        return "no date"
    days = (at_zone(hour, found.zone).date() - at_zone(found.now, found.zone).date()).days
    if days < 7:
        return short_time(hour, found.zone, found.now)
    return at_zone(hour, found.zone).format("D MMM YYYY" if with_year(hour, found.zone, found.now) else "D MMM")


def latest_words(column: Column, found: Comparison) -> str:
    """By when a schedule must begin; "" where no date is wanted, or nothing is left to begin."""
    if found.wanted.by is None or (column.makes_it and column.begins is None):
        return ""
    return "too late" if column.latest is None else when_words(column.latest, found)


def money_words(value: float, found: Comparison) -> str:
    """A sum in the shop's currency."""
    return f"{found.currency}{value:.2f}"


def cost_words(column: Column, found: Comparison, pieces: int = 1) -> str:
    """What finishing costs, all pieces or a share of them; a + where the finish has no price. "-": nothing is known."""
    if column.money is None:
        return "-"
    return money_words(column.money / pieces, found) + ("+" if column.cost is None else "")


def limit_words(column: Column) -> str:
    """What must not be done before when, and what the owner does later."""
    parts = (
        f"in batches of {and_words(list(map(str, column.parts)))}, to fit {column.parts_fit}" if column.parts else ""
    )
    dates = [*filter(None, (parts, column.stopped)), *column.limits[:-1]]
    return ". ".join(filter(None, ("; ".join(dates), column.limits[-1])))


def adds_words(column: Column, found: Comparison) -> str:
    """What finishing adds to a piece, in time and money."""
    pieces = found.wanted.pieces
    money = "" if column.money is None else f", {cost_words(column, found, pieces)}"
    return f"{show_work(column.minutes / pieces)}{money}"


def asked_words(found: Comparison, units: str) -> str:
    """What was asked, in a sentence."""
    wanted = found.wanted
    of = f" for {wanted.instead}" if wanted.instead else ""
    by = "" if wanted.by is None else f", wanted by {when_words(wanted.by, found)}"
    size = "" if wanted.size is None else f", {size_words(wanted.size, units)}"
    sure = round(found.level * 100)
    pieces = counted(wanted.pieces, "piece")
    return f"{pieces}{of} of {', '.join(found.woods)}{size}, in {found.place}{by}; sure to {sure} in 100"


def bar(value: float, most: float, cells: int = 5) -> str:
    """A figure from 0 to the most as a bar; whatever is more than nothing shows."""
    full = 0 if most <= 0 or value <= 0 else min(max(round(cells * value / most), 1), cells)
    return "■" * full + "·" * (cells - full)
