"""Which entries of a record came along from another batch."""

from __future__ import annotations

from collections.abc import Sequence

from finishing.cure.work import Entry, VoidEntry
from finishing.store.kinds import SplitEntry


def inherited(record: Sequence[Entry]) -> frozenset[int]:
    """Numbers of the entries that came along from another batch: not to be counted twice, as in learning.

    One that was corrected here since came along all the same.
    """
    born = [e.number for e in record if isinstance(e, SplitEntry) and e.pieces < 0]
    came = {e.number for e in record if born and e.number < min(born)}
    for entry in record:  # in order of their numbers, so that a correction of a correction follows
        if isinstance(entry, VoidEntry) and entry.instead is not None and entry.voids in came:
            came.add(entry.instead)
    return frozenset(came)
