"""Batches: begun, looked up, and changed where a change is no matter of record."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, TypedDict, Unpack

from sqlalchemy import Select, select, update
from sqlalchemy.exc import IntegrityError

from finishing.codes import natural
from finishing.cure.work import Shape, Size, VoidEntry
from finishing.errors import BadInput, NotFound
from finishing.store import entries, places
from finishing.store.entries import Recorded
from finishing.store.kinds import ChangeEntry
from finishing.store.tables import BATCH, BATCH_WOOD, ENTRY, PLACE, BatchTable, BatchWoodTable
from finishing.store.types import instant, maybe_hour, maybe_instant
from finishing.store.work import Reader, Writer


@dataclass(frozen=True, slots=True)
class Wood:
    """A wood of a batch, and its share of the piece (0 to 1)."""

    species: str
    share: float


@dataclass(frozen=True, slots=True)
class NewBatch:
    """A batch about to begin. frozen_key: see `frozen.freeze`. wanted_by: an hour. place: its name."""

    code: str
    what: str
    pieces: int
    woods: tuple[Wood, ...]
    schedule: str
    frozen_key: str
    place: str
    size: Size | None = None
    wanted_by: float | None = None
    priority: int = 0
    note: str = ""

    def __post_init__(self) -> None:
        if not self.code.strip():
            raise BadInput("code", self.code, "a short name for the batch")
        if self.pieces < 1:
            raise BadInput("pieces", self.pieces, "at least 1 piece")
        if not self.woods:
            raise BadInput("woods", None, "at least one wood")
        for wood in self.woods:
            if not 0.0 < wood.share <= 1.0:
                raise BadInput(f"share of {wood.species}", wood.share, "a share above 0 and up to 1")


@dataclass(frozen=True, slots=True)
class BatchRow:
    """A batch as the store has it, with its woods and its whole record. Instants are hours."""

    id: int
    code: str
    what: str
    pieces: int
    size: Size | None
    schedule: str
    frozen_key: str
    place: str
    wanted_by: float | None
    priority: int
    note: str
    created_at: float
    closed_at: float | None
    held: bool
    woods: tuple[Wood, ...]
    record: tuple[Recorded, ...]

    @property
    def last_number(self) -> int:
        """The number to expect when adding to the record; 0 for an empty one."""
        return self.record[-1].entry.number if self.record else 0


@dataclass(frozen=True, slots=True)
class Known:
    """The open batches by id, as read when `newest` was the newest entry of all, written down at an hour."""

    rows: Mapping[int, BatchRow]
    newest: int
    written_at: float

    def in_order(self) -> tuple[BatchRow, ...]:
        """By code."""
        return tuple(sorted(self.rows.values(), key=lambda row: natural(row.code)))


class Changes(TypedDict, total=False):
    """What may change without an entry. wanted_by is an hour."""

    what: str
    pieces: int
    wanted_by: float | None
    priority: int
    note: str


def create(w: Writer, new: NewBatch, now: float) -> int:
    """Begin a batch and return its id. BadInput if the code is taken; NotFound for an unknown place."""
    size = new.size
    row = BatchTable(
        code=new.code,
        what=new.what,
        pieces=new.pieces,
        length_mm=None if size is None else size.length_mm,
        width_mm=None if size is None else size.width_mm,
        thickness_mm=None if size is None else size.thickness_mm,
        shape=Shape.RECTANGLE if size is None else size.shape.value,
        schedule=new.schedule,
        frozen_key=new.frozen_key,
        place_id=places.by_name(w, new.place).id,
        wanted_by=maybe_instant(new.wanted_by),
        priority=new.priority,
        note=new.note,
        created_at=instant(now),
    )
    if w.connection.scalar(select(BATCH.c.id).where(BATCH.c.code == new.code)) is not None:
        raise _taken(new.code)
    w.session.add(row)
    try:
        w.session.flush()
    except IntegrityError as error:
        # a server lets another writer in between; an unknown frozen_key is a bug of the caller's
        if "uq_batch_code" in str(error.orig):
            raise _taken(new.code) from error
        raise
    assert row.id is not None
    for position, wood in enumerate(new.woods):
        w.session.add(BatchWoodTable(batch_id=row.id, position=position, species=wood.species, share=wood.share))
    w.session.flush()
    return row.id


def _taken(code: str) -> BadInput:
    return BadInput("code", code, "a code that no batch has yet")


def amend(w: Writer, batch_id: int, **changes: Unpack[Changes]) -> None:
    """Change what is no matter of record. BadInput for an unknown batch, or fewer than 1 piece."""
    values: dict[str, Any] = dict(changes)
    if "wanted_by" in changes:
        values["wanted_by"] = maybe_instant(changes["wanted_by"])
    if changes.get("pieces", 1) < 1:
        raise BadInput("pieces", changes.get("pieces"), "at least 1 piece")
    if not values:
        return
    if w.connection.execute(update(BATCH).where(BATCH.c.id == batch_id).values(**values)).rowcount != 1:
        raise BadInput("batch", batch_id, "a batch that is there")


def open_batches(r: Reader) -> tuple[BatchRow, ...]:
    """Every batch that is not closed, by code: three queries, however many there are."""
    return _rows(r, select(BATCH.c.id).where(BATCH.c.closed_at.is_(None)))


def read_on(r: Reader, known: Known | None) -> Known:
    """The open batches, of which only what came on record since `known` is read; all of it without, or if the record
    is another by now, as after a restored backup. A row that has not changed is the same object."""
    newest, written_at = entries.newest(r)
    if known is None or entries.written_at(r, known.newest) != known.written_at:
        return Known({row.id: row for row in open_batches(r)}, newest, written_at)
    ids = select(BATCH.c.id).where(BATCH.c.closed_at.is_(None))
    found = r.connection.execute(_COLUMNS.where(BATCH.c.id.in_(ids))).all()
    added = entries.of_batches(r, ids, after=known.newest) if newest != known.newest else {}
    new = {row.id for row in found} - known.rows.keys()
    # What it is made of may be another after a change or the void of one.
    new |= {i for i, more in added.items() if any(isinstance(m.entry, ChangeEntry | VoidEntry) for m in more)}
    rows = {row.id: row for row in by_ids(r, new)} if new else {}
    for row in found:
        if row.id not in rows:
            old = known.rows[row.id]
            read = _row(row, old.woods, old.record + added.get(row.id, ()))
            rows[row.id] = old if read == old else read
    return Known(rows, newest, written_at)


def by_code(r: Reader, code: str) -> BatchRow:
    """One batch, open or closed. NotFound offers the nearest codes of open batches."""
    found = _rows(r, select(BATCH.c.id).where(BATCH.c.code == code))
    if not found:
        raise NotFound("batch", code, r.connection.scalars(select(BATCH.c.code).where(BATCH.c.closed_at.is_(None))))
    return found[0]


def by_ids(r: Reader, ids: Iterable[int]) -> tuple[BatchRow, ...]:
    """Some batches, by code; an id that isn't there is left out."""
    return _rows(r, select(BATCH.c.id).where(BATCH.c.id.in_(sorted(set(ids)))))


