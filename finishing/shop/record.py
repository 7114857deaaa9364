"""Putting on record what the hands did: checked first, then written whole, then acknowledged."""

from __future__ import annotations

from collections.abc import Sequence

from finishing.cure.advice import WIPED_HOURS
from finishing.cure.coat import Coat
from finishing.cure.fold import State
from finishing.cure.progress import Progress
from finishing.cure.terms import Face, Release, StepKind
from finishing.cure.work import (
    AbradeEntry,
    CloseEntry,
    CoatEntry,
    Entry,
    HoldEntry,
    MoveEntry,
    ReleaseEntry,
    StepEntry,
    TestEntry,
    VoidEntry,
    standing,
    voided_by,
)
from finishing.errors import BadInput
from finishing.shop import allowed, cans
from finishing.shop import heed as heeding
from finishing.shop.again import again
from finishing.shop.clocks import clock_goes_on
from finishing.shop.drafts import AbradeDraft, ReleaseDraft, StepDraft, TestDraft
from finishing.shop.entry_words import entry_words as entry_words
from finishing.shop.entry_words import words_of as words_of
from finishing.shop.learning import changes as learning
from finishing.shop.shop import Shop, Standing
from finishing.shop.split import rejoin
from finishing.shop.words import RELEASE_WORDS, next_words, short_time, step_words
from finishing.store import entries
from finishing.store.changes import settle
from finishing.store.kinds import NoteEntry, SplitEntry
from finishing.units import show_duration

LONGEST_NOTE = 10_000


def record_step(shop: Shop, draft: StepDraft, now: float) -> str:
    """Record the next step, or the one of the draft. Says what was written, once it is on disk.

    BadInput for a step that is done already, or a coat before the one below it.
    """
    batch = _open(shop, draft.code, now)
    position = _position(batch, draft, now)
    return again(shop, lambda: _record_at(shop, draft, position, now))


def coming(shop: Shop, draft: StepDraft, now: float) -> tuple[Standing, int]:
    """The batch of a draft as it stands, and the position of the step that `record_step` would put down."""
    batch = _open(shop, draft.code, now)
    return batch, _position(batch, draft, now)


def _record_at(shop: Shop, draft: StepDraft, position: int, now: float) -> str:
    batch = _open(shop, draft.code, now)
    step, at = batch.batch.schedule.steps[position], _at(batch, draft.at, now, step=True)
    entry: Entry
    before = _ahead_line(batch.progress(now), now, shop.settings.zone) if allowed.fills_gap(batch, position) else None
    if step.kind is StepKind.COAT:
        entry, can = _coat(shop, batch, position, draft, at, now)
    else:
        allowed.check_step(batch, position, at)
        _check_time(shop, batch, position, draft, at, now)
        if draft.amount_ml is not None:
            raise BadInput("amount", draft.amount_ml, "an amount on a coat and on no other step")
        can = None if draft.can is None else cans.checked(shop, draft.can, step.finish, at)
        abrades = step.kind is StepKind.ABRADE
        entry = AbradeEntry(0, at, step.face, step.grit, position) if abrades else StepEntry(0, at, position)
    odd = heeding.amount(shop, batch, position, draft.amount_ml, can)
    dated = heeding.long_ago(at, now, shop.settings.zone)
    _write(shop, batch, [entry, *maybe_note(draft.note, at)], now, maker=draft.maker, can_id=can)
    said = f"{draft.code}: {step_words(batch.batch.schedule, position)}, on record"
    moved = "" if before is None else f"; {moves(shop, draft.code, before, now)}"
    return f"{said}{moved}{f'; {dated}' if dated else ''}{f'. {odd}' if odd else ''}"


def moves(shop: Shop, code: str, before: str, now: float) -> str:
    """What has moved since a batch's next step was told (`ahead_words`)."""
    after = ahead_words(shop, code, now)
    return "changes nothing ahead" if after == before else f"was: {before}; now: {after}"


def ahead_words(shop: Shop, code: str, now: float) -> str:
    """What comes next for a batch, or for one with no step left, when it may be packed and used."""
    return _ahead_line(shop.standing(code, now).progress(now), now, shop.settings.zone)


def ready_coat(shop: Shop, draft: StepDraft, now: float) -> tuple[Standing, CoatEntry, int | None]:
    """A coat checked as `record_step` would, not written: the batch, the entry, its can. BadInput if it won't do."""
    batch = _open(shop, draft.code, now)
    position = _position(batch, draft, now)
    step = batch.batch.schedule.steps[position]
    if step.kind is not StepKind.COAT:
        raise BadInput("step", step_words(batch.batch.schedule, position), "a coat")
    return batch, *_coat(shop, batch, position, draft, _at(batch, draft.at, now, step=True), now)


