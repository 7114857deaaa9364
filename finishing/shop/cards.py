"""Cards and records of batches, printed: what they say is worked out here, how they look in `exchange.paper`."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from finishing.clock import at_zone
from finishing.cure.cautions import FOR_THE_OWNER
from finishing.cure.forecast import Forecast, StepAhead
from finishing.cure.terms import Hazard, Release, StepKind
from finishing.errors import BadInput
from finishing.exchange.files import write_private
from finishing.shop import card_words
from finishing.shop.shop import Shop, Standing
from finishing.shop.trace import BatchTraced, CoatTraced, trace
from finishing.shop.trace_views import where_words
from finishing.shop.window_words import matters
from finishing.shop.words import RELEASE_WORDS, size_words, step_words
from finishing.units import show_temperature, show_volume

if TYPE_CHECKING:
    from finishing.exchange.paper.care import CareCard
    from finishing.exchange.paper.rack import RackCard
    from finishing.exchange.paper.record import RecordSheet
    from finishing.exchange.paper.sheet import Draw, Pen

SIZES, SHEETS = ("A6", "4x6"), ("A4", "letter")
KINDS = ("rack", "care", "record")
Progress = Callable[[int, int], None]

MOST = 500
"""Cards in one file at most."""


@dataclass(frozen=True, slots=True)
class CardDraft:
    """Cards to print. sheet: several on one of these, cards on pages of their own size without. copies: of each."""

    kind: str
    codes: tuple[str, ...]
    size: str = "A6"
    sheet: str | None = None
    copies: int = 1


@dataclass(frozen=True, slots=True)
class Printed:
    """A file of cards: how many, on how many pages; signs that no font has, and texts that did not fit.

    open_dates: batches whose care card has no date yet, and how many coats are to come. dates: the day on the card of
    the others. surer: that these are surer than the shop's other dates, in words.
    """

    file: Path
    cards: int
    pages: int
    unprintable: tuple[str, ...]
    cut: tuple[str, ...]
    open_dates: tuple[tuple[str, int], ...] = ()
    dates: tuple[tuple[str, dt.date], ...] = ()
    surer: str = ""


@dataclass(frozen=True, slots=True)
class Worded:
    """Cards as they will be printed, in words: nothing on them needs the shop any more."""

    draft: CardDraft
    made_at: float
    contents: tuple[RackCard | CareCard | RecordSheet, ...]
    open_dates: tuple[tuple[str, int], ...] = ()
    dates: tuple[tuple[str, dt.date], ...] = ()
    surer: str = ""


def print_cards(shop: Shop, draft: CardDraft, file: Path, now: float) -> Printed:
    """Write a PDF; in place of an older one. NotFound for an unknown batch, BadInput where it can't be written."""
    return draw_cards(word_cards(shop, draft, now), file)


def word_cards(shop: Shop, draft: CardDraft, now: float) -> Worded:
    """What the cards say, as of now: quick. NotFound for an unknown batch, BadInput for too many cards."""
    from finishing.exchange.paper.care import CareCard

    if draft.copies * len(draft.codes) > MOST:
        raise BadInput("copies", draft.copies, f"no more than {MOST} cards in all")
    kinds: dict[str, Callable[[Shop, Standing, float], RackCard | CareCard | RecordSheet]]
    kinds = {"rack": rack, "care": care, "record": record}
    says = kinds[draft.kind]
    standings = [shop.standing(code, now) for code in draft.codes]
    contents = tuple(says(shop, standing, now) for standing in standings)
    undated = {
        standing.row.code: card_words.coats_to_come(standing, now)
        for standing, said in zip(standings, contents, strict=True)
        if isinstance(said, CareCard) and said.by_hand
    }
    dates = {
        standing.row.code: said.day
        for standing, said in zip(standings, contents, strict=True)
        if isinstance(said, CareCard) and said.day is not None
    }
    surer = card_words.surer_words(shop.settings.level) if dates else ""
    return Worded(draft, now, contents, tuple(undated.items()), tuple(dates.items()), surer)


