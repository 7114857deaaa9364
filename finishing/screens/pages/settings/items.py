"""The settings as the page lists them: a name, the value in words, and what it does."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from finishing.shop.settings import MOST_MAKERS, Settings, setting_text


@dataclass(frozen=True, slots=True)
class Item:
    """One setting. choices: value to words, where there are only a few. example: what may be typed."""

    key: str
    label: str
    explain: str
    example: str = ""
    choices: Mapping[str, str] = field(default_factory=dict)


ITEMS = (
    Item(
        "units",
        "units",
        "Temperatures, sizes and amounts are shown, and read where you type none, in these.",
        choices={"metric": "metric: °C, mm, mL", "imperial": "imperial: °F, inches, fl oz"},
    ),
    Item("zone", "time zone", "Where the shop's clock stands. The record itself is kept in universal time."),
    Item("hours", "working hours", "When there are hands for the work, each day of the week."),
    Item(
        "days_off",
        "days off",
        "Dates without work: one, or a first and a last, with commas between.",
        "2026-12-24..2027-01-01, 2027-05-17",
    ),
    Item(
        "extra_days",
        "extra days",
        "Dates with work beyond the week's: a date and its hours, with semicolons between. Without hours it is as"
        " long as its weekday, or as your first working day.",
        "2026-12-19 9:00-13:00; 2026-12-20",
    ),
    Item(
        "makers",
        "pairs of hands",
        "How many makers work at a time, for the plan.",
        choices={str(n): f"{n} maker{'s' if n > 1 else ''}" for n in range(1, MOST_MAKERS + 1)},
    ),
    Item(
        "level",
        "level of certainty",
        "How sure a time is to hold before the bench shows a step as open: 80 means four times in five."
        " Higher waits longer.",
        "80",
    ),
    Item(
        "half_life_days",
        "half-life of tests",
        "After so many days a touch test weighs half of what it did, as cans age and seasons turn.",
        "180",
    ),
    Item("maker", "maker's name", "Put on every entry you record.", "the name on the record"),
    Item("currency", "currency", "Put before prices, as you write it.", "€"),
    Item(
        "hourly_rate",
        "hourly rate",
        "What an hour's work costs, for what finishing adds to a piece's price. Empty: not counted.",
        "28.50",
    ),
    Item(
        "theme",
        "look",
        "The colours of the screens. No meaning rests on them.",
        choices={
            "night-shop": "dark (night shop)",
            "day-shop": "light (day shop)",
            "high-contrast": "high contrast",
            "no-colour": "no colour: greys alone",
        },
    ),
    Item(
        "bell",
        "bell",
        "Whether the terminal may ring when something opens or is about to shut.",
        choices={"on": "on", "off": "off"},
    ),
)


def words(item: Item, settings: Settings) -> str:
    """A setting's value as the page shows it."""
    text = setting_text(settings, item.key)
    if item.key == "level":
        return f"{text} %"
    if item.key == "half_life_days":
        return f"{text} days"
    if item.key == "hours" and text:
        total = settings.working_hours().weekly_hours
        return f"{text} ({total:g} h a week)"
    return item.choices.get(text, text) or "none"