def closed_between(r: Reader, start: float, end: float, *, records: bool = True) -> tuple[BatchRow, ...]:
    """The batches closed from one hour up to another, by code. records False: their records are left unread, empty."""
    closed = BATCH.c.closed_at
    return _rows(r, select(BATCH.c.id).where(closed >= instant(start), closed < instant(end)), records=records)


def worked_between(r: Reader, start: float, end: float) -> tuple[BatchRow, ...]:
    """The batches with an entry from one hour up to another, by code."""
    return _rows(r, select(ENTRY.c.batch_id).where(ENTRY.c.at >= instant(start), ENTRY.c.at < instant(end)).distinct())


def codes(r: Reader, prefix: str = "") -> tuple[str, ...]:
    """Every code that begins with a text, open or closed, in order."""
    query = select(BATCH.c.code)
    if prefix:
        query = query.where(BATCH.c.code.startswith(prefix, autoescape=True))
    # Sorted here: servers order letters by the language they were set up for, and SQLite's LIKE takes A for a.
    return tuple(sorted(code for code in r.connection.scalars(query) if code.startswith(prefix)))


def by_codes(r: Reader, codes: Iterable[str]) -> tuple[BatchRow, ...]:
    """Some batches, by code; a code that isn't there is left out."""
    return _rows(r, select(BATCH.c.id).where(BATCH.c.code.in_(sorted(set(codes)))))


def _rows(r: Reader, ids: Select[tuple[int]], *, records: bool = True) -> tuple[BatchRow, ...]:
    woods: defaultdict[int, list[Wood]] = defaultdict(list)
    for batch_id, species, share in r.connection.execute(_WOODS.where(BATCH_WOOD.c.batch_id.in_(ids))):
        woods[batch_id].append(Wood(species, share))
    kept = entries.of_batches(r, ids) if records else {}
    found = r.connection.execute(_COLUMNS.where(BATCH.c.id.in_(ids)))
    rows = [_row(row, tuple(woods[row.id]), kept.get(row.id, ())) for row in found]
    return tuple(sorted(rows, key=lambda row: natural(row.code)))


_WOODS = select(BATCH_WOOD.c.batch_id, BATCH_WOOD.c.species, BATCH_WOOD.c.share).order_by(
    BATCH_WOOD.c.batch_id, BATCH_WOOD.c.position
)

_COLUMNS = select(
    *(c for c in BATCH.c if c.name != "place_id"),
    PLACE.c.name.label("place"),
).join(PLACE, PLACE.c.id == BATCH.c.place_id)


def _row(row: Any, woods: tuple[Wood, ...], record: tuple[Recorded, ...]) -> BatchRow:
    size = None
    if row.length_mm is not None:
        size = Size(row.length_mm, row.width_mm, row.thickness_mm, Shape(row.shape))
    wanted, created, closed = (maybe_hour(v) for v in (row.wanted_by, row.created_at, row.closed_at))
    assert created is not None
    return BatchRow(
        row.id, row.code, row.what, row.pieces, size, row.schedule, row.frozen_key, row.place,
        wanted, row.priority, row.note, created, closed, row.held, woods, record,
    )  # fmt: skip
