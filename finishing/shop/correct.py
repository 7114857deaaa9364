"""Putting an entry right: another takes its place, at the time and in the way it was; both stay on record."""

from __future__ import annotations

from dataclasses import replace

from finishing.cure.schedule import Schedule
from finishing.cure.work import (
    AbradeEntry,
    CoatEntry,
    Entry,
    MoveEntry,
    ReleaseEntry,
    StepEntry,
    TestEntry,
    VoidEntry,
    standing,
)
from finishing.errors import BadInput
from finishing.shop import allowed, cans, heed, otherwise
from finishing.shop.again import again
from finishing.shop.drafts import KEEP, CorrectDraft, StepDraft
from finishing.shop.record import LONGEST_NOTE, ahead_words, entry_words, maybe_note, moves
from finishing.shop.shop import Shop, Standing
from finishing.shop.split import inherited
from finishing.shop.words import short_time, step_words
from finishing.store import entries
from finishing.store.entries import Recorded
from finishing.store.kinds import NoteEntry as NoteEntry
from finishing.store.kinds import SplitEntry
from finishing.units import show_volume

CORRECTABLE = (CoatEntry, StepEntry, AbradeEntry, TestEntry, MoveEntry, ReleaseEntry, NoteEntry)


def correct(shop: Shop, draft: CorrectDraft, now: float) -> str:
    """Put another entry in the place of one that holds, also of a closed batch. Says what is otherwise and what moves.

    BadInput for what its kind has not, for what the record contradicts, and where nothing is otherwise.
    """
    return again(shop, lambda: _corrected(shop, draft, now))


def to_heed(shop: Shop, draft: CorrectDraft, now: float) -> str:
    """What to heed once a correction is made: an order of steps, or a coat that would have been early. "" for nothing.

    To be asked before `correct`; BadInput for the same.
    """
    batch = shop.standing(draft.code, now)
    old = correctable(batch, draft.number)
    new = _entry(shop, batch, old, draft)
    _check(shop, batch, old.entry, new, draft, now)
    if new == old.entry:
        return ""
    first = min(entry.at for entry in batch.entries)  # the air it was folded in need begin no sooner
    air = batch.fold.climate if new.at >= first else shop.air_since(new.at, now)
    return otherwise.after(batch, old.entry, new, air, shop.settings.zone, now)


def correctable(batch: Standing, number: int) -> Recorded:
    """An entry by number that holds and may be put right. BadInput for any other."""
    alive = {e.number: e for e in standing(batch.entries)}
    if number not in alive:
        raise BadInput("entry", number, f"the number of an entry of {batch.row.code} that still holds")
    if not isinstance(alive[number], CORRECTABLE):
        words = entry_words(batch, alive[number])
        raise BadInput(
            "entry", number, f"a coat, step, test, move, release or note; this is: {words}", "void it instead"
        )
    return next(r for r in batch.row.record if r.entry.number == number)


def _corrected(shop: Shop, draft: CorrectDraft, now: float) -> str:
    batch = shop.standing(draft.code, now)
    old = correctable(batch, draft.number)
    new, can = _entry(shop, batch, old, draft), _can(shop, batch, old, draft)
    who = draft.maker or old.maker
    if (new, can, who) == (old.entry, old.can_id, old.maker):
        raise BadInput("entry", draft.number, "something that is otherwise than on record")
    _check(shop, batch, old.entry, new, draft, now)
    before = ahead_words(shop, draft.code, now)
    number = _replace(shop, batch, old, new, can, who, draft, now)
    said = [f"{draft.code}: {entry_words(batch, new)}, corrected, entry {number} in place of {draft.number}"]
    said += _differences(shop, old, new, can, who, now)
    if draft.at is not None and (long := heed.long_ago(new.at, now, shop.settings.zone)):
        said.append(long)
    if isinstance(new, CoatEntry) and new.amount_ml != getattr(old.entry, "amount_ml", None):
        said += filter(None, [heed.amount(shop, batch, new.step, new.amount_ml, None)])
    said += _tests_elsewhere(batch, old.entry, new, shop.settings.zone, now)
    said += _split_off(batch, old)
    if batch.fold.closed is None:
        said.append(moves(shop, draft.code, before, now))
    return "; ".join(said)


