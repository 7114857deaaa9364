"""Splitting a batch in two, and putting it together again.

A few pieces stay tacky, the others go on: the few become a batch of their own which takes the history along.

- Its record begins with a copy of every entry that holds, at the times they happened, by whom they were made; not
  of releases, which are the maker's word about pieces looked at, nor of earlier splits or changes.
- Finish is counted once. Every coat that holds is voided in the old batch and set down anew with the share of the
  pieces that stay; the copies in the new batch have the rest. Cans and films come out as before on both sides.
- Both records have a SplitEntry: in the old one with the pieces that went, in the new one with as many below 0, as
  they came. What stands before the latter are copies: see `inherited`.

Nothing is removed: the voided coats stay in the old record, and a rejoined batch keeps its entries, voided.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from finishing.cure.terms import Stage
from finishing.cure.work import CloseEntry, CoatEntry, Entry, Finding, ReleaseEntry, TestEntry, VoidEntry, standing
from finishing.errors import BadInput
from finishing.shop.batches import CODE
from finishing.shop.inherited import inherited as inherited
from finishing.shop.learning import changes as learning
from finishing.shop.plan import pins
from finishing.shop.shop import Shop
from finishing.store import batches as stored
from finishing.store import entries
from finishing.store.batches import BatchRow, NewBatch
from finishing.store.entries import Recorded
from finishing.store.kinds import ChangeEntry, NoteEntry, SplitEntry
from finishing.store.work import Writer
from finishing.units import counted

LONGEST_ROOT = 20


@dataclass(frozen=True, slots=True)
class SplitDraft:
    """So many pieces to go to a batch of their own. new_code "": the old one's with ".2", ".3", ...

    tacky: a stage that the pieces which go were found tacky to, just now.
    """

    code: str
    pieces: int
    new_code: str = ""
    tacky: Stage | None = None
    note: str = ""


def split(shop: Shop, draft: SplitDraft, now: float) -> str:
    """Split a batch, all or nothing, and say what tacky pieces changed beyond it.

    BadInput for a closed batch, a code that is taken, or no piece left over.
    """
    coats = shop.standing(draft.code, now).fold.coats
    if draft.tacky is None or not coats:
        return _split(shop, draft, now)
    finish = coats[-1].finish
    was = learning.before(shop, finish, now)
    said = _split(shop, draft, now)
    taught = learning.changes(shop, finish, newest_part(shop, draft.code, now), was, now)
    return f"{said}. {taught}" if taught else said


def newest_part(shop: Shop, code: str, now: float) -> str:
    """The batch that pieces of a batch went to last. BadInput if none did."""
    entries = [r.entry for r in _holding(shop.standing(code, now).row)]
    parts = [e for e in entries if isinstance(e, SplitEntry) and e.pieces > 0]
    if not parts:
        raise BadInput("batch", code, "a batch that was split")
    return max(parts, key=lambda e: e.number).to


def _split(shop: Shop, draft: SplitDraft, now: float) -> str:
    seen = shop.standing(draft.code, now).row
    if draft.new_code and not CODE.fullmatch(draft.new_code):
        raise BadInput("new code", draft.new_code[:40], "1 to 24 letters, digits, dots, dashes or underscores")
    maker = shop.settings.maker
    with shop.store.write() as w:
        old = stored.by_code(w, draft.code)
        _check(old, draft)
        code = draft.new_code or next_part(draft.code, stored.codes(w))
        new_id = stored.create(w, _part(old, code, draft.pieces), now)
        pen = _Pen(w, old.id, now, maker, seen.last_number)
        pen.again(old, (old.pieces - draft.pieces) / old.pieces)
        pen.put(_noted(draft.note, now))
        pen.put([SplitEntry(0, now, code, draft.pieces)])
        other = _Pen(w, new_id, now, maker)
        other.copy(old, draft.pieces / old.pieces)
        other.put([SplitEntry(0, now, draft.code, -draft.pieces)])
        other.put(_noted(draft.note, now))
        if draft.tacky is not None:
            other.put([TestEntry(0, now, draft.tacky, Finding.TACKY)])
        stored.amend(w, old.id, pieces=old.pieces - draft.pieces)
        unpinned = pins.hand_over(w, code, draft.pieces, now)
        w.commit()
    shop.forget()
    said = f"{draft.code}: {draft.pieces} of {old.pieces} pieces are now {code}, on record"
    return f"{said}; what was pinned of {code} was of other pieces, and is let go of" if unpinned else said


def rejoin(shop: Shop, code: str, number: int, now: float) -> str:
    """Undo a split, from either side: all pieces are one batch again, and the other is closed, its entries voided.

    BadInput when either was worked on since: those entries would be of some of the pieces only.
    """
    seen = shop.standing(code, now).row
    maker = shop.settings.maker
    with shop.store.write() as w:
        here = stored.by_code(w, code)
        mine = _split_entry(here, number)
        there = stored.by_code(w, mine.to)
        old, new = (here, there) if mine.pieces > 0 else (there, here)
        went = mine if mine.pieces > 0 else _counterpart(old, new)
        _check_untouched(old, went.number)
        came = _counterpart(new, old)
        _check_untouched(new, came.number)
        pen = _Pen(w, old.id, now, maker, seen.last_number if old.id == here.id else None)
        pen.put([VoidEntry(0, now, went.number)])
        pen.again(old, (old.pieces + went.pieces) / old.pieces)
        other = _Pen(w, new.id, now, maker, seen.last_number if new.id == here.id else None)
        other.put([VoidEntry(0, now, r.entry.number) for r in _holding(new)])
        other.put([NoteEntry(0, now, f"{counted(went.pieces, 'piece')} went back to {old.code}"), CloseEntry(0, now)])
        stored.amend(w, old.id, pieces=old.pieces + went.pieces)
        w.commit()
    shop.forget()
    back = f"{counted(went.pieces, 'piece')} of {new.code} {'is' if went.pieces == 1 else 'are'} back in it"
    return f"{old.code}: {back}, {new.code} is closed, on record"


def is_split(entry: Entry) -> bool:
    """Whether an entry is of a split; undoing it takes `rejoin`."""
    return isinstance(entry, SplitEntry)


def split_words(entry: Entry) -> str:
    """A split in a few words, as its side of the record has it; "" for any other entry."""
    if not isinstance(entry, SplitEntry):
        return ""
    if entry.pieces < 0:
        return f"split off from {entry.to}: {counted(-entry.pieces, 'piece')}"
    return f"split: {counted(entry.pieces, 'piece')} went to {entry.to}"


def next_part(code: str, taken: Sequence[str]) -> str:
    """The next free code for a part of a batch: T-14.2, T-14.3, ..."""
    root, number = code[:LONGEST_ROOT], 2
    while f"{root}.{number}" in taken:
        number += 1
    return f"{root}.{number}"


def free_part(shop: Shop, code: str) -> str:
    """The code that a part split off now would get."""
    with shop.store.read() as r:
        return next_part(code, stored.codes(r))


class _Pen:
    """Writes to one batch's record; `expect`: its last number as the maker saw it, checked with the first entry."""

    def __init__(self, w: Writer, batch_id: int, now: float, maker: str, expect: int | None = None) -> None:
        self._w, self._id, self._now, self._maker, self._expect = w, batch_id, now, maker, expect

    def put(self, new: Sequence[Entry], maker: str | None = None, can_id: int | None = None) -> None:
        """Add entries."""
        for entry in new:
            who = self._maker if maker is None else maker
            entries.add(
                self._w, self._id, entry, recorded_at=self._now, maker=who, can_id=can_id, expect_last=self._expect
            )
            self._expect = None

    def again(self, row: BatchRow, share: float) -> None:
        """Void the coats that hold and set them down anew with a share of their finish.

        All of them, lest those of one hour change places; none if no amount was recorded.
        """
        coats = [r for r in _holding(row) if isinstance(r.entry, CoatEntry)]
        if all(r.entry.amount_ml is None for r in coats if isinstance(r.entry, CoatEntry)):
            return
        self.put([VoidEntry(0, self._now, r.entry.number) for r in coats])
        for recorded in coats:
            self.put([_share(recorded.entry, share)], recorded.maker, recorded.can_id)

    def copy(self, row: BatchRow, share: float) -> None:
        """Take along the history of another batch, with a share of the finish."""
        for recorded in _holding(row):
            if not isinstance(recorded.entry, SplitEntry | CloseEntry | ReleaseEntry | ChangeEntry):
                self.put([_share(recorded.entry, share)], recorded.maker, recorded.can_id)


