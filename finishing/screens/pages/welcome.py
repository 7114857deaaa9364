"""The first run: units, a place, working hours; or a look at an invented shop. It writes nothing itself."""

from __future__ import annotations

from collections.abc import Iterable
from enum import Enum
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.widgets import Button, Input, Select, Static

from finishing.clock import Clock, now_hour
from finishing.cure.outlook import UsualDay
from finishing.errors import BadInput
from finishing.screens.pages.card import Card, Line, Pick
from finishing.shop.hours import USUAL_HOURS
from finishing.shop.settings import FirstRun, is_new, parse_setting
from finishing.shop.shop import Shop
from finishing.units import parse_humidity, parse_temperature

__all__ = ["Look", "Welcome", "is_new"]

EXAMPLES = {"metric": ("such as 10 °C", "such as 18 °C"), "imperial": ("such as 50 °F", "such as 64 °F")}


class Look(Enum):
    """The answer that sets nothing up."""

    INVENTED = "invented"


class Welcome(Card[FirstRun | Look]):
    """Hands back what to set up, Look.INVENTED, or None when it was left; enter in any field answers."""

    CSS = """
    Welcome #card { width: 74; }
    Welcome #card .line .name { width: 27; }
    Welcome #card Button { min-width: 8; margin-right: 1; }
    """
    TITLE_WORDS = "Welcome. Three things, and the rack is yours."
    DONE_WORDS = "Begin"
    BEGIN_IN = "#low"
    FIELDS: ClassVar[dict[str, str]] = {"usual low": "low", "usual high": "high", "humidity": "damp"}

    def __init__(self, shop: Shop, clock: Clock = now_hour) -> None:
        super().__init__()
        self.shop, self.clock = shop, clock

    def lines(self) -> ComposeResult:
        """Units, one place, hours; all but the low and high filled in."""
        units = (("metric: °C, mm, mL", "metric"), ("imperial: °F, inches, fl oz", "imperial"))
        yield Pick("units", Select(units, value=self.shop.settings.units, allow_blank=False, id="units"))
        yield Line("where pieces dry", "place", "bench room", "such as bench room")
        yield Line("its usual low near dawn", "low")
        yield Line("and high in the afternoon", "high")
        yield Line("its usual humidity, % RH", "damp", "50", "50 where nobody knows")
        yield Line("working hours", "hours", USUAL_HOURS, f"such as {USUAL_HOURS}")
        zone = self.shop.settings.zone
        yield Static(f"Clock: {zone}. All of it can be changed later.", classes="label", markup=False)

    def buttons(self) -> Iterable[Button]:
        """Begin, look, leave."""
        return (
            Button("Begin (enter)", id="done", variant="primary"),
            Button("Look at an invented shop", id="invented"),
            Button("Not now (esc)", id="leave"),
        )

    @on(Select.Changed, "#units")
    def show_examples(self) -> None:
        """Examples in the units chosen."""
        for id, example in zip(("low", "high"), EXAMPLES[self._units()], strict=True):
            self.query_one(f"#{id}", Input).placeholder = example

    @on(Button.Pressed, "#invented")
    def look_around(self) -> None:
        """Open the invented shop instead."""
        self.dismiss(Look.INVENTED)

    def _units(self) -> str:
        value = self.query_one("#units", Select).value
        return value if isinstance(value, str) else "metric"

    def made(self) -> FirstRun:
        """What to set up. BadInput for the first field that is not right."""
        unit = "F" if self._units() == "imperial" else "C"
        place, hours = self.text("place"), self.text("hours")
        if not place:
            raise BadInput("place", place, "a name, such as bench room")
        low, high = (parse_temperature(self.text(id), f"usual {id}", unit=unit) for id in ("low", "high"))
        damp = parse_humidity(self.text("damp"))
        return FirstRun(self._units(), place, UsualDay(low, high, damp, damp), parse_setting("hours", hours))
