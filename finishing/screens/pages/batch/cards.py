"""The cards over the page of a batch: each asks, hands back an answer, and writes nothing itself."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Generic, TypeVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.widgets import OptionList, Select, Static
from textual.widgets.option_list import Option

from finishing.cure.terms import Face, Stage
from finishing.errors import BadInput
from finishing.exchange.plain import plain
from finishing.screens.pages.card import Card, field
from finishing.shop.drafts import AbradeDraft
from finishing.shop.split import SplitDraft

T = TypeVar("T")

FACES = {Face.BOTH: "both faces", Face.TOP: "the top", Face.BOTTOM: "the bottom"}


class BatchCard(Card[T], Generic[T]):
    """A card with what is said and what to heed above its lines."""

    DONE_WORDS = "Record"

    def __init__(self, title: str, said: Sequence[str] = (), heed: Sequence[str] = ()) -> None:
        """said: lines below the title. heed: cautions."""
        super().__init__()
        self._title, self._said, self._heed = title, said, heed

    def title_words(self) -> str:
        """As it was given."""
        return self._title

    def lines(self) -> ComposeResult:
        """What is said, cautions, then what is asked."""
        for said in self._said:
            yield Static(Text(plain(said)), classes="said")
        for said in self._heed:
            yield Static(Text(f"! {plain(said)}"), classes="heed")
        yield from self.asked()

    def asked(self) -> ComposeResult:
        """What is asked."""
        yield from ()


class Sure(BatchCard[bool]):
    """Says what is about to be done, and asks. The button has the focus, so that enter alone does it."""

    BEGIN_IN = "#done"

    def __init__(self, title: str, yes: str, said: Sequence[str]) -> None:
        super().__init__(title, said)
        self.DONE_WORDS = yes

    def made(self) -> bool:
        """Yes."""
        return True


class NoteCard(BatchCard[str]):
    """A line to write in; also asked before a batch is closed (it may then stay empty)."""

    def __init__(self, title: str, take: str = "Record", heed: Sequence[str] = ()) -> None:
        super().__init__(title, heed=heed)
        self.DONE_WORDS = take

    def asked(self) -> ComposeResult:
        """One line."""
        yield from field("note", "note", "a few words")

    def made(self) -> str:
        """The words."""
        return self.text("note")


class ChoiceCard(BatchCard[str]):
    """One of a list. Enter on a line, or a click, takes it."""

    def __init__(
        self, title: str, choices: Sequence[tuple[str, str]], said: Sequence[str] = (), heed: Sequence[str] = ()
    ) -> None:
        """choices: what is handed back, and the line that is shown."""
        super().__init__(title, said, heed)
        self._choices = choices

    def asked(self) -> ComposeResult:
        """The list, on the first."""
        choices = OptionList(*(Option(Text(plain(line))) for _, line in self._choices), id="choices", markup=False)
        choices.highlighted = 0 if self._choices else None
        yield choices

    @on(OptionList.OptionSelected, "#choices")
    def chosen(self) -> None:
        """A line was taken."""
        self.action_done()

    def made(self) -> str:
        """The one under the cursor."""
        index = self.query_one("#choices", OptionList).highlighted
        if index is None:
            raise BadInput("choice", None, "a line of the list")
        return self._choices[index][0]


class AbradeCard(BatchCard[AbradeDraft]):
    """Which faces were abraded, with which grit. The button has the focus: both are filled in."""

    BEGIN_IN = "#done"

    def __init__(self, code: str, grit: int | None, face: Face, heed: Sequence[str]) -> None:
        super().__init__(f"{code}: abraded", heed=heed)
        self._code, self._grit, self._face = code, grit, face

    def asked(self) -> ComposeResult:
        """Grit and face."""
        yield from field("grit (FEPA P)", "grit", "such as 320", "" if self._grit is None else str(self._grit))
        yield Static("faces", classes="label", markup=False)
        options = [(words, face) for face, words in FACES.items()]
        yield Select(options, value=self._face, allow_blank=False, id="face")

    def made(self) -> AbradeDraft:
        """Grit and face."""
        face = self.query_one("#face", Select).value
        return AbradeDraft(self._code, face if isinstance(face, Face) else Face.BOTH, read_grit(self.text("grit")))


def read_grit(text: str) -> int | None:
    """A grit from "320" or "P320"; None for an empty field."""
    body = text.upper().removeprefix("P")
    if not body:
        return None
    if not (body.isascii() and body.isdigit() and 40 <= int(body[:5]) <= 3000):
        raise BadInput("grit", text, "an abrasive grit from P40 to P3000")
    return int(body)


class SplitCard(BatchCard[SplitDraft]):
    """How many pieces go to a batch of their own, under which code, and whether they are still tacky."""

    DONE_WORDS = "Split"

    def __init__(self, code: str, pieces: int, part: str, stages: Sequence[Stage], go: int | None = None) -> None:
        """part: the code filled in. go: the pieces filled in; the button has the focus then."""
        said = "The pieces that go become a batch of their own. Its record begins with all that was done to them here;"
        super().__init__(f"{code}: split its {pieces} pieces", [f"{said} the finish used is shared out."])
        self._code, self._part, self._stages, self._go = code, part, stages, go

    def begin_in(self) -> str:
        """The button, where all is filled in."""
        return super().begin_in() if self._go is None else "#done"

    def asked(self) -> ComposeResult:
        """Pieces, code, tacky to, note."""
        yield from field("pieces that go", "pieces", "such as 3", "" if self._go is None else str(self._go))
        yield from field("code of the new batch", "code", value=self._part)
        if self._stages:
            yield Static("found tacky just now, for (may stay empty)", classes="label", markup=False)
            yield Select([(stage.words, stage) for stage in self._stages], prompt="not tested", id="tacky")
        yield from field("note (may stay empty)", "note", "such as: the ones near the window")

    def made(self) -> SplitDraft:
        """The split."""
        text = self.text("pieces")
        if not (text.isascii() and text.isdigit() and len(text) <= 5):
            raise BadInput("pieces that go", text, "a whole number of pieces")
        tacky = self.query_one("#tacky", Select).value if self._stages else None
        stage = tacky if isinstance(tacky, Stage) else None
        return SplitDraft(self._code, int(text), self.text("code"), stage, self.text("note"))
