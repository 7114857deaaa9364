"""The card that says what is compared."""

from __future__ import annotations

from dataclasses import replace

from textual.app import ComposeResult
from textual.widgets import Select

from finishing.clock import at_zone
from finishing.cure.work import Shape, Size
from finishing.exchange.plain import plain
from finishing.moments import parse_day
from finishing.screens.pages.card import Card, Line, Pick
from finishing.shop.forms import parse_piece_size, parse_pieces, parse_woods
from finishing.shop.plan.compared import Wanted
from finishing.shop.settings import Settings


class AskCard(Card[Wanted]):
    """Pieces, woods, size, date and place."""

    TITLE_WORDS = "What is to be finished?"
    DONE_WORDS = "Compare"

    def __init__(self, wanted: Wanted | None, places: list[str], settings: Settings, now: float) -> None:
        """wanted: what was asked before."""
        super().__init__()
        self._before, self._places, self._settings, self._now = wanted, places, settings, now

    def lines(self) -> ComposeResult:
        """What was asked before stands there."""
        before, imperial = self._before, self._settings.units == "imperial"
        yield Line("pieces", "pieces", "" if before is None else str(before.pieces), "such as 30")
        yield Line("woods, main one first", "woods", woods_text(before), "such as maple, padauk 20%")
        example = "12x8x3/4in" if imperial else "320x220x12"
        yield Line("size of one", "size", size_text(before), f"such as {example}; empty: no amounts or costs of finish")
        by = by_text(before, self._settings.zone)
        yield Line("wanted by", "by", by, "such as saturday or 19 Dec; may stay empty")
        chosen = "" if before is None or before.place not in self._places else before.place
        options = [("where most batches stand", ""), *((plain(name), name) for name in self._places)]
        yield Pick("they dry in", Select(options, value=chosen, allow_blank=False, id="place"))

    def made(self) -> Wanted:
        """The question. BadInput naming the field that is not right."""
        settings, by, size = self._settings, self.text("by"), self.text("size")
        before = self._before or Wanted((), 1, ())
        place = self.query_one("#place", Select).value
        return replace(
            before,
            pieces=parse_pieces(self.text("pieces")),
            woods=parse_woods(self.text("woods")),
            size=parse_piece_size(size, settings.units) if size else None,
            by=parse_day(by, "wanted by", settings.zone, self._now, settings.working_hours().morning) if by else None,
            place=place if isinstance(place, str) else "",
            instead="",
        )


def woods_text(wanted: Wanted | None) -> str:
    """Woods as they are typed."""
    if wanted is None:
        return ""
    return ", ".join(f"{name} {round(share * 100, 1):g}%" if share else name for name, share in wanted.woods)


def size_text(wanted: Wanted | None) -> str:
    """A size as it is typed, in millimetres."""
    if wanted is None or wanted.size is None:
        return ""
    return size_words(wanted.size)


def size_words(size: Size) -> str:
    """A size that reads back as itself."""
    if size.shape is Shape.ROUND:
        return f"round {size.length_mm:g}x{size.thickness_mm:g}mm"
    return f"{size.length_mm:g}x{size.width_mm:g}x{size.thickness_mm:g}mm"


def by_text(wanted: Wanted | None, zone: str) -> str:
    """A date as it is typed."""
    return "" if wanted is None or wanted.by is None else at_zone(wanted.by, zone).format("YYYY-MM-DD HH:mm")
