"""Readings left out, of a wrong log or of an hour in the sun; and taken back. All of it stays on record."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path

from finishing.clock import SECONDS
from finishing.errors import BadInput
from finishing.exchange.plain import plain
from finishing.exchange.readings import LogReading
from finishing.shop import next_steps
from finishing.shop.learning.word import checked
from finishing.shop.next_steps import Step, moved_words
from finishing.shop.shop import Shop
from finishing.shop.words import short_stretch, short_time
from finishing.store import left_out as stored
from finishing.store import places as stored_places
from finishing.store.left_out import Extent, Leaving, Rows, Word
from finishing.store.places import PlaceRow
from finishing.store.work import Reader, Writer
from finishing.units import counted, show_temperature

Progress = Callable[[int, int], None]
"""Told so many of all."""

MANY = 20_000
"""From so many readings on it takes seconds to leave them out, or to take them back."""


@dataclass(frozen=True, slots=True)
class LeftOut:
    """What a leaving-out came to, or would (number None). moved: next steps it moves; None: not looked."""

    place: str
    number: int | None
    file_name: str
    found: Extent
    moved: tuple[Step, ...] | None = None

    @property
    def first(self) -> float:
        """The hour of the first reading."""
        return self.found.first / SECONDS

    @property
    def last(self) -> float:
        """The hour of the last reading."""
        return self.found.last / SECONDS


@dataclass(frozen=True, slots=True)
class TakenBack:
    """What taking one back came to. back: readings that stand again; not_back: those whose second has one by now.

    moved: next steps it moves; None: not looked.
    """

    place: str
    line: Leaving
    back: int
    not_back: int
    moved: tuple[Step, ...] | None


@dataclass(frozen=True, slots=True)
class Line:
    """A leaving-out as it is listed, with the one that took it back."""

    place: str
    line: Leaving
    back: Leaving | None


def would_leave_out(shop: Shop, name: str, first: float, last: float) -> LeftOut:
    """What `leave_out` would do. NotFound for the place, BadInput where nothing was read in that time."""
    with shop.store.read() as r:
        place = stored_places.by_name(r, name)
        return LeftOut(place.name, None, "", _some(stored.extent(r, place.id, *_seconds(first, last)), place))


def leave_out(
    shop: Shop, name: str, first: float, last: float, now: float, note: str = "", *, progress: Progress | None = None
) -> LeftOut:
    """Leave a place's readings from one hour to another out, both among them. progress: as for `leave_log_out`."""

    def put(w: Writer, place: PlaceRow, word: Word) -> tuple[Extent, Leaving]:
        found = _some(stored.extent(w, place.id, *_seconds(first, last)), place)
        return found, stored.leave_out(w, place.id, found.first, found.last, word, progress or _untold)

    return _put(shop, name, "", put, now, note, beside=progress is not None)


def _untold(done: int, of: int) -> None:
    pass


def would_leave_log_out(shop: Shop, name: str, path: Path, log: LogReading) -> LeftOut:
    """What `leave_log_out` would do."""
    with shop.store.read() as r:
        place = stored_places.by_name(r, name)
        return LeftOut(place.name, None, path.name, _of_log(r, place, path, log))


def leave_log_out(
    shop: Shop,
    name: str,
    path: Path,
    log: LogReading,
    now: float,
    note: str = "",
    *,
    progress: Progress | None = None,
) -> LeftOut:
    """Leave those readings of a log out that stand at a place with the same second and values.

    progress: called with readings done and in all; what it raises stops the work with nothing left out. With it this
    may run beside the screens' own thread, and does not look which steps move. BadInput where none stands there: it
    was read in for another place, or in another zone or unit.
    """

    def put(w: Writer, place: PlaceRow, word: Word) -> tuple[Extent, Leaving]:
        found = _of_log(w, place, path, log)
        return found, stored.leave_out_these(w, place.id, found, _rows(log), word, progress or _untold)

    return _put(shop, name, path.name, put, now, note, beside=progress is not None)


def take_back(shop: Shop, number: int, now: float, note: str = "", *, progress: Progress | None = None) -> TakenBack:
    """Put the readings of a leaving-out back where their second is still free. BadInput for one that doesn't hold.

    progress: as for `leave_log_out`.
    """
    before = None if progress is not None else next_steps.opens(shop, now)
    word = Word(now, "", shop.settings.maker, checked(note))
    with shop.store.write(turn_later=True) as w:  # other benches record while many come back
        line = next((one for one in stored.all_leavings(w) if one.number == number), None)
        back = stored.put_back(w, number, word, progress or _untold)
        w.take_turn()
        names = {place.id: place.name for place in stored_places.all_places(w)}
        w.commit()
    assert line is not None
    moved = None
    if before is not None:
        shop.forget()
        moved = next_steps.moved(shop, before, now)
    return TakenBack(names[line.place_id], line, back.readings, line.readings - back.readings, moved)