def draw_cards(worded: Worded, file: Path, progress: Progress | None = None) -> Printed:
    """Draw them and write the PDF: takes its time, and asks no shop. BadInput where it can't be written.

    progress: called with cards drawn and in all; what it raises stops the work with nothing written.
    """
    from finishing.exchange.paper.sheet import SHEETS as SHEET_SIZES
    from finishing.exchange.paper.sheet import SIZES as CARD_SIZES
    from finishing.exchange.paper.sheet import Pen, lay

    draft = worded.draft
    made = dt.datetime.fromtimestamp(round(worded.made_at * 3600), tz=dt.UTC)
    pen = Pen(made, f"{draft.kind}: {', '.join(draft.codes)}")
    whole = draft.kind == "record"
    size = SHEET_SIZES[draft.sheet or "A4"] if whole else CARD_SIZES[draft.size]
    sheet = SHEET_SIZES[draft.sheet] if draft.sheet is not None and not whole else None

    def cards() -> list[Draw]:
        return [card for said in worded.contents for card in _drawn(pen, said, size) * draft.copies]

    count = lay(pen, cards, size, sheet, progress)
    body = pen.bytes()
    write_private(file, body, "file", b"%PDF")
    missing, cut = tuple(pen.type.missing), tuple(pen.cut)
    return Printed(file, count, pen.pdf.page_no(), missing, cut, worded.open_dates, worded.dates, worded.surer)


def _drawn(pen: Pen, said: RackCard | CareCard | RecordSheet, size: tuple[float, float]) -> list[Draw]:
    from finishing.exchange.paper.care import CareCard, care_card
    from finishing.exchange.paper.rack import RackCard, rack_cards
    from finishing.exchange.paper.record import record_sheet

    if isinstance(said, RackCard):
        return rack_cards(pen, said, size[1], size[0])
    return [care_card(said) if isinstance(said, CareCard) else record_sheet(said)]


def _day(hour: float, zone: str) -> str:
    return at_zone(hour, zone).format("ddd D MMM HH:mm")


def _foot(shop: Shop, now: float) -> str:
    maker = f"{shop.settings.maker}, " if shop.settings.maker else ""
    invented = " An invented shop." if shop.invented else ""
    return f"{maker}printed {at_zone(now, shop.settings.zone).format('D MMMM YYYY, HH:mm')}.{invented}"


def rack(shop: Shop, standing: Standing, now: float) -> RackCard:
    """What a rack card says of a batch."""
    from finishing.exchange.paper.rack import RackCard, StepLine

    row, zone = standing.row, shop.settings.zone
    ahead = standing.ahead(now)
    wanted = "" if row.wanted_by is None else f", wanted by {_day(row.wanted_by, zone)}"
    facts = [card_words.woods_words(standing), standing.batch.schedule.title, f"{standing.fold.place}{wanted}"]
    earliest = {step.position: step for step in ahead.ahead}
    steps = []
    for state in standing.progress(now).steps:
        words = step_words(standing.batch.schedule, state.position)
        if state.done:
            at = "" if state.at is None else _day(state.at, zone)
            steps.append(StepLine(words, "taken as done" if state.taken else f"done {at}".strip(), True))
        else:
            steps.append(
                StepLine(words, _due(standing, ahead, earliest.get(state.position), state.position, zone), False)
            )
    return RackCard(
        row.code, f"{row.what} ×{row.pieces}", tuple(facts), tuple(steps), card_words.rack_cautions(standing),
        f"{_foot(shop, now)} Times as expected then.",
    )  # fmt: skip


def _due(standing: Standing, ahead: Forecast, step: StepAhead | None, position: int, zone: str) -> str:
    """When a step may be done: from its earliest, and before the window of the coat below shuts."""
    schedule = standing.batch.schedule
    if step is None:
        waits = schedule.steps[position]
        return f"{waits.hours:g} h" if waits.hours else "as long as it takes" if ahead.stopped is None else "no date"
    said = f"from {_day(step.at, zone)}"
    if schedule.steps[position].kind is StepKind.COAT:
        below = [c for c in ahead.coats if c.step < position]
        topmost = [(next((c for c in reversed(below) if side in c.face.sides), None), side)
                   for side in schedule.steps[position].face.sides]  # fmt: skip
        shuts = min((c.window.shuts for c, side in topmost if c is not None and c.window.shuts is not None
                     and matters(standing.fold, c, side)), default=None)  # fmt: skip
        if step.abrade_first:
            said += ", abrade first"
        elif shuts is not None and shuts > step.at:
            said += f", before {_day(shuts, zone)}"
    return said


