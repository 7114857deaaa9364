"""The cards over the page of a batch: each asks, hands back an answer, and writes nothing itself."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar, Generic, TypeVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Button, Input, OptionList, Select, Static
from textual.widgets.option_list import Option

from finishing.cure.terms import Face, Stage
from finishing.errors import BadInput
from finishing.exchange.plain import plain
from finishing.shop.drafts import AbradeDraft
from finishing.shop.split import SplitDraft

T = TypeVar("T")

FACES = {Face.BOTH: "both faces", Face.TOP: "the top", Face.BOTTOM: "the bottom"}


class BatchCard(ModalScreen[T | None], Generic[T]):
    """A card: a title, what to heed, fields, and two buttons. Enter in a field or on the button takes it."""

    CSS_PATH = "batch.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "leave", "Leave it")]
    TAKE = "Record"

    def __init__(self, title: str, said: Sequence[str] = (), heed: Sequence[str] = ()) -> None:
        """said: lines below the title. heed: cautions."""
        super().__init__()
        self._title, self._said, self._heed = title, said, heed

    def compose(self) -> ComposeResult:
        """Title, cautions, the card's own fields, buttons."""
        with VerticalScroll(id="card", can_focus=False):
            yield Static(Text(plain(self._title), style="bold"), classes="what")
            for said in self._said:
                yield Static(Text(plain(said)), classes="said")
            for said in self._heed:
                yield Static(Text(f"! {plain(said)}"), classes="heed")
            yield from self.fields()
            with Horizontal(classes="buttons"):
                yield Button(f"{self.TAKE} (enter)", id="take", variant="primary")
                yield Button("Leave it (esc)", id="leave")
            yield Static("", id="problem", markup=False)

    def fields(self) -> ComposeResult:
        """What is asked."""
        yield from ()

    def answer(self) -> T:
        """What to hand back. BadInput naming the field that is not right."""
        raise NotImplementedError

    @on(Button.Pressed, "#leave")
    def action_leave(self) -> None:
        """Leave it."""
        self.dismiss(None)

    @on(Button.Pressed, "#take")
    @on(Input.Submitted)
    def take(self) -> None:
        """Hand back the answer, or say what is wrong."""
        try:
            given = self.answer()
        except BadInput as problem:
            self.query_one("#problem", Static).update(Text(plain(str(problem))))
            self.query_one("#card").scroll_end(animate=False)
        else:
            self.dismiss(given)

    def text_of(self, field: str) -> str:
        """What a field holds."""
        return self.query_one(f"#{field}", Input).value.strip()


class Sure(BatchCard[bool]):
    """Says what is about to be done, and asks."""

    def __init__(self, title: str, yes: str, said: Sequence[str]) -> None:
        super().__init__(title, said)
        self.TAKE = yes

    def on_mount(self) -> None:
        """The button has the focus, so that enter alone does it."""
        self.query_one("#take", Button).focus()

    def answer(self) -> bool:
        """Yes."""
        return True


class NoteCard(BatchCard[str]):
    """A line to write in; also asked before a batch is closed (it may then stay empty)."""

    def __init__(self, title: str, take: str = "Record", heed: Sequence[str] = ()) -> None:
        super().__init__(title, heed=heed)
        self.TAKE = take

    def fields(self) -> ComposeResult:
        """One line."""
        yield Static("note", classes="label", markup=False)
        yield Input(placeholder="a few words", id="note")

    def answer(self) -> str:
        """The words."""
        return self.text_of("note")