def _replace(
    shop: Shop, batch: Standing, old: Recorded, new: Entry, can: int | None, who: str, draft: CorrectDraft, now: float
) -> int:
    """The new entry and the void of the old in one transaction. Returns the new one's number."""
    note = [] if isinstance(new, NoteEntry) else maybe_note(draft.note, now)
    me = shop.settings.maker
    with shop.store.write() as w:
        number = entries.add(
            w, batch.row.id, new, recorded_at=now, maker=who, can_id=can, expect_last=batch.row.last_number
        )
        for entry in (VoidEntry(0, now, old.entry.number, number), *note):
            entries.add(w, batch.row.id, entry, recorded_at=now, maker=me)
        w.commit()
    shop.forget()
    return number


def _entry(shop: Shop, batch: Standing, old: Recorded, draft: CorrectDraft) -> Entry:
    """The entry as it was, with what the maker says was otherwise. BadInput for what its kind has not."""
    entry = old.entry
    if draft.at is not None:
        others = [(c.step, c.at) for c in batch.fold.coats if c.entry != entry.number]
        steps = isinstance(entry, CoatEntry | StepEntry)
        entry = replace(entry, at=allowed.by_the_minute(others, allowed.as_kept(draft.at), lies=steps))
    _only(batch, old.entry, draft)
    if isinstance(entry, CoatEntry):
        if draft.amount_ml is not KEEP:
            entry = replace(entry, amount_ml=_amount(draft.amount_ml))
        if draft.wiped_back is not None:
            allowed.check_left_on(batch, entry.step, StepDraft(draft.code, wiped_back=draft.wiped_back))
            entry = replace(entry, wiped_back=draft.wiped_back)
    if isinstance(entry, AbradeEntry) and draft.grit is not None:
        entry = replace(entry, grit=draft.grit)
    if isinstance(entry, AbradeEntry | TestEntry) and draft.face is not None:
        entry = replace(entry, face=draft.face)
    if isinstance(entry, TestEntry):
        entry = replace(entry, stage=draft.stage or entry.stage, finding=draft.finding or entry.finding)
    if isinstance(entry, MoveEntry) and draft.place:
        entry = replace(entry, place=shop.place(draft.place).name)
    if isinstance(entry, NoteEntry) and draft.note.strip():
        if len(draft.note) > LONGEST_NOTE:
            raise BadInput("note", f"{len(draft.note):,} characters", f"no more than {LONGEST_NOTE:,} characters")
        entry = replace(entry, text=draft.note.strip())
    return entry


def _amount(amount_ml: float | None) -> float | None:
    if amount_ml is not None and not 0.0 < amount_ml < float("inf"):
        raise BadInput("amount", amount_ml, "an amount above 0 mL")
    return amount_ml


def _only(batch: Standing, entry: Entry, draft: CorrectDraft) -> None:
    """What was said is what an entry of its kind has."""
    coat, abraded, test = isinstance(entry, CoatEntry), isinstance(entry, AbradeEntry), isinstance(entry, TestEntry)
    fits = {
        "amount": (draft.amount_ml is not KEEP, coat, "a coat"),
        "can": (draft.can is not KEEP, coat, "a coat"),
        "wiped": (draft.wiped_back is not None, coat, "a coat"),
        "grit": (draft.grit is not None, abraded, "an abrading"),
        "face": (draft.face is not None, abraded or test, "an abrading or a touch test"),
        "stage": (draft.stage is not None, test, "a touch test"),
        "found": (draft.finding is not None, test, "a touch test"),
        "place": (bool(draft.place), isinstance(entry, MoveEntry), "a move"),
    }
    for field, (said, has, kind) in fits.items():
        if said and not has:
            raise BadInput(field, entry_words(batch, entry), f"it of {kind} and of no other entry")


