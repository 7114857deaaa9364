"""What a batch is, changed by entries of its record: its row has what holds, the entries what it was before.

Fields lie in an entry as JSON: what, note (text), pieces, priority (numbers), size (null or length, width, thickness
[mm] and shape), woods (pairs of name and share), schedule, frozen (key of what it goes by), wanted (null or ISO 8601).
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from typing import Any

from sqlalchemy import delete, insert, update

from finishing.clock import hour_of, iso
from finishing.cure.work import Entry, Shape, VoidEntry, voided_by
from finishing.errors import BadInput
from finishing.store import batches
from finishing.store.batches import BatchRow
from finishing.store.kinds import ChangeEntry
from finishing.store.tables import BATCH, BATCH_WOOD
from finishing.store.types import maybe_instant
from finishing.store.work import Writer


def fields_of(row: BatchRow, zone: str) -> dict[str, Any]:
    """A batch as it is now, every field."""
    size = row.size
    return {
        "what": row.what,
        "pieces": row.pieces,
        "size": None if size is None else [size.length_mm, size.width_mm, size.thickness_mm, size.shape.value],
        "woods": [[wood.species, wood.share] for wood in row.woods],
        "schedule": row.schedule,
        "frozen": row.frozen_key,
        "wanted": None if row.wanted_by is None else iso(row.wanted_by, zone),
        "priority": row.priority,
        "note": row.note,
    }


def hour_in(wanted: str | None) -> float | None:
    """The hour of a wanted-by time as an entry has it."""
    return None if wanted is None else hour_of(dt.datetime.fromisoformat(wanted))


def put(w: Writer, batch_id: int, fields: Mapping[str, Any]) -> None:
    """Let a batch's row say these."""
    values: dict[str, Any] = {k: fields[k] for k in ("what", "pieces", "schedule", "priority", "note") if k in fields}
    if "frozen" in fields:
        values["frozen_key"] = fields["frozen"]
    if "wanted" in fields:
        values["wanted_by"] = maybe_instant(hour_in(fields["wanted"]))
    if "size" in fields:
        size = fields["size"]
        sides = (None, None, None, Shape.RECTANGLE.value) if size is None else size
        values |= dict(zip(("length_mm", "width_mm", "thickness_mm", "shape"), sides, strict=True))
    if values:
        w.connection.execute(update(BATCH).where(BATCH.c.id == batch_id).values(**values))
    if "woods" in fields:
        w.connection.execute(delete(BATCH_WOOD).where(BATCH_WOOD.c.batch_id == batch_id))
        rows = [
            {"batch_id": batch_id, "position": n, "species": name, "share": share}
            for n, (name, share) in enumerate(fields["woods"])
        ]
        w.connection.execute(insert(BATCH_WOOD), rows)


def settle(w: Writer, code: str, before: Iterable[Entry], voids: Iterable[VoidEntry]) -> None:
    """Let a batch's row follow voids that were just written: of changes, or of voids of changes.

    before: its record without them. BadInput where a field was changed by something else since.
    """
    old = list(before)
    if not any(isinstance(entry, ChangeEntry) for entry in old):
        return
    was_dead, is_dead = voided_by(old), voided_by([*old, *voids])
    for change in sorted((e for e in old if isinstance(e, ChangeEntry)), key=lambda e: -e.number):
        gone, back = change.number in is_dead, change.number in was_dead
        if gone != back:
            row = batches.by_code(w, code)
            expected, wanted = (change.now, change.was) if gone else (change.was, change.now)
            _as_expected(row, expected, change.number)
            put(w, row.id, wanted)


def _as_expected(row: BatchRow, expected: Mapping[str, Any], number: int) -> None:
    """Nothing else changed these fields since."""
    present = fields_of(row, "UTC")
    for field, value in expected.items():
        here, there = present[field], value
        if field == "wanted":
            here, there = hour_in(here), hour_in(there)
        if here != there:
            name = "woods" if field == "frozen" else field
            raise BadInput("entry", number, f"a change of the {name} that nothing has changed since", "void that first")
