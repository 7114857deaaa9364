"""Changing what a batch is: its form as it stands, to be written over."""

from __future__ import annotations

from typing import ClassVar

from rich.text import Text
from textual.app import ComposeResult
from textual.widgets import Select

from finishing.clock import Clock, at_zone
from finishing.cure.work import Shape, Size
from finishing.exchange.plain import plain
from finishing.moments import parse_day
from finishing.screens.pages.card import Card, Line, Pick
from finishing.screens.pages.new_batch import WoodSuggester
from finishing.shop.drafts import BatchChange
from finishing.shop.forms import parse_piece_size, parse_pieces, parse_priority, parse_woods
from finishing.shop.shop import Shop, Standing
from finishing.units import show_length


class ChangeCard(Card[BatchChange]):
    """What a batch is. What is left as it stands is not changed."""

    DONE_WORDS = "Change it"
    FIELDS: ClassVar[dict[str, str]] = {"species": "woods", "wanted by": "wanted", "size (length)": "size"}
    CSS = """
    ChangeCard.-narrow #card { width: 96%; }
    ChangeCard .line #schedule, ChangeCard .line #schedule SelectCurrent { height: auto; }
    """

    def __init__(self, shop: Shop, standing: Standing, clock: Clock) -> None:
        super().__init__()
        self._shop, self._standing, self._clock = shop, standing, clock
        row, settings = standing.row, shop.settings
        wanted = "" if row.wanted_by is None else at_zone(row.wanted_by, settings.zone).format("YYYY-MM-DD HH:mm")
        self._was = {
            "what": row.what,
            "pieces": str(row.pieces),
            "size": "" if row.size is None else size_typed(row.size, settings.units),
            "woods": ", ".join(f"{wood.species} {wood.share * 100:.6g}%" for wood in row.woods),
            "wanted": wanted,
            "priority": str(row.priority),
            "note": row.note,
        }

    def title_words(self) -> str:
        """Of which batch."""
        return f"{self._standing.row.code}: what it is"

    def lines(self) -> ComposeResult:
        """Every field as it stands; the schedule while no coat is on."""
        was = self._was
        yield Line("what they are", "what", was["what"], "such as trays")
        yield Line("pieces", "pieces", was["pieces"], "such as 12")
        yield Line("size of one", "size", was["size"], "empty: not known")
        yield Line(
            "woods, main one first", "woods", was["woods"], "such as maple, padauk 20%", WoodSuggester(self._shop)
        )
        if not self._standing.fold.coats:
            names = {s.name: s.title for s in self._shop.library.schedules()}
            names.setdefault(self._standing.row.schedule, self._standing.batch.schedule.title)
            options = [(Text(plain(title)), name) for name, title in names.items()]
            chooser = Select(options, value=self._standing.row.schedule, allow_blank=False, id="schedule")
            yield Pick("schedule", chooser)
        yield Line("wanted by", "wanted", was["wanted"], "empty: no date")
        yield Line("priority, 0 to 9", "priority", was["priority"], "0; with 2 each day late counts 3 times")
        yield Line("note", "note", was["note"])

    def made(self) -> BatchChange:
        """What was written over. BadInput naming the first field that is not right."""
        now, settings = self._clock(), self._shop.settings
        new = {name: text for name in self._was if (text := self.text(name)) != plain(self._was[name]).strip()}
        size, wanted = new.get("size"), new.get("wanted")
        morning = settings.working_hours().morning
        chosen = next((one.value for one in self.query("#schedule").results(Select)), None)
        same = not isinstance(chosen, str) or chosen == self._standing.row.schedule
        return BatchChange(
            dated=wanted is not None,
            wanted_by=parse_day(wanted, "wanted by", settings.zone, now, morning) if wanted else None,
            priority=parse_priority(new["priority"] or "0") if "priority" in new else None,
            what=new.get("what"),
            pieces=parse_pieces(new["pieces"]) if "pieces" in new else None,
            sized=size is not None,
            size=parse_piece_size(size, settings.units) if size else None,
            woods=parse_woods(new["woods"]) if "woods" in new else None,
            schedule=None if same else str(chosen),
            note=new.get("note"),
        )


def size_typed(size: Size, system: str) -> str:
    """A size as it can be typed."""
    sides = [size.width_mm, size.thickness_mm] if size.shape is Shape.ROUND else []
    sides = sides or [size.length_mm, size.width_mm, size.thickness_mm]
    shown = " x ".join(show_length(mm, system) for mm in sides)
    return f"round {shown}" if size.shape is Shape.ROUND else shown
