"""Which batches the bench shows: of one place, one finish, or wanted soon."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.widgets import Button, Select, Static

from finishing.exchange.plain import plain
from finishing.screens.pages.card import Card
from finishing.shop.bench import Row

WITHIN = ((2.0, "within 2 days"), (7.0, "within a week"), (14.0, "within two weeks"), (31.0, "within a month"))


@dataclass(frozen=True, slots=True)
class Filter:
    """None: any. finish: its title. days: wanted within so many."""

    place: str | None = None
    finish: str | None = None
    days: float | None = None

    def keeps(self, row: Row) -> bool:
        """Whether a row is shown."""
        p = row.progress
        if self.place is not None and p.place != self.place:
            return False
        if self.finish is not None and self.finish not in (f.title for f in p.batch.finishes.values()):
            return False
        wanted = p.batch.wanted_by
        return self.days is None or (wanted is not None and wanted - p.now <= self.days * 24.0)

    @property
    def words(self) -> str:
        """What is shown, "" for everything."""
        within = next((words for days, words in WITHIN if days == self.days), "")
        return ", ".join(part for part in (self.place, self.finish, within and f"wanted {within}") if part)


class FilterCard(Card[Filter]):
    """Choose what the bench shows."""

    TITLE_WORDS = "Show on the bench"

    def __init__(self, rows: Sequence[Row], chosen: Filter) -> None:
        super().__init__()
        self._rows, self._chosen = rows, chosen

    def lines(self) -> ComposeResult:
        """Three choices."""
        places = sorted({row.progress.place for row in self._rows} | {p for p in (self._chosen.place,) if p})
        titles = {f.title for row in self._rows for f in row.progress.batch.finishes.values()}
        finishes = sorted(titles | {f for f in (self._chosen.finish,) if f})
        yield from self._choice("place", [(Text(plain(p)), p) for p in places], self._chosen.place)
        yield from self._choice("finish", [(Text(plain(f)), f) for f in finishes], self._chosen.finish)
        yield from self._choice("wanted", [(Text(words), days) for days, words in WITHIN], self._chosen.days)

    def buttons(self) -> Iterable[Button]:
        """These, or all."""
        return Button("Show these", id="done", variant="primary"), Button("Show all", id="all")

    @staticmethod
    def _choice(name: str, options: list[tuple[Text, str]] | list[tuple[Text, float]], value: object) -> ComposeResult:
        yield Static(name, classes="label", markup=False)
        yield Select(options, id=name, prompt="any", value=Select.NULL if value is None else value)

    def _value(self, name: str) -> object:
        value = self.query_one(f"#{name}", Select).value
        return None if value is Select.NULL else value

    def made(self) -> Filter:
        """The choice."""
        place, finish, days = (self._value(name) for name in ("place", "finish", "wanted"))
        return Filter(
            place if isinstance(place, str) else None,
            finish if isinstance(finish, str) else None,
            days if isinstance(days, float) else None,
        )

    @on(Button.Pressed, "#all")
    def show_all(self) -> None:
        """Hand back no filter."""
        self.dismiss(Filter())
