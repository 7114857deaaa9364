"""Which entries of a record came along from another batch."""

from __future__ import annotations

from collections.abc import Sequence

from finishing.cure.work import Entry
from finishing.store.kinds import SplitEntry


def inherited(record: Sequence[Entry]) -> frozenset[int]:
    """Numbers of the entries that came along from another batch: not to be counted twice, as in learning."""
    born = [e.number for e in record if isinstance(e, SplitEntry) and e.pieces < 0]
    return frozenset(e.number for e in record if born and e.number < min(born))