def _can(shop: Shop, batch: Standing, old: Recorded, draft: CorrectDraft) -> int | None:
    """The can it came from, checked as of the hour it went on."""
    if draft.can is KEEP or draft.can is None or not isinstance(old.entry, CoatEntry):
        return old.can_id if draft.can is KEEP else None
    finish = batch.batch.schedule.steps[old.entry.step].finish
    return cans.checked(shop, draft.can, finish, old.entry.at if draft.at is None else draft.at)


def _check(shop: Shop, batch: Standing, old: Entry, new: Entry, draft: CorrectDraft, now: float) -> None:
    """The new time, between what is below and above it."""
    if draft.at is None:
        return
    schedule, zone = batch.batch.schedule, shop.settings.zone
    shown = allowed.as_typed(draft.typed, draft.at, zone)
    if draft.at > now:
        raise BadInput("time", shown, "a time that has passed")
    coats = [(c.step, c.at) for c in batch.fold.coats if c.entry != old.number]
    if isinstance(new, CoatEntry | StepEntry):
        allowed.check_time(schedule, coats, new.step, new.at, shown, zone, now)
    elif isinstance(new, AbradeEntry | TestEntry | ReleaseEntry):
        allowed.after_coat(schedule, coats, new.at, shown, zone, now, last=isinstance(new, ReleaseEntry))
    if not isinstance(new, NoteEntry):
        otherwise.check_order(batch, old, new, shown, zone, now)


def _differences(shop: Shop, old: Recorded, new: Entry, can: int | None, who: str, now: float) -> list[str]:
    """What is otherwise than it was, in words."""
    zone, units = shop.settings.zone, shop.settings.units
    said, was = [], old.entry
    if new.at != was.at:
        said.append(f"{short_time(new.at, zone, now)}, was {short_time(was.at, zone, now)}")
    if isinstance(new, CoatEntry) and isinstance(was, CoatEntry):
        if new.amount_ml != was.amount_ml:
            both = (new.amount_ml, was.amount_ml)
            said.append(", was ".join("its own film" if ml is None else show_volume(ml, units) for ml in both))
        if new.wiped_back != was.wiped_back:
            said.append("wiped back, was left on" if new.wiped_back else "left on, was wiped back")
    if can != old.can_id:
        said.append(", was ".join("no can" if number is None else f"can {number}" for number in (can, old.can_id)))
    if who != old.maker:
        said.append(f"by {who}, was {old.maker or 'nobody named'}")
    return said


def _tests_elsewhere(batch: Standing, old: Entry, new: Entry, zone: str, now: float) -> list[str]:
    """Touch tests that are of another coat now that one went on at another time."""
    if not isinstance(new, CoatEntry) or new.at == old.at:
        return []
    schedule = batch.batch.schedule
    coats = [e for e in standing(batch.entries) if isinstance(e, CoatEntry)]
    after = sorted((replace(new, number=old.number) if e.number == old.number else e for e in coats), key=_in_turn)
    said = []
    for test in (e for e in standing(batch.entries) if isinstance(e, TestEntry)):
        was, now_of = _felt(schedule, coats, test), _felt(schedule, after, test)
        if was != now_of:
            of = "no coat" if now_of is None else step_words(schedule, now_of)
            said.append(f"the touch test of {short_time(test.at, zone, now)} (entry {test.number}) is of {of} now")
    return said


def _in_turn(coat: CoatEntry) -> tuple[float, int]:
    return coat.at, coat.step


def _felt(schedule: Schedule, coats: list[CoatEntry], test: TestEntry) -> int | None:
    """Step of the coat that a test was of."""
    sides = set(test.face.sides)
    found = [c.step for c in coats if c.at <= test.at and sides & set(schedule.steps[c.step].face.sides)]
    return found[-1] if found else None


def _split_off(batch: Standing, old: Recorded) -> list[str]:
    """The parts split off since, which have the same on their own records."""
    splits = [e for e in standing(batch.entries) if isinstance(e, SplitEntry)]
    came = old.entry.number in inherited(batch.entries)
    others = [e.to for e in splits if (e.at >= old.entry.at and e.pieces > 0) or (came and e.pieces < 0)]
    if not others or isinstance(old.entry, NoteEntry | ReleaseEntry):
        return []
    return [f"{' and '.join(dict.fromkeys(others))} was part of it then: put it right there too"]
