"""A new batch, by form, with what it will take shown while it is typed. Writes nothing itself."""

from __future__ import annotations

from typing import ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Button, Input, Select, Static

from finishing.clock import Clock, now_hour
from finishing.errors import BadInput, FinishingError
from finishing.exchange.plain import plain
from finishing.moments import parse_wanted
from finishing.shop import batches
from finishing.shop.drafts import NewBatchDraft
from finishing.shop.forms import parse_piece_size, parse_pieces, parse_woods
from finishing.shop.shop import Shop


class NewBatch(ModalScreen[NewBatchDraft | None]):
    """The form. Tab and shift-tab move, enter in a field or the button adds the batch."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "leave", "Leave it")]

    def __init__(self, shop: Shop, clock: Clock = now_hour) -> None:
        super().__init__()
        self.shop = shop
        self.clock = clock

    def compose(self) -> ComposeResult:
        """Fields above, what it comes to below."""
        schedules = [(Text(f"{s.title}"), s.name) for s in self.shop.library.schedules()]
        places = [(Text(plain(p.name)), p.name) for p in self.shop.places()]
        unit = "12x8x3/4in" if self.shop.settings.units == "imperial" else "300x200x18"
        with VerticalScroll(id="card", can_focus=False):
            yield Static("New batch", classes="title", markup=False)
            yield from self._field("what they are", "what", "trays")
            yield from self._field("pieces", "pieces", "12")
            yield from self._field("size of one", "size", f"{unit}, or round 100x9")
            yield from self._field("woods, main one first", "woods", "maple, padauk 20%")
            yield Static("schedule", classes="label", markup=False)
            yield Select(schedules, id="schedule", prompt="choose a finishing schedule")
            yield Static("place", classes="label", markup=False)
            first = places[0][1] if places else Select.NULL
            yield Select(places, id="place", value=first, prompt="where they dry")
            yield from self._field("wanted by (may stay empty)", "wanted", "2026-12-19")
            yield Static("", id="preview", markup=False)
            with Horizontal(classes="buttons"):
                yield Button("Add batch", id="add", variant="primary")
                yield Button("Leave it (esc)", id="leave")
            yield Static("", id="problem", markup=False)

    @staticmethod
    def _field(label: str, id: str, example: str) -> ComposeResult:
        yield Static(label, classes="label", markup=False)
        yield Input(placeholder=example, id=id)

    def on_mount(self) -> None:
        """Begin at the top."""
        self.query_one("#what", Input).focus()

    @on(Input.Changed)
    @on(Select.Changed)
    def preview(self) -> None:
        """Say what the batch comes to, as far as the fields are filled in rightly."""
        shown = self.query_one("#preview", Static)
        try:
            lines = batches.preview(self.shop, self.draft(), self.clock())
        except FinishingError:
            shown.update("")
        else:
            shown.update(Text(plain_lines(lines)))

    @on(Button.Pressed, "#leave")
    def action_leave(self) -> None:
        """Leave without adding."""
        self.dismiss(None)

    @on(Button.Pressed, "#add")
    @on(Input.Submitted)
    def add(self) -> None:
        """Hand back the batch, or say what is wrong with a field."""
        try:
            draft = self.draft()
            batches.check(self.shop, draft)
        except FinishingError as problem:
            self.query_one("#problem", Static).update(Text(plain(str(problem))))
        else:
            self.dismiss(draft)

    def draft(self) -> NewBatchDraft:
        """The form's content. BadInput naming the first field that is not right."""
        value = {field: self.query_one(f"#{field}", Input).value.strip() for field in FIELDS}
        wanted, size = value["wanted"], value["size"]
        zone, units = self.shop.settings.zone, self.shop.settings.units
        return NewBatchDraft(
            what=value["what"],
            pieces=parse_pieces(value["pieces"]),
            schedule=self._chosen("schedule"),
            place=self._chosen("place"),
            woods=parse_woods(value["woods"]),
            size=parse_piece_size(size, units) if size else None,
            wanted_by=parse_wanted(wanted, "wanted by", zone, self.clock()) if wanted else None,
        )

    def _chosen(self, field: str) -> str:
        value = self.query_one(f"#{field}", Select).value
        if not isinstance(value, str):
            raise BadInput(field, "nothing", f"a {field} from the list")
        return value


FIELDS = ("what", "pieces", "size", "woods", "wanted")


def plain_lines(lines: list[str]) -> str:
    """Lines made harmless, one below the other."""
    return "\n".join(plain(line) for line in lines)
