"""Changing what a batch is: its name, pieces, size, woods, when it is wanted; and its schedule while nothing is on it.

Each change is an entry of its record; the row has what holds. A void takes the change back.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from finishing.clock import iso
from finishing.cure.terms import Release, StepKind
from finishing.cure.work import AbradeEntry, CoatEntry, StepEntry, standing
from finishing.errors import BadInput
from finishing.library import freeze
from finishing.shop.allowed import laid
from finishing.shop.batches import LONGEST_NAME, shares
from finishing.shop.drafts import BatchChange
from finishing.shop.entry_words import change_words
from finishing.shop.frozen import thaw_all
from finishing.shop.record import LONGEST_NOTE, ahead_words
from finishing.shop.sheets import earliest
from finishing.shop.shop import Shop, Standing
from finishing.shop.words import RELEASE_WORDS, short_time, step_words
from finishing.store import changes, entries, guides
from finishing.store import frozen as stored_frozen
from finishing.store.kinds import ChangeEntry, SplitEntry
from finishing.store.work import Writer

OF_ITS_PIECES = ("size", "woods", "what")
"""What a part split off was of, too."""


def change_batch(shop: Shop, code: str, change: BatchChange, now: float) -> str:
    """Put a change on record, also of a closed batch. Says what is otherwise, and what moves by it.

    BadInput for a schedule once a coat is on, and for pieces while its pass guide runs.
    """
    batch = shop.standing(code, now)
    before = _ahead(shop, batch, now)
    with shop.store.write() as w:
        present = changes.fields_of(batch.row, shop.settings.zone)
        wanted = _fields(shop, batch, change)
        if change.pieces is not None and guides.load(w, code) is not None:
            raise BadInput("pieces", change.pieces, f"{code} without a pass guide running; end or give it up first")
        if change.woods is not None or change.schedule is not None:
            wanted |= _frozen(w, shop, batch, change)
        new = {name: value for name, value in wanted.items() if value != present[name]}
        if not new:
            return f"{code}: as it was, nothing is otherwise"
        was = {name: present[name] for name in new}
        entry = ChangeEntry(0, now, was, new)
        last = batch.row.last_number
        entries.add(w, batch.row.id, entry, recorded_at=now, maker=shop.settings.maker, expect_last=last)
        changes.put(w, batch.row.id, new)
        w.commit()
    shop.forget()
    said = [f"{code}: {'; '.join(change_words(was, new))}, on record", *_parts(batch, new)]
    if batch.fold.closed is None:
        said += _moved(before, _ahead(shop, shop.standing(code, now), now))
    return "; ".join(said)


def _fields(shop: Shop, batch: Standing, change: BatchChange) -> dict[str, Any]:
    """What was said of a batch, as entries have it."""
    fields: dict[str, Any] = {}
    if change.what is not None:
        if not change.what.strip() or len(change.what) > LONGEST_NAME:
            raise BadInput("what", change.what[:40], f"what the pieces are, in 1 to {LONGEST_NAME} characters")
        fields["what"] = change.what.strip()
    if change.pieces is not None:
        if change.pieces < 1:
            raise BadInput("pieces", change.pieces, "at least 1 piece")
        fields["pieces"] = change.pieces
    if change.sized:
        size = change.size
        sides = None if size is None else [float(v) for v in (size.length_mm, size.width_mm, size.thickness_mm)]
        fields["size"] = None if size is None or sides is None else [*sides, size.shape.value]
    if change.dated:
        fields["wanted"] = None if change.wanted_by is None else iso(change.wanted_by, shop.settings.zone)
    if change.priority is not None:
        fields["priority"] = change.priority
    if change.note is not None:
        if len(change.note) > LONGEST_NOTE:
            raise BadInput("note", f"{len(change.note):,} characters", f"no more than {LONGEST_NOTE:,} characters")
        fields["note"] = change.note.strip()
    return fields


def _frozen(w: Writer, shop: Shop, batch: Standing, change: BatchChange) -> dict[str, Any]:
    """Woods and schedule with the copy they go by: what is not changed stays as it was when the batch began."""
    held = thaw_all(w, {batch.row.frozen_key})[batch.row.frozen_key]
    schedule, finishes, species = held.schedule, held.finishes, held.woods
    fields: dict[str, Any] = {}
    if change.woods is not None:
        known = {wood.name: wood for wood in species}
        woods = shares([(shop.library.species(name).name, share) for name, share in change.woods])
        fields["woods"] = [[name, share] for name, share in woods]
        species = tuple(known.get(name) or shop.library.species(name) for name, _ in woods)
    if change.schedule is not None:
        schedule = shop.library.schedule(change.schedule)
        if schedule.name != batch.row.schedule:
            _nothing_on(batch, change.schedule, [step.kind for step in schedule.steps])
            finishes = shop.library.finishes_of(schedule)
            fields["schedule"] = schedule.name
        else:
            schedule = held.schedule
    return {**fields, "frozen": stored_frozen.freeze(w, freeze(schedule, finishes, species, held.classes))}


def _nothing_on(batch: Standing, typed: str, kinds: list[StepKind]) -> None:
    """No coat is on, and every step on record, the voided too, is the same in the new schedule."""
    now = batch.batch.schedule
    if coats := laid(batch):
        raise BadInput("schedule", typed, f"{batch.row.schedule}: {step_words(now, coats[0][0])} is on by it already")
    for entry in batch.entries:
        step = entry.step if isinstance(entry, CoatEntry | StepEntry | AbradeEntry) else None
        if step is not None and (step >= len(kinds) or kinds[step] is not now.steps[step].kind):
            words = step_words(now, step)
            raise BadInput(
                "schedule", typed, f"one that has {words} where {batch.row.schedule} has it: it is on record"
            )


def _parts(batch: Standing, new: Mapping[str, Any]) -> list[str]:
    """The parts split off, which are of the same pieces."""
    others = [e.to for e in standing(batch.entries) if isinstance(e, SplitEntry)]
    if not others or not any(name in OF_ITS_PIECES for name in new):
        return []
    return [f"{' and '.join(dict.fromkeys(others))} is of the same pieces: change it there too"]


def _ahead(shop: Shop, batch: Standing, now: float) -> tuple[str, float | None, str]:
    """The next step in words, and when it may be packed at the earliest."""
    pack = earliest(batch, now)[Release.PACK]
    zone = shop.settings.zone
    return ahead_words(shop, batch.row.code, now), pack, "no date" if pack is None else short_time(pack, zone, now)


def _moved(before: tuple[str, float | None, str], after: tuple[str, float | None, str]) -> list[str]:
    """What moves by a change; a minute is none."""
    said = [] if before[0] == after[0] else [f"was: {before[0]}; now: {after[0]}"]
    same = before[1] == after[1] or (before[1] and after[1] and abs(before[1] - after[1]) < 1.0 / 60.0)
    if not same:
        said.append(f"{RELEASE_WORDS[Release.PACK]} from {after[2]} at the earliest, was {before[2]}")
    return said or ["changes nothing ahead"]