class ChoiceCard(BatchCard[str]):
    """One of a list. Enter on a line, or a click, takes it."""

    def __init__(
        self, title: str, choices: Sequence[tuple[str, str]], said: Sequence[str] = (), heed: Sequence[str] = ()
    ) -> None:
        """choices: what is handed back, and the line that is shown."""
        super().__init__(title, said, heed)
        self._choices = choices

    def fields(self) -> ComposeResult:
        """The list."""
        yield OptionList(*(Option(Text(plain(line))) for _, line in self._choices), id="choices", markup=False)

    def on_mount(self) -> None:
        """Begin in the list, on the first."""
        choices = self.query_one("#choices", OptionList)
        choices.focus()
        choices.highlighted = 0 if self._choices else None

    @on(OptionList.OptionSelected, "#choices")
    def chosen(self) -> None:
        """A line was taken."""
        self.take()

    def answer(self) -> str:
        """The one under the cursor."""
        index = self.query_one("#choices", OptionList).highlighted
        if index is None:
            raise BadInput("choice", "nothing", "a line of the list")
        return self._choices[index][0]


class AbradeCard(BatchCard[AbradeDraft]):
    """Which faces were abraded, with which grit."""

    def __init__(self, code: str, grit: int | None, face: Face, heed: Sequence[str]) -> None:
        super().__init__(f"{code}: abraded", heed=heed)
        self._code, self._grit, self._face = code, grit, face

    def fields(self) -> ComposeResult:
        """Grit and face."""
        yield Static("grit (FEPA P)", classes="label", markup=False)
        yield Input("" if self._grit is None else str(self._grit), placeholder="320", id="grit")
        yield Static("faces", classes="label", markup=False)
        options = [(words, face) for face, words in FACES.items()]
        yield Select(options, value=self._face, allow_blank=False, id="face")

    def on_mount(self) -> None:
        """The button has the focus: grit and face are filled in."""
        self.query_one("#take", Button).focus()

    def answer(self) -> AbradeDraft:
        """Grit and face."""
        face = self.query_one("#face", Select).value
        return AbradeDraft(self._code, face if isinstance(face, Face) else Face.BOTH, _grit(self.text_of("grit")))


def _grit(text: str) -> int | None:
    """A grit from "320" or "P320"; None for an empty field."""
    body = text.upper().removeprefix("P")
    if not body:
        return None
    if not (body.isascii() and body.isdigit() and 40 <= int(body[:5]) <= 3000):
        raise BadInput("grit", text, "an abrasive grit from P40 to P3000")
    return int(body)


class SplitCard(BatchCard[SplitDraft]):
    """How many pieces go to a batch of their own, under which code, and whether they are still tacky."""

    TAKE = "Split"

    def __init__(self, code: str, pieces: int, part: str, stages: Sequence[Stage]) -> None:
        said = "The pieces that go become a batch of their own. Its record begins with all that was done to them here;"
        super().__init__(f"{code}: split its {pieces} pieces", [f"{said} the finish used is shared out."])
        self._code, self._part, self._stages = code, part, stages

    def fields(self) -> ComposeResult:
        """Pieces, code, tacky to, note."""
        yield Static("pieces that go", classes="label", markup=False)
        yield Input(placeholder="3", id="pieces")
        yield Static("code of the new batch", classes="label", markup=False)
        yield Input(self._part, id="code")
        if self._stages:
            yield Static("found tacky just now, for (may stay empty)", classes="label", markup=False)
            yield Select([(stage.words, stage) for stage in self._stages], prompt="not tested", id="tacky")
        yield Static("note (may stay empty)", classes="label", markup=False)
        yield Input(placeholder="the ones near the window", id="note")

    def on_mount(self) -> None:
        """Begin at the pieces."""
        self.query_one("#pieces", Input).focus()

    def answer(self) -> SplitDraft:
        """The split."""
        text = self.text_of("pieces")
        if not (text.isascii() and text.isdigit() and len(text) <= 5):
            raise BadInput("pieces that go", text, "a whole number of pieces")
        tacky = self.query_one("#tacky", Select).value if self._stages else None
        stage = tacky if isinstance(tacky, Stage) else None
        return SplitDraft(self._code, int(text), self.text_of("code"), stage, self.text_of("note"))
