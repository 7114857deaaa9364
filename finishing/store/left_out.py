"""Readings left out: moved where no question looks, whole, with a line that says so; and put back by another line.

Nothing is lost by it: a trigger lets a reading go only where the very same one stands among those left out.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
from sqlalchemy import ColumnElement, delete, exists, func, insert, literal, select

from finishing.clock import hour_of
from finishing.errors import BadInput
from finishing.store.insert import BATCH_OF_ROWS, insert_missing, insert_new_columns
from finishing.store.readings import Array, Seconds, or_none, readings_since
from finishing.store.tables import LEAVING, LEFT_READING, READING, LeavingTable
from finishing.store.trouble import Conflict
from finishing.store.types import instant
from finishing.store.work import Reader, Writer

Mask = npt.NDArray[np.bool_]
Rows = tuple[Seconds, Array, Array]
"""Epoch seconds in order, °C, % RH (NaN: not measured)."""

Again = Callable[[], Iterable[Rows]]
"""Gives the same rows each time it is asked, some tens of thousands at a time."""


Progress = Callable[[int, int], None]
"""Told so many of all."""


@dataclass(frozen=True, slots=True)
class Extent:
    """Some readings of a place: how many, the first and last [epoch second], the lowest and highest [°C]."""

    readings: int
    first: int
    last: int
    low_c: float
    high_c: float


@dataclass(frozen=True, slots=True)
class Leaving:
    """A line of what was left out; voids: the number of the one whose readings it put back.

    first, last: epoch seconds of the readings; readings: how many were left out, or put back. file_name: "" where a
    stretch of time was named. recorded_at: hour.
    """

    number: int
    place_id: int
    file_name: str
    first: int
    last: int
    readings: int
    voids: int | None
    recorded_at: float
    maker: str
    note: str


@dataclass(frozen=True, slots=True)
class Word:
    """What is kept beside a line: the file, when [hour], who, and a note."""

    now: float
    file_name: str = ""
    maker: str = ""
    note: str = ""


def extent(r: Reader, place_id: int, first: int, last: int) -> Extent | None:
    """The readings of a place from one second to another, both among them; None where there are none."""
    t = READING.c
    lows = func.count(), func.min(t.at), func.max(t.at), func.min(t.temperature_c), func.max(t.temperature_c)
    row = r.connection.execute(select(*lows).where(_between(place_id, first, last))).one()
    return Extent(*row) if row[0] else None


def extent_of(r: Reader, place_id: int, rows: Again) -> Extent | None:
    """Those of some readings that stand at a place as they are; None where there are none."""
    found: Extent | None = None
    for seconds, warmth, _ in _standing(r, place_id, rows):
        new = Extent(len(seconds), int(seconds[0]), int(seconds[-1]), float(warmth.min()), float(warmth.max()))
        found = new if found is None else _both(found, new)
    return found


def _both(a: Extent, b: Extent) -> Extent:
    return Extent(
        a.readings + b.readings,
        min(a.first, b.first),
        max(a.last, b.last),
        min(a.low_c, b.low_c),
        max(a.high_c, b.high_c),
    )


def _standing(r: Reader, place_id: int, rows: Again) -> Iterator[Rows]:
    """Of some readings those that stand at a place with the same values."""
    for part in slices(rows()):
        same = same_readings(part, readings_since(r, place_id, int(part[0][0]), int(part[0][-1])))
        if same.any():
            yield part[0][same], part[1][same], part[2][same]


def slices(rows: Iterable[Rows]) -> Iterator[Rows]:
    """The same readings, not too many at a time and never none."""
    for seconds, warmth, damp in rows:
        for begin in range(0, len(seconds), BATCH_OF_ROWS):
            some = slice(begin, begin + BATCH_OF_ROWS)
            yield seconds[some], warmth[some], damp[some]


def same_readings(rows: Rows, among: Rows) -> Mask:
    """Which of some readings are among others: of one second, temperature and humidity, none measured among it."""
    seconds, warmth, damp = rows
    if len(among[0]) == 0:
        return np.zeros(len(seconds), dtype=np.bool_)
    at = np.minimum(np.searchsorted(among[0], seconds), len(among[0]) - 1)
    humidity = among[2][at]
    same_damp = (humidity == damp) | (np.isnan(humidity) & np.isnan(damp))
    return np.asarray((among[0][at] == seconds) & (among[1][at] == warmth) & same_damp, dtype=np.bool_)


def leave_out(
    w: Writer, place_id: int, first: int, last: int, word: Word, progress: Progress = lambda done, of: None
) -> Leaving:
    """Leave a place's readings from one second to another out, both among them, portion by portion.

    BadInput where there are none; Conflict where another bench brought some in meanwhile. progress: called with
    readings done and in all.
    """
    w.take_leaving_turn()
    found = extent(w, place_id, first, last)
    if found is None:
        raise BadInput("readings", 0, "some in that time")
    line, done, t = _add(w, place_id, (found.first, found.last), found.readings, word), 0, READING.c
    for begin, end in _portions(w, t, t.place_id == place_id, found.first, found.last):
        moved = select(t.place_id, t.at, literal(line.number), t.temperature_c, t.humidity_pct)
        w.connection.execute(
            insert(LEFT_READING).from_select(
                ["place_id", "at", "leaving_id", "temperature_c", "humidity_pct"],
                moved.where(_between(place_id, begin, end)),
            )
        )
        done += _take_away(w, line, begin, end)
        progress(min(done, found.readings), found.readings)
    _all_of_them(line, done)
    return line


def _portions(w: Writer, t: Any, which: ColumnElement[bool], first: int, last: int) -> Iterator[tuple[int, int]]:
    """A stretch of seconds in parts with no more than so many rows of a table each."""
    begin = first
    while begin <= last:
        rows = select(t.at).where(which, t.at.between(begin, last)).order_by(t.at)
        end = w.connection.scalar(rows.offset(BATCH_OF_ROWS - 1).limit(1))
        yield begin, last if end is None else end
        begin = last + 1 if end is None else end + 1


def _all_of_them(line: Leaving, done: int) -> None:
    """Conflict where as many went as there were no longer: some came in while the first went."""
    if done != line.readings:
        said = f"readings of the place came in while {line.readings:,} were being left out"
        raise Conflict(said, "nothing was left out; look how many there are now, and do it again")


def leave_out_these(
    w: Writer,
    place_id: int,
    found: Extent,
    rows: Again,
    word: Word,
    progress: Progress = lambda done, of: None,
) -> Leaving:
    """Leave those of some readings out that stand at a place as they are.

    found: what `extent_of` says of them in the same unit of work. progress: called with readings done and in all.
    """
    if extent(w, place_id, found.first, found.last) == found:  # no other among them: the database moves them by itself
        return leave_out(w, place_id, found.first, found.last, word, progress)
    w.take_leaving_turn()
    line, done = _add(w, place_id, (found.first, found.last), found.readings, word), 0
    for part in _standing(w, place_id, rows):
        _keep(w, line, part)
        done += _take_away(w, line, int(part[0][0]), int(part[0][-1]))
        progress(min(done, found.readings), found.readings)
    _all_of_them(line, done)
    return line


def _between(place_id: int, first: int, last: int) -> ColumnElement[bool]:
    return (READING.c.place_id == place_id) & READING.c.at.between(first, last)


def _add(
    w: Writer, place_id: int, span: tuple[int, int], readings: int, word: Word, voids: int | None = None
) -> Leaving:
    row = LeavingTable(
        place_id=place_id,
        file_name=word.file_name,
        first_at=span[0],
        last_at=span[1],
        readings=readings,
        voids=voids,
        recorded_at=instant(word.now),
        maker=word.maker,
        note=word.note,
    )
    w.session.add(row)
    w.session.flush()
    assert row.id is not None
    return Leaving(row.id, place_id, word.file_name, *span, readings, voids, word.now, word.maker, word.note)


def _keep(w: Writer, line: Leaving, rows: Rows) -> None:
    t = LEFT_READING.c
    insert_new_columns(w.connection, LEFT_READING, {
        t.place_id: [line.place_id] * len(rows[0]),
        t.at: rows[0].tolist(),
        t.leaving_id: [line.number] * len(rows[0]),
        t.temperature_c: rows[1].tolist(),
        t.humidity_pct: or_none(rows[2]),
    })  # fmt: skip


def _take_away(w: Writer, line: Leaving, first: int, last: int) -> int:
    """Take those from among the readings of a stretch that are kept under a line; how many."""
    left = LEFT_READING.c
    kept = exists().where(left.place_id == READING.c.place_id, left.at == READING.c.at, left.leaving_id == line.number)
    return w.connection.execute(delete(READING).where(_between(line.place_id, first, last), kept)).rowcount


def put_back(w: Writer, number: int, word: Word, progress: Progress = lambda done, of: None) -> Leaving:
    """Void a leaving-out: its readings stand again whose second has none by now. BadInput for one that doesn't hold.

    progress: called with readings looked at and in all.
    """
    w.take_leaving_turn()
    line = next((one for one in holding(w) if one.number == number), None)
    if line is None:
        raise BadInput("number", number, "the number of a leaving-out that still holds")
    left = LEFT_READING.c
    its = (left.place_id == line.place_id) & (left.leaving_id == number)
    back = seen = 0
    for begin, end in _portions(w, left, its, line.first, line.last):
        kept = select(left.place_id, left.at, left.temperature_c, left.humidity_pct).where(
            its, left.at.between(begin, end)
        )
        back += insert_missing(w.connection, READING, ["place_id", "at", "temperature_c", "humidity_pct"], kept)
        seen += BATCH_OF_ROWS
        progress(min(seen, line.readings), line.readings)
    return _add(w, line.place_id, (line.first, line.last), back, word, voids=number)


def kept(r: Reader, line: Leaving, first: int, last: int) -> Rows:
    """The readings left out under a line, from one second to another, in order."""
    t = LEFT_READING.c
    query = select(t.at, t.temperature_c, t.humidity_pct).where(
        t.place_id == line.place_id, t.at.between(first, last), t.leaving_id == line.number
    )
    rows = r.connection.execute(query.order_by(t.at)).all()
    at, warmth, damp = zip(*rows, strict=True) if rows else ((), (), ())
    return np.array(at, np.int64), np.array(warmth, np.float64), np.array(damp, np.float64)


def all_leavings(r: Reader) -> tuple[Leaving, ...]:
    """Every line, in order."""
    return tuple(
        Leaving(
            row.id, row.place_id, row.file_name, row.first_at, row.last_at, row.readings, row.voids,
            hour_of(row.recorded_at), row.maker, row.note,
        )
        for row in r.connection.execute(select(LEAVING).order_by(LEAVING.c.id))
    )  # fmt: skip


def holding(r: Reader) -> tuple[Leaving, ...]:
    """Those whose readings are left out still, in order."""
    found = all_leavings(r)
    over = {line.voids for line in found}
    return tuple(line for line in found if line.voids is None and line.number not in over)


def newest(r: Reader) -> tuple[int, float]:
    """The number of the newest line and its hour; 0 and 0.0 where there is none."""
    row = r.connection.execute(
        select(LEAVING.c.id, LEAVING.c.recorded_at).order_by(LEAVING.c.id.desc()).limit(1)
    ).first()
    return (0, 0.0) if row is None else (row.id, hour_of(row.recorded_at))


def changed_since(r: Reader, seen: tuple[int, float]) -> int | None:
    """The epoch second from which on readings changed by lines after one that was seen (`newest`); None for no line.

    0 where that one is not there: it was of another record, and any reading may differ.
    """
    number, at = seen
    there = r.connection.scalar(select(LEAVING.c.recorded_at).where(LEAVING.c.id == number))
    if number and (there is None or hour_of(there) != at):
        return 0
    first: int | None = r.connection.scalar(select(func.min(LEAVING.c.first_at)).where(LEAVING.c.id > number))
    return first