def _share(entry: Entry, share: float) -> Entry:
    if isinstance(entry, CoatEntry) and entry.amount_ml is not None:
        # To the microlitre, so that there and back again leaves the figure that was typed.
        return replace(entry, number=0, amount_ml=round(entry.amount_ml * share, 3))
    return replace(entry, number=0)


def _holding(row: BatchRow) -> list[Recorded]:
    """The entries that hold, in order of when they happened."""
    by_number = {r.entry.number: r for r in row.record}
    return [by_number[e.number] for e in standing([r.entry for r in row.record])]


def _check(old: BatchRow, draft: SplitDraft) -> None:
    if old.closed_at is not None:
        raise BadInput("batch", old.code, "an open batch; this one is closed")
    if not 1 <= draft.pieces < old.pieces:
        takes = f"1 to {old.pieces - 1} of its {old.pieces} pieces" if old.pieces > 1 else "a batch of several pieces"
        raise BadInput("pieces", draft.pieces, takes)
    if draft.tacky is not None and not any(isinstance(r.entry, CoatEntry) for r in _holding(old)):
        raise BadInput("still tacky", draft.tacky.words, "a batch with a coat on it")


def _part(old: BatchRow, code: str, pieces: int) -> NewBatch:
    return NewBatch(
        code, old.what, pieces, old.woods, old.schedule, old.frozen_key, old.place,
        old.size, old.wanted_by, old.priority, old.note,
    )  # fmt: skip


def _noted(text: str, now: float) -> list[Entry]:
    return [NoteEntry(0, now, text.strip())] if text.strip() else []


def _split_entry(row: BatchRow, number: int) -> SplitEntry:
    for recorded in _holding(row):
        if isinstance(recorded.entry, SplitEntry) and recorded.entry.number == number:
            return recorded.entry
    raise BadInput("entry", number, f"the number of a split of {row.code} that still holds")


def _counterpart(row: BatchRow, other: BatchRow) -> SplitEntry:
    """The standing split in a record that names the other batch."""
    for recorded in _holding(row):
        if isinstance(recorded.entry, SplitEntry) and recorded.entry.to == other.code:
            return recorded.entry
    raise BadInput("split", other.code, f"a split that {row.code} has on record too")


def _check_untouched(row: BatchRow, number: int) -> None:
    """Nothing but what was written with the split may hold after it."""
    written = next(r.recorded_at for r in row.record if r.entry.number == number)
    later = [r for r in _holding(row) if r.entry.number > number and r.recorded_at != written]
    if later or row.closed_at is not None:
        raise BadInput("split", row.code, f"batches with no entry since the split; {row.code} has one: undo it first")
