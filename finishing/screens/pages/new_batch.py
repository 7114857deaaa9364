"""A new batch, by form, with what it will take shown while it is typed. Writes nothing itself."""

from __future__ import annotations

from contextlib import suppress
from typing import ClassVar

from rich.text import Text
from textual.app import ComposeResult
from textual.suggester import Suggester
from textual.widgets import Select

from finishing.clock import Clock, now_hour
from finishing.errors import BadInput, FinishingError
from finishing.exchange.plain import plain
from finishing.moments import parse_day
from finishing.screens.pages.card import Card, Line, Pick
from finishing.shop import batches, woods
from finishing.shop.drafts import NewBatchDraft
from finishing.shop.forms import parse_piece_size, parse_pieces, parse_priority, parse_woods
from finishing.shop.shop import Shop


class WoodSuggester(Suggester):
    """Offers the rest of a wood's name; the right arrow takes it."""

    def __init__(self, shop: Shop) -> None:
        super().__init__(use_cache=False, case_sensitive=True)
        self._shop = shop

    async def get_suggestion(self, value: str) -> str | None:
        """The line with its last name written out."""
        return woods.completed(self._shop, value)


class NewBatch(Card[NewBatchDraft]):
    """The form. Tab and shift-tab move, enter in a field or the button adds the batch."""

    TITLE_WORDS = "New batch"
    DONE_WORDS = "Add batch"
    FIELDS: ClassVar[dict[str, str]] = {"species": "woods", "wanted by": "wanted", "size (length)": "size"}
    CSS = """
    NewBatch.-narrow #card { width: 96%; }
    NewBatch .line .name { width: 22; }
    NewBatch .line #schedule, NewBatch .line #schedule SelectCurrent { height: auto; }
    NewBatch #preview { margin: 0; }
    """

    def __init__(self, shop: Shop, clock: Clock = now_hour) -> None:
        super().__init__()
        self.shop = shop
        self.clock = clock

    def lines(self) -> ComposeResult:
        """What they are, how many, of what; by which schedule, where, till when."""
        schedules = [(Text(plain(s.title)), s.name) for s in self.shop.library.schedules()]
        places = [(Text(plain(p.name)), p.name) for p in self.shop.places()]
        unit = "12x8x3/4in" if self.shop.settings.units == "imperial" else "300x200x18"
        yield Line("what they are", "what", "", "such as trays")
        yield Line("pieces", "pieces", "", "such as 12")
        yield Line("size of one", "size", "", f"such as {unit}, or round 100x9")
        yield Line("woods, main one first", "woods", "", "such as maple, padauk 20%", WoodSuggester(self.shop))
        first = places[0][1] if places else Select.NULL
        yield Pick("place", Select(places, id="place", value=first, prompt="where they dry"))
        yield Pick("schedule", Select(schedules, id="schedule", prompt="choose a finishing schedule"))
        yield Line("wanted by", "wanted", "", "such as saturday or 19 Dec; may stay empty")
        yield Line("priority, 0 to 9", "priority", "", "0; with 2 each day late counts 3 times")

    def preview(self) -> str:
        """What the batch comes to, as far as the fields are filled in rightly; what the woods ask for, sooner."""
        said = woods.remarks(self.shop, self.text("woods")) if self.text("woods") else []
        with suppress(FinishingError):
            said += batches.preview(self.shop, self.draft(), self.clock())
        return "\n".join(said)

    def made(self) -> NewBatchDraft:
        """The batch. BadInput naming the first field that is not right."""
        draft = self.draft()
        batches.check(self.shop, draft)
        return draft

    def draft(self) -> NewBatchDraft:
        """The form's content. BadInput naming the first field that is not right."""
        value = {id: self.text(id) for id in TYPED}
        wanted, size = value["wanted"], value["size"]
        settings = self.shop.settings
        return NewBatchDraft(
            what=value["what"],
            pieces=parse_pieces(value["pieces"]),
            schedule=self._chosen("schedule"),
            place=self._chosen("place"),
            woods=parse_woods(value["woods"]),
            size=parse_piece_size(size, settings.units) if size else None,
            wanted_by=parse_day(wanted, "wanted by", settings.zone, self.clock(), settings.working_hours().morning)
            if wanted
            else None,
            priority=parse_priority(value["priority"] or "0"),
        )

    def _chosen(self, field: str) -> str:
        value = self.query_one(f"#{field}", Select).value
        if not isinstance(value, str):
            raise BadInput(field, None, f"a {field} from the list")
        return value


TYPED = ("what", "pieces", "size", "woods", "wanted", "priority")