def _coat(
    shop: Shop, batch: Standing, position: int, draft: StepDraft, at: float, now: float
) -> tuple[CoatEntry, int | None]:
    """The entry of a coat and its can. BadInput where it can't have gone on so."""
    allowed.check_coat(batch, position)
    _check_time(shop, batch, position, draft, at, now)
    allowed.check_left_on(batch, position, draft)
    if draft.amount_ml is not None and not 0.0 < draft.amount_ml < float("inf"):
        raise BadInput("amount", draft.amount_ml, "an amount above 0 mL")
    finish = batch.batch.schedule.steps[position].finish
    can = None if draft.can is None else cans.checked(shop, draft.can, finish, at)
    return CoatEntry(0, at, position, draft.amount_ml, draft.wiped_back), can


def _check_time(shop: Shop, batch: Standing, position: int, draft: StepDraft, at: float, now: float) -> None:
    zone = shop.settings.zone
    shown = allowed.as_typed(draft.typed, draft.at, zone)
    allowed.check_time(batch.batch.schedule, allowed.laid(batch), position, at, shown, zone, now)


def _position(batch: Standing, draft: StepDraft, now: float) -> int:
    steps = batch.batch.schedule.steps
    if draft.position is not None:
        if not 0 <= draft.position < len(steps):
            raise BadInput("step", draft.position, f"a step from 0 to {len(steps) - 1} of its schedule")
        return draft.position
    # As of the hour it was done: what was wiped off in time is no abrading, however late it is typed in.
    at = now if draft.at is None else draft.at
    following, wipe = batch.fold.next(at), late_wipe(batch, at)
    if wipe is not None:
        return wipe
    if following is None:
        raise BadInput("step", draft.code, "a batch with a step left to do")
    return following.position


LATE_WIPE_HOURS = WIPED_HOURS
"""So long after a last coat a step that was done is its wipe-off, where nobody recorded that."""


def late_wipe(batch: Standing, at: float) -> int | None:
    """Position of the wipe-off that a step done at an hour must be: its minutes were over and nobody recorded it.

    It is as long as hardly one coat in five could have been ready for what comes next, or nothing comes next.
    """
    fold, steps = batch.fold, batch.batch.schedule.steps
    following = fold.next(at)
    upto = len(steps) if following is None else following.position
    wipe = next((i for i in range(fold.reached, upto) if steps[i].kind is StepKind.WIPE), None)
    if wipe is None or not fold.coats:
        return None
    if following is None:
        return wipe if at - fold.coats[-1].at <= LATE_WIPE_HOURS else None
    if following.state is State.WAITING:
        soonest = following.opens if following.gate is None else following.gate.could_be
        return wipe if soonest is None or at < soonest else None
    return wipe if following.state in (State.NEVER, State.TEST_FIRST) else None


def coat_position(shop: Shop, code: str, number: int | None, face: Face | None, now: float) -> int:
    """Position of a coat step by its number and face; without a number the next one. BadInput if there is none."""
    batch = shop.standing(code, now)
    schedule = batch.batch.schedule
    laid = {coat.step for coat in batch.fold.coats}
    for i in schedule.coat_steps:
        wanted = i not in laid if number is None else schedule.coat_number(i) == number and i not in laid
        if wanted and (face is None or schedule.steps[i].face is face):
            return i
    if number is not None and number <= schedule.coats:
        raise BadInput("coat", number, f"a coat {allowed.NOT_YET}")
    raise BadInput("coat", number if number is not None else code, f"one of the {schedule.coats} coats of its schedule")


def abrade(shop: Shop, draft: AbradeDraft, now: float) -> str:
    """Record abrading: as the schedule's next step where that is what comes next, else between coats."""
    batch = _open(shop, draft.code, now)
    following = batch.fold.next(now)
    step = following.position if following is not None and following.step.kind is StepKind.ABRADE else None
    grit = draft.grit if draft.grit is not None or following is None else following.step.grit
    if not batch.fold.coats:
        raise BadInput("abrade", draft.code, "a batch with a coat on it")
    at = _at(batch, draft.at, now)
    _after_coat(shop, batch, draft, at, now)
    _write(shop, batch, [AbradeEntry(0, at, draft.face, grit, step), *maybe_note(draft.note, at)], now)
    return f"{draft.code}: abraded{f' P{grit}' if grit else ''}, on record"


