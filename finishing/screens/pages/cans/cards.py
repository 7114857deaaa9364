"""The cards of the cans page: a new can, what is known of one, and which batches got it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import ClassVar

from rich.text import Text
from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import OptionList, Select, Static
from textual.widgets.option_list import Option

from finishing.cure.finish import Finish
from finishing.errors import BadInput
from finishing.exchange.plain import plain
from finishing.screens.pages.card import Card, Line, Pick
from finishing.shop.cans import CanSheet
from finishing.shop.drafts import CanDraft
from finishing.shop.forms import parse_price
from finishing.shop.settings import Settings
from finishing.shop.stock import CanFacts, CanLine
from finishing.shop.words import short_time
from finishing.units import parse_volume, show_volume

LONGEST_LOT = 60
MOST_DAYS = 36_500


class NewCan(Card[CanDraft]):
    """A can for the shelf. The finishes to choose from are read in a thread, and come when they are."""

    TITLE_WORDS = "A can for the shelf"
    DONE_WORDS = "Put it there"

    def __init__(self, read: Callable[[], list[Finish]], settings: Settings) -> None:
        super().__init__()
        self._read_all, self._settings = read, settings

    def lines(self) -> ComposeResult:
        """What a can has on it."""
        none: list[tuple[Text, str]] = []
        yield Pick("finish", Select(none, prompt="reading …", id="finish"))
        full = "such as 32 fl oz" if self._settings.units == "imperial" else "such as 950 mL, 1L"
        yield Line("a full can holds", "volume", "", full)
        yield Line("lot", "lot", "", "on the can; may stay empty")
        yield Line("price of the can", "price", "", f"such as {self._settings.currency}24.50; may stay empty")
        yield Line("keeps, once open", "keeps", "", "days; empty: not said")
        yield Pick(
            "it is", Select([("sealed", False), ("opened today", True)], value=False, allow_blank=False, id="opened")
        )

    def on_mount(self) -> None:
        """Read, meanwhile. Textual calls the base class's handler as well."""
        self._read()

    @work(thread=True)
    def _read(self) -> None:
        self.app.call_from_thread(self._offer, self._read_all())

    def _offer(self, finishes: list[Finish]) -> None:
        for chooser in self.query("#finish").results(Select):
            chooser.set_options([(Text(plain(f.title), no_wrap=True, overflow="ellipsis"), f.name) for f in finishes])
            chooser.prompt = "choose a finish"

    def made(self) -> CanDraft:
        """The can."""
        finish = self.query_one("#finish", Select).value
        if not isinstance(finish, str):
            raise BadInput("finish", None, "a finish from the list")
        unit = "floz" if self._settings.units == "imperial" else "ml"
        return CanDraft(
            finish=finish,
            volume_ml=parse_volume(self.text("volume"), "a full can holds", unit=unit),
            lot=parse_lot(self.text("lot")),
            price=parse_price(self.text("price"), self._settings.currency),
            opened=self.query_one("#opened", Select).value is True,
            use_within_days=parse_days(self.text("keeps")),
        )


class EditCan(Card[CanFacts]):
    """What is known of a can, put right."""

    def __init__(self, line: CanLine, settings: Settings, today: dt.date) -> None:
        super().__init__()
        self._line, self._settings, self._today = line, settings, today

    def title_words(self) -> str:
        """Which can."""
        return f"Can {self._line.row.id}: {self._line.title}"

    def lines(self) -> ComposeResult:
        """Lot, price, opened, keeps."""
        can = self._line.row.can
        yield Line("lot", "lot", can.lot, "not given")
        yield Line("price of the can", "price", "" if can.price is None else f"{can.price:.2f}", "not given")
        opened = "" if can.opened_on is None else can.opened_on.isoformat()
        day = self._line.opened_on
        none = "sealed; or a day such as 2026-03-10" if day is None else f"by its first coat: {day.isoformat()}"
        yield Line("opened on", "opened", opened, none)
        keeps = "" if can.use_within_days is None else str(can.use_within_days)
        yield Line("keeps, once open", "keeps", keeps, "days; empty: not said")

    def made(self) -> CanFacts:
        """The facts."""
        return CanFacts(
            parse_lot(self.text("lot")),
            parse_price(self.text("price"), self._settings.currency),
            parse_opened(self.text("opened"), self._today),
            parse_days(self.text("keeps")),
        )


def parse_lot(text: str) -> str:
    """A lot number, as it is."""
    if len(text) > LONGEST_LOT:
        raise BadInput("lot", text[:40], f"no more than {LONGEST_LOT} characters")
    return text


def parse_days(text: str) -> int | None:
    """How many days a can keeps; None for nothing."""
    body = text.removesuffix("d").removesuffix("days").strip()
    if not body:
        return None
    if not (body.isascii() and body.isdigit() and len(body) < 7 and 1 <= int(body) <= MOST_DAYS):
        raise BadInput("keeps, once open", text, f"a number of days from 1 to {MOST_DAYS:,}, such as 180")
    return int(body)


def parse_opened(text: str, today: dt.date) -> dt.date | None:
    """The day a can was opened; None for nothing."""
    if not text:
        return None
    try:
        day = dt.date.fromisoformat(text)
    except ValueError:
        raise BadInput("opened on", text, "a day such as 2026-03-10, or nothing for a sealed can") from None
    if day > today:
        raise BadInput("opened on", text, "a day that has come")
    return day


class Uses(ModalScreen[str | None]):
    """Which batches got a can, and when; choosing one hands back its code."""

    CSS_PATH = "uses.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "dismiss(None)", "Close")]

    def __init__(self, sheet: CanSheet, title: str, settings: Settings, now: float) -> None:
        super().__init__()
        self._sheet, self._title, self._settings, self._now = sheet, title, settings, now

    def compose(self) -> ComposeResult:
        """A line for each coat that came from the can."""
        can = self._sheet.row.can
        with Vertical(id="card"):
            lot = f", lot {plain(can.lot)}" if can.lot else ""
            yield Static(Text(f"Can {self._sheet.row.id}: {plain(self._title)}{lot}", style="bold"))
            yield Static("coats that came from it; enter opens the batch", classes="label", markup=False)
            yield OptionList(*self._options(), id="coats", markup=False)

    def _options(self) -> list[Option]:
        if not self._sheet.uses:
            return [Option("no coat came from it so far", disabled=True)]
        return [
            Option(Text(f"{plain(use.code):<14} {self._when(use.at):<18} {self._amount(use.amount_ml)}"))
            for use in self._sheet.uses
        ]

    def _when(self, at: float) -> str:
        return short_time(at, self._settings.zone, self._now)

    def _amount(self, amount_ml: float | None) -> str:
        return "amount not said" if amount_ml is None else show_volume(amount_ml, self._settings.units)

    @on(OptionList.OptionSelected, "#coats")
    def choose(self, event: OptionList.OptionSelected) -> None:
        """Hand back the batch."""
        self.dismiss(self._sheet.uses[event.option_index].code)
