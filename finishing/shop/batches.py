"""Batches: added, looked over before they are, and listed."""

from __future__ import annotations

import re

from finishing.clock import at_zone
from finishing.cure.film import amount_ml
from finishing.cure.forecast import forecast
from finishing.cure.schedule import Schedule
from finishing.cure.terms import Release
from finishing.cure.work import Batch
from finishing.errors import BadInput
from finishing.library import freeze
from finishing.shop import cans
from finishing.shop.drafts import NewBatchDraft
from finishing.shop.learning.paces import paced, paces
from finishing.shop.passes import pass_of
from finishing.shop.shop import Shop
from finishing.shop.words import RELEASE_WORDS, short_time
from finishing.store import batches as stored
from finishing.store import frozen as stored_frozen
from finishing.store.batches import BatchRow, NewBatch, Wood
from finishing.units import counted, show_area, show_duration, show_volume, show_work

CODE = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,23}")
LONGEST_NAME = 200


def added_words(draft: NewBatchDraft, code: str) -> str:
    """What `begin_batch` put on record, by the code it gave."""
    return f"{code}: {draft.what} ×{draft.pieces}, on record"


def begin_batch(shop: Shop, draft: NewBatchDraft, now: float) -> str:
    """Put a batch on record with a frozen copy of its schedule, finishes and woods. Returns its code."""
    schedule, woods = check(shop, draft)
    text = freeze(schedule, shop.library.finishes_of(schedule), [shop.library.species(n) for n, _ in woods],
                  shop.library.classes)  # fmt: skip
    with shop.store.write() as w:
        code = draft.code or next_code(stored.codes(w), at_zone(now, shop.settings.zone).year)
        new = NewBatch(
            code=code,
            what=draft.what,
            pieces=draft.pieces,
            woods=tuple(Wood(name, share) for name, share in woods),
            schedule=schedule.name,
            frozen_key=stored_frozen.freeze(w, text),
            place=draft.place,
            size=draft.size,
            wanted_by=draft.wanted_by,
            note=draft.note,
            priority=draft.priority,
        )
        stored.create(w, new, now)
        w.commit()
    shop.forget()
    return code


def closed_batches(shop: Shop, now: float) -> tuple[BatchRow, ...]:
    """Every batch that has left the bench, by code, without its record."""
    with shop.store.read() as r:
        return stored.closed_between(r, 0.0, now + 1.0, records=False)


def check(shop: Shop, draft: NewBatchDraft) -> tuple[Schedule, list[tuple[str, float]]]:
    """The schedule and the woods under their own names with shares that come to 1. BadInput, NotFound otherwise."""
    if not draft.what.strip() or len(draft.what) > LONGEST_NAME:
        raise BadInput("what", draft.what[:40], f"what the pieces are, in 1 to {LONGEST_NAME} characters")
    if draft.code and not CODE.fullmatch(draft.code):
        raise BadInput("code", draft.code[:40], "1 to 24 letters, digits, dots, dashes or underscores")
    schedule = shop.library.schedule(draft.schedule)
    shop.place(draft.place)
    return schedule, shares([(shop.library.species(name).name, share) for name, share in draft.woods])


def shares(woods: list[tuple[str, float]]) -> list[tuple[str, float]]:
    """Woods each once, with shares that come to 1: what is not said for is shared out evenly."""
    together: dict[str, float] = {}
    for name, share in woods:
        together[name] = together.get(name, 0.0) + share
    silent = [name for name, share in together.items() if share == 0.0]
    left = 1.0 - sum(together.values())
    if silent and left <= 1e-9:
        raise BadInput("woods", ", ".join(silent), "a share left over for it; the others take all of the piece")
    for name in silent:
        together[name] = left / len(silent)
    total = sum(together.values())
    return [(name, share / total) for name, share in together.items()]


def next_code(codes: tuple[str, ...], year: int) -> str:
    """The next free code of a year: 26-001, 26-002, ..."""
    prefix = f"{year % 100:02d}-"
    numbers = [int(c[len(prefix) :]) for c in codes if c.startswith(prefix) and c[len(prefix) :].isdigit()]
    return f"{prefix}{max(numbers, default=0) + 1:03d}"


def preview(shop: Shop, draft: NewBatchDraft, now: float) -> list[str]:
    """What a batch would come to: finish, cost, hands-on time, and when it could be ready, begun now."""
    schedule, woods = check(shop, draft)
    finishes = shop.library.finishes_of(schedule)
    species = tuple(shop.library.species(name) for name, _ in woods)
    rack = shop.rack(now)
    place = shop.place(draft.place)
    batch = Batch("new", schedule, finishes, species, shop.library.classes, place.name, draft.pieces, draft.size)
    learned = rack.learned.factors(finishes.values())
    ahead = forecast(batch, [], rack.air, learned, now, level=rack.settings.level)
    hands = hands_words(paced(schedule, paces(shop)), draft.pieces)
    lines = [
        hands + _area_words(batch, rack.settings.units),
        *_finish_words(shop, batch),
    ]
    if place.rack_pieces is not None and draft.pieces > place.rack_pieces:
        lines.append(f"! the rack in {place.name} has room for {place.rack_pieces}: each coat goes on in parts")
    for release in (Release.PACK, Release.USE):
        when = ahead.releases[release]
        said = "no date" if when is None else f"from {short_time(when, rack.settings.zone, now)} at the earliest"
        if release is Release.PACK and when is not None and draft.wanted_by is not None and when > draft.wanted_by:
            said += f": {show_duration(when - draft.wanted_by)} too late"
        lines.append(f"{RELEASE_WORDS[release]}{':' if when is None else ''} {said}")
    if ahead.stopped is not None:
        lines.append(
            "oily wood under this finish: seal or test first" if ahead.coats else "it stands still in this air"
        )
    return lines


def hands_on_minutes(schedule: Schedule, pieces: int) -> float:
    """Minutes of hands' work a schedule takes for so many pieces, set-ups included."""
    return sum(step.setup_minutes + step.minutes_per_piece * pieces for step in schedule.steps)


def hands_words(schedule: Schedule, pieces: int) -> str:
    """The hands' work in words."""
    coats = counted(schedule.coats, "coat")
    return f"{coats}, about {show_work(hands_on_minutes(schedule, pieces))} of hands' work"


def _area_words(batch: Batch, units: str) -> str:
    """What is coated, and in what passes where wiping or mixed finish hurries."""
    area = batch.area_m2()
    found = next((one for i in batch.schedule.coat_steps if (one := pass_of(batch, i)) is not None), None)
    said = "" if area is None else f"; {show_area(area, units)}"
    return said + ("" if found is None or found.pieces >= batch.pieces else f", in passes of {found.pieces}")


def _finish_words(shop: Shop, batch: Batch) -> list[str]:
    """How much of each finish the whole schedule takes, and what it costs where a can has a price."""
    if batch.size is None:
        return ["no size given: amounts of finish are not known"]
    needed: dict[str, float] = {}
    for i in batch.schedule.coat_steps:
        step = batch.schedule.steps[i]
        assert step.finish is not None
        area = batch.area_m2(step.face)
        assert area is not None
        film = batch.finishes[step.finish].film
        first = batch.schedule.coat_number(i) == 1
        needed[step.finish] = needed.get(step.finish, 0.0) + amount_ml(film, area, first=first)
    said = []
    for name, amount in needed.items():
        price = cans.price_per_ml(shop, name)
        money = "" if price is None else f", {shop.settings.currency}{price * amount:.2f}"
        said.append(f"{batch.finishes[name].title}: about {show_volume(amount, shop.settings.units)}{money}")
    return said