def touch_test(shop: Shop, draft: TestDraft, now: float) -> str:
    """Record a touch test, and say what it changed."""
    return again(shop, lambda: _touched(shop, draft, now))


def _touched(shop: Shop, draft: TestDraft, now: float) -> str:
    batch = _open(shop, draft.code, now)
    before = _ahead_line(batch.progress(now), now, shop.settings.zone)
    finish = _felt(shop, batch, draft, _at(batch, draft.at, now), now).finish
    was = learning.before(shop, finish, now)
    note_test(shop, draft, now)
    changed = moves(shop, draft.code, before, now)
    taught = learning.changes(shop, finish, draft.code, was, now)
    said = f"{draft.code}: {draft.finding.value} for {draft.stage.words}, on record; {changed}"
    return f"{said}. {taught}" if taught else said


def note_test(shop: Shop, draft: TestDraft, now: float) -> None:
    """Record a touch test, without working out what it changed. BadInput where no coat lies."""
    batch = _open(shop, draft.code, now)
    at = _at(batch, draft.at, now)
    _felt(shop, batch, draft, at, now)
    entry = TestEntry(0, at, draft.stage, draft.finding, draft.face)
    _write(shop, batch, [entry, *maybe_note(draft.note, at)], now)


def _felt(shop: Shop, batch: Standing, draft: TestDraft, at: float, now: float) -> Coat:
    """The coat under the finger."""
    _after_coat(shop, batch, draft, at, now)
    coats = [c for c in batch.fold.coats if c.at <= at and set(c.face.sides) & set(draft.face.sides)]
    if not coats:
        raise BadInput("test", draft.code, "a batch with a coat on the face that was tested")
    return coats[-1]


def _after_coat(
    shop: Shop,
    batch: Standing,
    draft: AbradeDraft | TestDraft | ReleaseDraft,
    at: float,
    now: float,
    *,
    last: bool = False,
) -> None:
    zone = shop.settings.zone
    shown = allowed.as_typed(draft.typed, draft.at, zone)
    allowed.after_coat(batch.batch.schedule, allowed.laid(batch), at, shown, zone, now, last=last)


def next_line(p: Progress, now: float, zone: str) -> str:
    """What comes next for a batch, in a line."""
    if p.next is None:
        return "no step is left"
    return f"{step_words(p.batch.schedule, p.next.position)}, {next_words(p.next, now, zone)}"


def _ahead_line(p: Progress, now: float, zone: str) -> str:
    """What comes next, or for a batch with no step left, when it may be packed and used."""
    if p.next is not None:
        return next_line(p, now, zone)
    whens = [(RELEASE_WORDS[r], p.releases[r]) for r in Release if not p.may(r)]
    coming = [f"{words} " + ("no date" if at is None else f"from {short_time(at, zone, now)}") for words, at in whens]
    return ", ".join(coming) or RELEASE_WORDS[Release.USE]


def move(shop: Shop, code: str, place: str, now: float, at: float | None = None) -> str:
    """Record that a batch went to another place; its equivalent time goes along."""
    batch = _open(shop, code, now)
    name = shop.place(place).name
    if name == batch.fold.place:
        raise BadInput("place", place, f"a place other than where {code} stands")
    _write(shop, batch, [MoveEntry(0, _at(batch, at, now), name)], now)
    return f"{code}: moved to {name}, on record"


def release(shop: Shop, draft: ReleaseDraft, now: float) -> str:
    """Record the maker's own release. BadInput before the last coat is on."""
    batch = _open(shop, draft.code, now)
    if batch.fold.remaining_hands and any(
        batch.batch.schedule.steps[i].kind is StepKind.COAT for i in batch.fold.remaining_hands
    ):
        raise BadInput("release", draft.release.value, "a batch whose last coat is on")
    at = _at(batch, draft.at, now)
    _after_coat(shop, batch, draft, at, now, last=True)
    _write(shop, batch, [ReleaseEntry(0, at, draft.release)], now)
    early = heeding.before_its_time(batch, draft.release, now, shop.settings.zone)
    said = f", before its time ({early}): the finger that tested it knows best" if early else ""
    return f"{draft.code}: released to {draft.release.value}{said}, on record"


def hold(shop: Shop, code: str, now: float, *, on: bool = True) -> str:
    """Put a batch on hold, or take it off."""
    batch = _open(shop, code, now)
    if batch.fold.held is on:
        raise BadInput("hold", code, f"a batch that is {'not ' if on else ''}on hold")
    _write(shop, batch, [HoldEntry(0, now, on)], now)
    return f"{code}: {'on hold' if on else 'off hold'}, on record"