def lines(shop: Shop, name: str | None = None) -> tuple[Line, ...]:
    """What was left out, of one place or of all, the newest first."""
    with shop.store.read() as r:
        only = None if name is None else stored_places.by_name(r, name).id
        names = {place.id: place.name for place in stored_places.all_places(r)}
        found = stored.all_leavings(r)
    backs = {line.voids: line for line in found}
    return tuple(
        Line(names[line.place_id], line, backs.get(line.number))
        for line in reversed(found)
        if line.voids is None and only in (None, line.place_id)
    )


def _seconds(first: float, last: float) -> tuple[int, int]:
    """Whole seconds; an hour as a float is a little off them."""
    return math.ceil(first * SECONDS - 0.01), math.floor(last * SECONDS + 0.01)


def _some(found: Extent | None, place: PlaceRow) -> Extent:
    if found is None:
        raise BadInput("readings", 0, f"some of {place.name} in that time")
    return found


def _of_log(r: Reader, place: PlaceRow, path: Path, log: LogReading) -> Extent:
    found = stored.extent_of(r, place.id, _rows(log))
    if found is None:
        hint = "name the place, zone and unit it was read in with"
        raise BadInput("log", plain(path.name, 80), f"one whose readings stand at {place.name} as they are in it", hint)
    return found


def _rows(log: LogReading) -> Callable[[], Iterator[Rows]]:
    return lambda: ((part.seconds, part.temperature_c, part.humidity_pct) for part in log.stretches())


def _put(
    shop: Shop,
    name: str,
    file_name: str,
    put: Callable[[Writer, PlaceRow, Word], tuple[Extent, Leaving]],
    now: float,
    note: str,
    *,
    beside: bool = False,
) -> LeftOut:
    """beside: it runs beside the screens' own thread, which sees the commit by the data's version."""
    before = None if beside else next_steps.opens(shop, now)
    word = Word(now, file_name, shop.settings.maker, checked(note))
    with shop.store.write(turn_later=True) as w:  # other benches record while many go
        place = stored_places.by_name(w, name)
        found, line = put(w, place, word)
        w.take_turn()
        w.commit()
    done = LeftOut(place.name, line.number, file_name, found)
    if before is None:
        return done
    shop.forget()
    return replace(done, moved=next_steps.moved(shop, before, now))


def found_words(found: LeftOut, units: str, zone: str, now: float) -> str:
    """How many readings, from when to when, and how warm: "48 readings, Mon 10:00 to Tue 09:00, 10 °C to 20 °C"."""
    low, high = (show_temperature(c, units) for c in (found.found.low_c, found.found.high_c))
    warmth = low if low == high else f"{low} to {high}"
    return f"{count_words(found.found.readings)}, {span_words(found.found, zone, now)}, {warmth}"


def line_words(one: Line, zone: str, now: float) -> str:
    """A leaving-out in a line: "48 readings, Mon 10:00 to Tue 09:00, of log.csv, in the sun"."""
    line = one.line
    of = f", of {line.file_name}" if line.file_name else ""
    note = f", {line.note}" if line.note else ""
    return f"{count_words(line.readings)}, {span_words(line, zone, now)}{of}{note}"


def count_words(readings: int) -> str:
    """How many."""
    return counted(readings, "reading")


def span_words(found: Extent | Leaving, zone: str, now: float) -> str:
    """From the first to the last."""
    first, last = found.first / SECONDS, found.last / SECONDS
    if found.first == found.last:
        return short_time(first, zone, now)
    return short_stretch(first, last, zone, now)


def left_out_words(done: LeftOut, units: str, zone: str, now: float) -> str:
    """What was done, or would be, and what it moves."""
    what = f"{done.place}: {found_words(done, units, zone, now)}"
    if done.number is None:
        return f"{what}: would be left out"
    moved = "" if done.moved is None else moved_words(done.moved, zone, now)
    return f"{what}: left out, number {done.number}{moved}"


def taken_back_words(done: TakenBack, zone: str, now: float) -> str:
    """What was done, what stays out, and what it moves."""
    kept = f", {done.not_back:,} not: another stands at their second" if done.not_back else ""
    moved = "" if done.moved is None else moved_words(done.moved, zone, now)
    return f"{done.place}: {count_words(done.back)} taken back{kept}{moved}"
