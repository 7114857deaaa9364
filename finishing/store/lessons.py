"""The maker's word on what is learned from touch tests: left out, forgotten, or taken back. Nothing is ever changed.

And which batches were touched by a finger, and since when: what learning asks before it reads any record.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from enum import StrEnum

from sqlalchemy import func, select

from finishing.clock import hour_of
from finishing.errors import BadInput
from finishing.store.kinds import TEST
from finishing.store.tables import BATCH, ENTRY, LESSON, LessonTable
from finishing.store.types import instant
from finishing.store.work import Reader, Writer


class LessonKind(StrEnum):
    """EXCLUDE: a test tells nothing. RESET: a finish's tests up to an hour are forgotten. VOID: one of these is."""

    EXCLUDE = "exclude"
    RESET = "reset"
    VOID = "void"


@dataclass(frozen=True, slots=True)
class Lesson:
    """One line of it. test: number of a touch test's entry. at, recorded_at: hours."""

    number: int
    kind: LessonKind
    finish: str
    test: int | None
    voids: int | None
    at: float
    recorded_at: float
    maker: str
    note: str


def exclude(w: Writer, finish: str, test: int, now: float, *, maker: str = "", note: str = "") -> int:
    """Leave a touch test out. BadInput for the number of no touch test."""
    if w.connection.scalar(select(ENTRY.c.kind).where(ENTRY.c.id == test)) != TEST:
        raise BadInput("test", test, "the number of a touch test on record")
    row = LessonTable(kind=LessonKind.EXCLUDE, finish=finish, entry_id=test, at=instant(now), recorded_at=instant(now))
    return _add(w, row, maker, note)


def reset(w: Writer, finish: str, at: float, now: float, *, maker: str = "", note: str = "") -> int:
    """Forget a finish's tests up to an hour."""
    row = LessonTable(kind=LessonKind.RESET, finish=finish, at=instant(at), recorded_at=instant(now))
    return _add(w, row, maker, note)


def void(w: Writer, number: int, now: float, *, maker: str = "", note: str = "") -> int:
    """Take an exclusion or a reset back. BadInput for one that doesn't hold."""
    found = next((lesson for lesson in standing(w) if lesson.number == number), None)
    if found is None:
        raise BadInput("lesson", number, "the number of an exclusion or reset that still holds")
    row = LessonTable(
        kind=LessonKind.VOID, finish=found.finish, voids=number, at=instant(now), recorded_at=instant(now)
    )
    return _add(w, row, maker, note)


def _add(w: Writer, row: LessonTable, maker: str, note: str) -> int:
    row.maker, row.note = maker, note
    w.session.add(row)
    w.session.flush()
    assert row.id is not None
    return row.id


def all_lessons(r: Reader) -> tuple[Lesson, ...]:
    """Every line, in order, the void among them."""
    rows = r.connection.execute(select(LESSON).order_by(LESSON.c.id))
    return tuple(
        Lesson(
            row.id, LessonKind(row.kind), row.finish, row.entry_id, row.voids,
            hour_of(row.at), hour_of(row.recorded_at), row.maker, row.note,
        )
        for row in rows
    )  # fmt: skip


def standing(r: Reader) -> tuple[Lesson, ...]:
    """Exclusions and resets that hold."""
    found = all_lessons(r)
    dead = {lesson.voids for lesson in found}
    return tuple(one for one in found if one.kind is not LessonKind.VOID and one.number not in dead)


def batches_since(r: Reader, number: int) -> set[int]:
    """Ids of the batches with an entry after a number."""
    # Not DISTINCT, for which SQLite would rather walk through a whole index than a few new rows.
    return set(r.connection.scalars(select(ENTRY.c.batch_id).where(ENTRY.c.id > number)))


def newest_tested(r: Reader, most: int) -> list[int]:
    """Ids of the batches that were touched last, the newest first."""
    last = func.max(ENTRY.c.id)
    query = select(ENTRY.c.batch_id).where(ENTRY.c.kind == TEST).group_by(ENTRY.c.batch_id)
    return list(r.connection.scalars(query.order_by(last.desc()).limit(most)))


def batches_of(r: Reader, numbers: set[int]) -> dict[int, int]:
    """The batch of each of some entries."""
    rows = r.connection.execute(select(ENTRY.c.id, ENTRY.c.batch_id).where(ENTRY.c.id.in_(sorted(numbers))))
    return {row.id: row.batch_id for row in rows}


@dataclass(frozen=True, slots=True)
class Felt:
    """A touch test's entry as learning names it: its number, its batch, when, the stage and the finding."""

    number: int
    batch_id: int
    code: str
    at: float
    stage: str
    finding: str


def felt(r: Reader, numbers: Collection[int]) -> dict[int, Felt]:
    """Touch tests by number; numbers of no touch test are left out."""
    query = (
        select(ENTRY.c.id, ENTRY.c.batch_id, BATCH.c.code, ENTRY.c.at, ENTRY.c.body)
        .join(BATCH, BATCH.c.id == ENTRY.c.batch_id)
        .where(ENTRY.c.id.in_(sorted(numbers)), ENTRY.c.kind == TEST)
    )
    return {
        row.id: Felt(row.id, row.batch_id, row.code, hour_of(row.at), row.body["stage"], row.body["finding"])
        for row in r.connection.execute(query)
    }