def close(shop: Shop, code: str, now: float, note: str = "") -> str:
    """The batch leaves the bench: sent out, kept or given up. Its record stays."""
    batch = _open(shop, code, now)
    early = heeding.leaves(batch, now, shop.settings.zone)
    _write(shop, batch, [*maybe_note(note, now), CloseEntry(0, now)], now)
    return f"{code}: closed{f', {early}' if early else ''}, on record"


def void(shop: Shop, code: str, number: int, now: float) -> str:
    """Void an entry of a batch by its number; both stay in the record. A split brings its pieces back together."""
    batch = shop.standing(code, now)
    alive = {e.number: e for e in standing(batch.entries)}
    voids = {e.number: e for e in batch.entries if isinstance(e, VoidEntry)}
    if number not in alive and number not in voids:
        raise BadInput("entry", number, f"the number of an entry of {code} that still holds")
    entry = alive.get(number) or voids[number]
    if isinstance(entry, SplitEntry):
        return rejoin(shop, code, number, now)
    words = entry_words(batch, entry, shop.settings.units)
    voiding = [VoidEntry(0, now, number)]
    allowed.check_voids(batch, voiding)
    _write(shop, batch, voiding, now)
    return f"{code}: void, {words}"


def undo(shop: Shop, code: str, now: float) -> str:
    """Void the newest entry that holds; of a correction, what it took the place of holds again."""
    newest = undoable(shop.standing(code, now))
    if newest is None:
        raise BadInput("undo", code, "a batch with an entry to undo")
    return take_back(shop, code, newest.number, now)


def take_back(shop: Shop, code: str, number: int, now: float) -> str:
    """Undo an entry, which need not be the newest any more."""
    batch = shop.standing(code, now)
    entry, correction = next((e for e in standing(batch.entries) if e.number == number), None), None
    if entry is not None:
        correction = correction_by(batch, number)
    if entry is None or correction is None:
        return void(shop, code, number, now)
    voiding = [VoidEntry(0, now, number), VoidEntry(0, now, correction.number)]
    allowed.check_voids(batch, voiding)
    _write(shop, batch, voiding, now)
    return f"{code}: void, {entry_words(batch, entry, shop.settings.units)}; entry {correction.voids} holds again"


def correction_by(batch: Standing, number: int) -> VoidEntry | None:
    """The void that put an entry in the place of another, if it was so and holds."""
    dead = voided_by(batch.entries)
    voids = (e for e in batch.entries if isinstance(e, VoidEntry) and e.instead == number)
    return next((e for e in voids if e.number not in dead), None)


def undoable(batch: Standing) -> Entry | None:
    """The newest entry that holds, which an undo would void."""
    return max(standing(batch.entries), key=lambda e: e.number, default=None)


def _open(shop: Shop, code: str, now: float) -> Standing:
    batch = shop.standing(code, now)
    if batch.fold.closed is not None:
        raise BadInput("batch", code, "an open batch; this one is closed")
    return batch


def _at(batch: Standing, at: float | None, now: float, *, step: bool = False) -> float:
    """When it happened: not ahead of now."""
    when = now if at is None else allowed.as_kept(at)
    if when > now:
        raise BadInput("time", f"{show_duration(when - now)} ahead", "a time that has passed")
    if at is None:
        clock_goes_on(batch, now)
    return allowed.by_the_minute(allowed.laid(batch), when, lies=step or at is None)


def maybe_note(text: str, at: float) -> list[Entry]:
    """A note to go beside an entry, or none where nothing was written. BadInput for one too long."""
    if len(text) > LONGEST_NOTE:
        raise BadInput("note", f"{len(text):,} characters", f"no more than {LONGEST_NOTE:,} characters")
    return [NoteEntry(0, at, text.strip())] if text.strip() else []


def _write(
    shop: Shop, batch: Standing, new: Sequence[Entry], now: float, *, maker: str = "", can_id: int | None = None
) -> None:
    """All entries in one transaction, refused if somebody else recorded something since we looked."""
    expect: int | None = batch.row.last_number
    with shop.store.write() as w:
        voids = []
        for entry in new:
            can = can_id if isinstance(entry, CoatEntry) else None
            who = maker or shop.settings.maker
            number = entries.add(w, batch.row.id, entry, recorded_at=now, maker=who, can_id=can, expect_last=expect)
            expect = None
            voids += [VoidEntry(number, entry.at, entry.voids)] if isinstance(entry, VoidEntry) else []
        settle(w, batch.row.code, batch.entries, voids)
        w.commit()
    shop.forget()
