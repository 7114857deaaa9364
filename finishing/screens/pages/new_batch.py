"""A new batch, by form, with what it will take shown while it is typed. Writes nothing itself."""

from __future__ import annotations

from rich.text import Text
from textual.app import ComposeResult
from textual.widgets import Select, Static

from finishing.clock import Clock, now_hour
from finishing.errors import BadInput
from finishing.exchange.plain import plain
from finishing.moments import parse_wanted
from finishing.screens.pages.card import Card, field
from finishing.shop import batches
from finishing.shop.drafts import NewBatchDraft
from finishing.shop.forms import parse_piece_size, parse_pieces, parse_priority, parse_woods
from finishing.shop.shop import Shop


class NewBatch(Card[NewBatchDraft]):
    """The form. Tab and shift-tab move, enter in a field or the button adds the batch."""

    TITLE_WORDS = "New batch"
    DONE_WORDS = "Add batch"

    def __init__(self, shop: Shop, clock: Clock = now_hour) -> None:
        super().__init__()
        self.shop = shop
        self.clock = clock

    def lines(self) -> ComposeResult:
        """What they are, how many, of what; by which schedule, where, till when."""
        schedules = [(Text(plain(s.title)), s.name) for s in self.shop.library.schedules()]
        places = [(Text(plain(p.name)), p.name) for p in self.shop.places()]
        unit = "12x8x3/4in" if self.shop.settings.units == "imperial" else "300x200x18"
        yield from field("what they are", "what", "trays")
        yield from field("pieces", "pieces", "12")
        yield from field("size of one", "size", f"{unit}, or round 100x9")
        yield from field("woods, main one first", "woods", "maple, padauk 20%")
        yield Static("schedule", classes="label", markup=False)
        yield Select(schedules, id="schedule", prompt="choose a finishing schedule")
        yield Static("place", classes="label", markup=False)
        first = places[0][1] if places else Select.NULL
        yield Select(places, id="place", value=first, prompt="where they dry")
        yield from field("wanted by (may stay empty)", "wanted", "2026-12-19")
        yield from field("priority, 0 to 9: how much more a day late counts", "priority", "0")

    def preview(self) -> str:
        """What the batch comes to, as far as the fields are filled in rightly."""
        return "\n".join(batches.preview(self.shop, self.draft(), self.clock()))

    def made(self) -> NewBatchDraft:
        """The batch. BadInput naming the first field that is not right."""
        draft = self.draft()
        batches.check(self.shop, draft)
        return draft

    def draft(self) -> NewBatchDraft:
        """The form's content. BadInput naming the first field that is not right."""
        value = {id: self.text(id) for id in FIELDS}
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
            priority=parse_priority(value["priority"] or "0"),
        )

    def _chosen(self, field: str) -> str:
        value = self.query_one(f"#{field}", Select).value
        if not isinstance(value, str):
            raise BadInput(field, "nothing", f"a {field} from the list")
        return value


FIELDS = ("what", "pieces", "size", "woods", "wanted", "priority")
