"""Batches that splits parted, as learning sees them: a coat put on before a split is one coat, shared out.

What a finger found of it while it was whole holds for all of its parts, which took the look along as a copy; what was
found of one part since holds for that part's share of the pieces.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping

from finishing.cure.work import CoatEntry, TestEntry, standing
from finishing.shop.inherited import inherited
from finishing.store import batches as stored
from finishing.store.batches import BatchRow
from finishing.store.kinds import SplitEntry
from finishing.store.work import Reader

Kin = Mapping[str, BatchRow]
"""Batches by code, and with each all that splits connect it to."""


def with_kin(r: Reader, rows: Collection[BatchRow], here: Collection[BatchRow]) -> dict[str, BatchRow]:
    """These and all that splits connect them to. here: batches at hand, which need not be read."""
    at_hand = {row.code: row for row in here}
    found = {row.code: row for row in rows}
    new = list(found.values())
    while codes := {split.to for row in new for split in splits(row)} - found.keys():
        read = codes - at_hand.keys()
        new = [at_hand[code] for code in sorted(codes - read)]
        new += stored.by_codes(r, read) if read else []
        found |= {row.code: row for row in new}
        if not new:
            break
    return found


def splits(row: BatchRow) -> list[SplitEntry]:
    """The splits that hold, on either side of them."""
    return [e for e in standing([r.entry for r in row.record]) if isinstance(e, SplitEntry)]


def coat_entry(row: BatchRow, number: int) -> CoatEntry:
    """The entry of a coat, by its number."""
    return next(r.entry for r in row.record if isinstance(r.entry, CoatEntry) and r.entry.number == number)


def share(row: BatchRow, hour: float, kin: Kin) -> float:
    """The share that a batch has of the pieces of a coat put on at an hour."""
    parts = {row.code: row}
    new = [row]
    while new:
        codes = {split.to for one in new for split in splits(one) if split.at >= hour} - parts.keys()
        new = [kin[code] for code in sorted(codes) if code in kin]
        parts |= {one.code: one for one in new}
    return row.pieces / sum(one.pieces for one in parts.values())


def split_of(row: BatchRow, coat: CoatEntry, kin: Kin) -> tuple[str, float, int] | None:
    """The batch that a coat was put on, the hour and the step, where splits have parted its pieces since; or None."""
    if not any(split.at >= coat.at for split in splits(row)):
        return None
    first = row
    while (parent := _parent(first, kin, coat.at)) is not None:
        first = parent
    return first.code, coat.at, coat.step


def copies(row: BatchRow, kin: Kin, left_out: Collection[int]) -> tuple[frozenset[int], frozenset[int]]:
    """Numbers of the touch tests that came along from another batch: those that count for this part of their coats,
    and those that don't, since the look they are copies of was voided or left out where it was made.
    """
    entries = [r.entry for r in row.record]
    came = inherited(entries)
    made = set()
    above = _parent(row, kin)
    while above is not None:
        made |= {_look(t) for t in _own_tests(above) if t.number not in left_out}
        above = _parent(above, kin)
    tests = [e for e in standing(entries) if isinstance(e, TestEntry) and e.number in came]
    count = frozenset(t.number for t in tests if _look(t) in made)
    return count, frozenset(t.number for t in tests) - count


def _own_tests(row: BatchRow) -> list[TestEntry]:
    entries = [r.entry for r in row.record]
    came = inherited(entries)
    return [e for e in standing(entries) if isinstance(e, TestEntry) and e.number not in came]


def _look(test: TestEntry) -> tuple[object, ...]:
    return test.at, test.stage, test.finding, test.face


def _parent(row: BatchRow, kin: Kin, hour: float = 0.0) -> BatchRow | None:
    """The batch it was split from, at an hour or later; None for one that was begun."""
    return next((kin.get(split.to) for split in splits(row) if split.pieces < 0 and split.at >= hour), None)
