"""What was read of a log put on the UTC axis, in order and without doubles, and how it was understood."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from finishing.errors import BadFile
from finishing.exchange.readings.account import Form, Survey, account
from finishing.exchange.readings.columns import StampKind
from finishing.exchange.readings.date_order import decide
from finishing.exchange.readings.dates import NO_DAY, Order
from finishing.exchange.readings.in_order import READING, Readings, again
from finishing.exchange.readings.rows import DOUBLE, NOT_A_DATE, Rows
from finishing.exchange.readings.spool import Rows as Records
from finishing.exchange.readings.times import is_fixed, second_of_day
from finishing.exchange.readings.understanding import Understanding
from finishing.exchange.readings.zones import DAY, WallClock, zone_of

Seconds = npt.NDArray[np.int64]
Array = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Stretch:
    """Readings that follow each other: UTC epoch seconds (strictly increasing), °C, % RH (NaN: not measured)."""

    seconds: Seconds
    temperature_c: Array
    humidity_pct: Array


class LogReading:
    """A log's readings, laid aside on the disk until this object goes, and how they were understood."""

    def __init__(self, readings: Readings, understanding: Understanding) -> None:
        self._readings = readings
        self.understanding = understanding

    def __len__(self) -> int:
        return self.understanding.rows_kept

    def stretches(self) -> Iterator[Stretch]:
        """The readings by time, some tens of thousands at a time."""
        for rows in _once(self._readings):
            yield Stretch(rows["at"], rows["temperature"], rows["humidity"])

    @property
    def seconds(self) -> Seconds:
        """Every instant at once."""
        return np.concatenate([s.seconds for s in self.stretches()])

    @property
    def temperature_c(self) -> Array:
        """Every temperature at once."""
        return np.concatenate([s.temperature_c for s in self.stretches()])

    @property
    def humidity_pct(self) -> Array:
        """Every humidity at once."""
        return np.concatenate([s.humidity_pct for s in self.stretches()])


def _once(readings: Readings) -> Iterator[Records]:
    last = None
    for rows in readings.all():
        yield rows[~again(rows, last)]
        last = int(rows["at"][-1])


def assemble(form: Form, rows: Rows, day_first: bool | None) -> LogReading:
    """The readings in order of time. BadFile when not one row could be read; BadInput when dates stay open."""
    if len(rows.spool) == 0:
        raise BadFile(form.name, f"no readable rows: {_why_none(rows)}")
    order = decide(rows.stamper.table, rows.spool, day_first)
    days = rows.stamper.table.days(order.order or Order.DAY_FIRST)
    instants = _Instants(form, rows, days)
    readings = Readings(form.name)
    for part in instants.placed():
        readings.add(part)
    survey, last = Survey(), None
    for part in readings.all():
        double = again(part, last)
        rows.skips.add(DOUBLE, part["line"][double])
        survey.add(part[~double])
        last = int(part["at"][-1])
    if survey.kept == 0:
        raise BadFile(form.name, f"no readable rows: {_why_none(rows)}")
    return LogReading(readings, account(form, rows, order, instants.source, survey, instants.notes()))


def _why_none(rows: Rows) -> str:
    found = rows.skips.all()
    return f"{found[0].count:,} skipped, {found[0].reason} (line {found[0].lines[0]})" if found else "all are blank"


class _Instants:
    """UTC seconds of what was read, and where their zone came from."""

    def __init__(self, form: Form, rows: Rows, days: Seconds) -> None:
        self._form, self._rows, self._days = form, rows, days
        self._clock: WallClock | None = None
        self.source = "UTC, or an offset beside each time in the file"
        fixed, span = self._look()
        if form.chosen.stamp in (StampKind.EPOCH_S, StampKind.EPOCH_MS):
            self.source = "UTC: counted since 1970"
            return
        if span is None:
            return
        if form.chosen.offset is not None:
            said = _offset_words(form.chosen.offset) + ", as the header says"
        else:
            said = f"no zone in the file: read as the shop's zone {form.zone}"
            self._clock = WallClock(zone_of(form.zone), *span)
            if self._clock.doubles:
                for _, local, naive in self._dated():
                    self._clock.watch(local[naive])
        self.source = f"{said}; {fixed:,} rows with UTC or an offset of their own" if fixed else said

    def _look(self) -> tuple[int, tuple[int, int] | None]:
        """How many rows fix UTC themselves, and from when to when the others run by their clock."""
        fixed, span = 0, None
        for part in self._rows.spool.parts():
            bad = self._days[part["date"]] == NO_DAY
            self._rows.skips.add(NOT_A_DATE, part["line"][bad])
        for _, local, naive in self._dated():
            fixed += int(np.count_nonzero(~naive))
            if naive.any():
                first, last = int(local[naive].min()), int(local[naive].max())
                span = (first, last) if span is None else (min(first, span[0]), max(last, span[1]))
        return fixed, span

    def _dated(self, *, backwards: bool = False) -> Iterator[tuple[Records, Seconds, npt.NDArray[np.bool_]]]:
        """Rows with a date, their seconds by the clock of the file, and which of these are wall-clock times."""
        for part in self._rows.spool.parts(backwards=backwards):
            days = self._days[part["date"]]
            good = days != NO_DAY
            if not good.all():
                part, days = part[good], days[good]
            yield part, days * DAY + second_of_day(part["code"]), ~is_fixed(part["code"])

    def placed(self) -> Iterator[Records]:
        """The rows with their instants, those of each part in the order of the file."""
        clock, offset = self._clock, self._form.chosen.offset
        backwards = clock is not None and clock.backwards
        for part, at, naive in self._dated(backwards=backwards):
            if clock is not None and backwards:
                at[naive] = clock.place(at[naive][::-1])[::-1]
            elif clock is not None:
                at[naive] = clock.place(at[naive])
            elif offset is not None:
                at[naive] -= offset
            out = np.empty(len(part), dtype=READING)
            out["at"] = at
            for name in ("line", "temperature", "humidity"):
                out[name] = part[name]
            yield out

    def notes(self) -> list[str]:
        """What the clock changes did to the times, once they were placed."""
        clock, said = self._clock, []
        if clock is None:
            return []
        if clock.doubled and not clock.unsettled:
            said.append(
                f"{clock.doubled:,} times are in an hour that the autumn clock change doubles: "
                "told apart by their order in the file"
            )
        if clock.unsettled:
            said.append(
                f"{clock.unsettled:,} times are in an hour that the autumn clock change doubles and the file has "
                "no order to tell them apart: all taken for the first pass"
            )
        if clock.nonexistent:
            said.append(
                f"{clock.nonexistent:,} times do not exist in {self._form.zone} (spring clock change): read with the "
                "offset before it; if the logger's clock is never put forward, give a zone without clock changes"
            )
        return said


def _offset_words(seconds: int) -> str:
    if seconds == 0:
        return "UTC"
    minutes = abs(seconds) // 60
    return f"UTC{'-' if seconds < 0 else '+'}{minutes // 60:02d}:{minutes % 60:02d}"
