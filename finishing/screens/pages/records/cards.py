"""The cards of the records page: what to trace, what to print, and where a file is to go."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from rich.text import Text
from textual.app import ComposeResult
from textual.widgets import Select, Static

from finishing.errors import BadInput
from finishing.exchange.plain import plain
from finishing.screens.pages.card import Card, Line, Pick
from finishing.shop.cards import SHEETS, SIZES, CardDraft

KINDS = {"rack": "rack card", "care": "care card, for the customer", "record": "record, a whole page"}


@dataclass(frozen=True, slots=True)
class Print:
    """Cards to print, and where to."""

    draft: CardDraft
    file: Path


class TraceCard(Card[str]):
    """What to trace."""

    TITLE_WORDS = "Trace a lot, a can or a batch"
    DONE_WORDS = "Trace it"

    def lines(self) -> ComposeResult:
        """One line."""
        yield Line("lot, can or batch", "word", "", "a lot, a can's number or a batch's code")

    def made(self) -> str:
        """The word."""
        if not self.text("word"):
            raise BadInput("lot, can or batch", "", "a lot, a can's number or a batch's code")
        return self.text("word")


class PrintCard(Card[Print]):
    """Which cards, of which batches, how large, and where to."""

    TITLE_WORDS = "Print cards"
    DONE_WORDS = "Write the PDF"

    def __init__(self, codes: Sequence[str] = ()) -> None:
        super().__init__()
        self._codes = codes

    def lines(self) -> ComposeResult:
        """All of it."""
        yield Line("batches", "codes", plain(" ".join(self._codes)), "codes, with spaces between")
        yield from self._choice("cards", "kind", [(words, kind) for kind, words in KINDS.items()])
        yield from self._choice("size of a card", "size", [(size, size) for size in SIZES])
        yield from self._choice("sheet", "sheet", [("none: one card a page", ""), *((s, s) for s in SHEETS)])
        yield Line("copies of each", "copies", "1")
        yield Line("file", "file", "cards.pdf", "where to, such as ~/cards.pdf")

    @staticmethod
    def _choice(name: str, field: str, options: Sequence[tuple[str, str]]) -> ComposeResult:
        choices = [(Text(words), value) for words, value in options]
        yield Pick(name, Select(choices, value=options[0][1], allow_blank=False, id=field))

    def _chosen(self, field: str) -> str:
        return str(self.query_one(f"#{field}", Select).value)

    def made(self) -> Print:
        """The draft. BadInput for no batch, or a number that is none."""
        codes = tuple(self.text("codes").replace(",", " ").split())
        if not codes:
            raise BadInput("batches", "", "the code of one batch at least")
        copies = self.text("copies")
        if not copies.isascii() or not copies.isdecimal() or not 1 <= int(copies[:6]) <= 500:
            raise BadInput("copies", copies, "a number from 1 to 500")
        draft = CardDraft(self._chosen("kind"), codes, self._chosen("size"), self._chosen("sheet") or None, int(copies))
        return Print(draft, path(self.text("file"), "file"))


class FileCard(Card[Path]):
    """Where a file is to go."""

    def __init__(self, title: str, done: str, name: str, value: str, said: str) -> None:
        """name: of the field; value: what stands in it; said: a line above it."""
        super().__init__()
        self._title, self._label, self._value, self._said = title, name, value, said
        self.DONE_WORDS = done

    def title_words(self) -> str:
        """As it was given."""
        return self._title

    def lines(self) -> ComposeResult:
        """What is said, and the field."""
        yield Static(Text(self._said), classes="said")
        yield Line(self._label, "file", self._value)

    def made(self) -> Path:
        """The path."""
        return path(self.text("file"), self._label)


def path(text: str, field: str) -> Path:
    """A path as typed, ~ being the home folder. BadInput for none."""
    if not text or "\x00" in text:
        raise BadInput(field, text, "a name, such as ~/out")
    try:
        return Path(text).expanduser()
    except RuntimeError:
        raise BadInput(field, text, "a folder that is there") from None