def care(shop: Shop, standing: Standing, now: float) -> CareCard:
    """What a care card says of a piece. BadInput where no coat is on and none can be expected."""
    from finishing.exchange.paper.care import CareCard

    zone = shop.settings.zone
    left = standing.fold.next(now) is not None and standing.fold.closed is None
    ahead = standing.ahead(now)
    coats = ahead.coats if left else tuple(standing.fold.coats)
    schedule = standing.batch.schedule
    names = (
        [c.finish.name for c in coats] if not left else [schedule.steps[i].finish or "" for i in schedule.coat_steps]
    )
    if not names:
        raise BadInput("batch", standing.row.code, "a batch with a coat on it")
    finishes = [standing.batch.finishes[name] for name in names]
    dated = () if ahead.stopped is not None else coats
    # A card is a promise to a customer: no date that holds only if every coat to come goes on as soon as it may.
    day = card_words.card_day(dated, zone)
    by_hand = card_words.coats_to_come(standing, now) > 0 and day is not None
    until = card_words.BEFORE if by_hand else card_words.until_words(day, left)
    foot = f"{standing.row.code}. {_foot(shop, now)}"
    title = standing.row.what[:1].upper() + standing.row.what[1:]
    return CareCard(
        title, card_words.woods_words(standing), until, tuple(card_words.care_parts(standing, finishes)), foot, by_hand,
        None if by_hand else day,
    )  # fmt: skip


def record(shop: Shop, standing: Standing, now: float) -> RecordSheet:
    """What a record sheet says of a batch."""
    from finishing.exchange.paper.record import RecordSheet

    found = trace(shop, standing.row.code, now, "batch")
    assert isinstance(found, BatchTraced)
    row, settings, p = standing.row, shop.settings, standing.progress(now)
    zone = settings.zone
    facts = [
        ("woods", ", ".join(f"{wood.species} {wood.share * 100:.0f} %" for wood in row.woods)),
        ("schedule", f"{standing.batch.schedule.title} ({row.schedule})"),
        ("added" if found.begun is None else "begun", _day(found.begun or row.created_at, zone)),
        ("now", where_words(found.where, zone, now)),
    ]
    if row.size is not None:
        facts.insert(1, ("size", size_words(row.size, settings.units)))
    for release in Release:
        when = p.said.get(release, p.releases[release])
        said = " (said by its maker)" if release in p.said else ""
        facts.append((RELEASE_WORDS[release], "not known yet" if when is None else f"from {_day(when, zone)}{said}"))
    if row.note:
        facts.append(("note", row.note))
    others = tuple((_day(o.at, zone), o.words, o.maker) for o in found.others)
    cautions = (FOR_THE_OWNER[Hazard.FOOD].text,) if found.coats else ()
    return RecordSheet(
        row.code, f"{row.what} ×{row.pieces}", tuple(facts), tuple(_coat_cells(shop, c) for c in found.coats), others,
        f"finishing trace {row.code}", cautions, _foot(shop, now),
    )  # fmt: skip


def _coat_cells(shop: Shop, coat: CoatTraced) -> tuple[str, ...]:
    settings = shop.settings
    can = "not said" if coat.can is None else f"can {coat.can}{f', {coat.lot}' if coat.lot else ''}"
    amount = "" if coat.amount_ml is None else show_volume(coat.amount_ml, settings.units)
    side = "" if coat.face == "both" else f" {coat.face}"
    return (
        f"{coat.coat}{side}", coat.title, can, amount, _day(coat.at, settings.zone), coat.maker,
        _air(shop, coat.applied), _dried(shop, coat),
    )  # fmt: skip


def _air(shop: Shop, air: tuple[float, float | None] | None) -> str:
    if air is None:
        return "not read"
    damp = "" if air[1] is None else f", {air[1]:.0f} %"
    return f"{show_temperature(air[0], shop.settings.units)}{damp}"


def _dried(shop: Shop, coat: CoatTraced) -> str:
    air = coat.drying.air
    if air.temperature_c is None:
        return "not read"
    low, _, high = (show_temperature(v, shop.settings.units) for v in air.temperature_c)
    damp = "" if air.humidity_pct is None else f", {air.humidity_pct[0]:.0f} to {air.humidity_pct[2]:.0f} %"
    return f"{low} to {high}{damp}"
