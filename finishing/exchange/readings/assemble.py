"""Collected rows put on the UTC axis, sorted, without doubles, with an account of how they were understood."""

from __future__ import annotations

from dataclasses import dataclass
from typing import cast

import numpy as np
import numpy.typing as npt

from finishing.cure.climate import BRIDGE_HOURS
from finishing.errors import BadFile
from finishing.exchange.readings.columns import Chosen, StampKind
from finishing.exchange.readings.date_order import Decided, decide
from finishing.exchange.readings.dates import NO_DAY, Order
from finishing.exchange.readings.layout import DELIMITERS, Layout
from finishing.exchange.readings.rows import DOUBLE, NOT_A_DATE, Rows
from finishing.exchange.readings.times import FIXED
from finishing.exchange.readings.understanding import LogGap, Taken, Understanding
from finishing.exchange.readings.zones import Placed, to_utc, zone_of

Seconds = npt.NDArray[np.int64]
Array = npt.NDArray[np.float64]

GAPS_KEPT = 20
_UNITS = {"C": "°C", "F": "°F", "K": "K"}


@dataclass(frozen=True, slots=True)
class LogReading:
    """A log's readings: UTC epoch seconds (strictly increasing), °C, % RH (NaN where there is none)."""

    seconds: Seconds
    temperature_c: Array
    humidity_pct: Array
    understanding: Understanding


@dataclass(frozen=True, slots=True)
class Form:
    """What was known of the file before its rows: shown name and encoding, the shop's zone, layout and columns."""

    name: str
    encoding: str
    zone: str
    layout: Layout
    chosen: Chosen
    decimal_comma: bool


def assemble(form: Form, rows: Rows, day_first: bool | None) -> LogReading:
    """The readings in order of time. BadFile when not one row could be read; BadInput when dates stay open."""
    ids = cast("npt.NDArray[np.int32]", rows.column(0))
    codes = cast("Seconds", rows.column(1))
    if len(ids) == 0:
        raise BadFile(form.name, f"no readable rows: {_why_none(rows)}")
    order = decide(rows.stamper.table, ids, codes, day_first)
    days = rows.stamper.table.days(order.order or Order.DAY_FIRST)[ids]
    lines = cast("Seconds", rows.column(4))
    rows.skips.add(NOT_A_DATE, lines[days == NO_DAY])
    kept = np.flatnonzero(days != NO_DAY)
    instants = _Instants(form, days[kept], codes[kept])
    del ids, codes, days
    kept, seconds = _in_order(kept, instants.utc, lines, rows)
    if len(seconds) == 0:
        raise BadFile(form.name, f"no readable rows: {_why_none(rows)}")
    temperature = cast("Array", rows.column(2))[kept]
    humidity = cast("Array", rows.column(3))[kept]
    notes = (*_column_notes(form, humidity), *instants.notes())
    return LogReading(seconds, temperature, humidity, _account(form, rows, order, instants.source, seconds, notes))


def _why_none(rows: Rows) -> str:
    found = rows.skips.all()
    return f"{found[0].count:,} skipped, {found[0].reason} (line {found[0].lines[0]})" if found else "all are blank"


class _Instants:
    """UTC seconds of rows, and where their zone came from."""

    def __init__(self, form: Form, days: Seconds, codes: Seconds) -> None:
        fixed = codes >= FIXED // 2
        self.zone = form.zone
        self.utc = days * 86_400 + codes - np.where(fixed, FIXED, 0)
        self.placed = Placed(self.utc[:0])
        self.source = "UTC, or an offset beside each time in the file"
        if form.chosen.stamp in (StampKind.EPOCH_S, StampKind.EPOCH_MS):
            self.source = "UTC: counted since 1970"
            return
        naive = ~fixed
        if not naive.any():
            return
        if form.chosen.offset is not None:
            self.utc[naive] -= form.chosen.offset
            said = _offset_words(form.chosen.offset) + ", as the header says"
        else:
            self.placed = to_utc(self.utc[naive], zone_of(form.zone))
            self.utc[naive] = self.placed.utc
            said = f"no zone in the file: read as the shop's zone {form.zone}"
        some = int(np.count_nonzero(fixed))
        self.source = f"{said}; {some:,} rows with UTC or an offset of their own" if some else said

    def notes(self) -> list[str]:
        """What the clock changes did to the times."""
        placed, said = self.placed, []
        if placed.doubled and not placed.unsettled:
            said.append(
                f"{placed.doubled:,} times are in an hour that the autumn clock change doubles: "
                "told apart by their order in the file"
            )
        if placed.unsettled:
            said.append(
                f"{placed.unsettled:,} times are in an hour that the autumn clock change doubles and the file has "
                "no order to tell them apart: all taken for the first pass"
            )
        if placed.nonexistent:
            said.append(
                f"{placed.nonexistent:,} times do not exist in {self.zone} (spring clock change): read with the "
                "offset before it; if the logger's clock is never put forward, give a zone without clock changes"
            )
        return said


def _offset_words(seconds: int) -> str:
    if seconds == 0:
        return "UTC"
    minutes = abs(seconds) // 60
    return f"UTC{'-' if seconds < 0 else '+'}{minutes // 60:02d}:{minutes % 60:02d}"


def _in_order(
    kept: npt.NDArray[np.intp], utc: Seconds, lines: Seconds, rows: Rows
) -> tuple[npt.NDArray[np.intp], Seconds]:
    """Row indices and instants sorted by time; of equal times the first in the file stays, the others are counted."""
    order = np.argsort(utc, kind="stable")
    seconds = utc[order]
    again = np.zeros(len(seconds), dtype=bool)
    again[1:] = seconds[1:] == seconds[:-1]
    rows.skips.add(DOUBLE, lines[kept[order[again]]])
    return kept[order[~again]], seconds[~again]


def _column_notes(form: Form, humidity: Array) -> list[str]:
    chosen, said = form.chosen, []
    if not form.layout.headers:
        said.append("no header: the columns were told by their values and order")
    if chosen.unit_assumed:
        said.append("the file names no unit of temperature: °C assumed")
    if chosen.stamp is StampKind.DATE_ONLY:
        said.append("there is no time of day: each reading is put at the start of its day")
    present = humidity[~np.isnan(humidity)]
    if chosen.humidity is not None and 0 < len(present) < len(humidity):
        said.append(f"{len(humidity) - len(present):,} of the rows kept have no humidity")
    if len(present) and present.max() <= 1.0:
        said.append("no humidity is above 1 %: if these are fractions, the header must say so (0-1)")
    return said


def _account(
    form: Form, rows: Rows, order: Decided, zone_source: str, seconds: Seconds, notes: tuple[str, ...]
) -> Understanding:
    steps = np.diff(seconds)
    wide = np.flatnonzero(steps > BRIDGE_HOURS * 3600)
    used = form.chosen.used
    unused = [form.layout.name(c) for c in range(form.layout.width) if c not in used]
    epoch = form.chosen.stamp in (StampKind.EPOCH_S, StampKind.EPOCH_MS)
    return Understanding(
        name=form.name,
        encoding=form.encoding,
        delimiter=DELIMITERS[form.layout.delimiter],
        decimal_mark="comma" if form.decimal_comma else "point",
        header_line=form.layout.header_line,
        columns=_taken(form),
        ignored=tuple(name for name in unused if name),
        date_order="counted" if epoch else order.order.value if order.order else "no order to decide",
        date_reason="since 1970" if epoch else order.why,
        zone=form.zone,
        zone_source=zone_source,
        rows_read=rows.read,
        rows_kept=len(seconds),
        skipped=rows.skips.all(),
        first=int(seconds[0]),
        last=int(seconds[-1]),
        interval_seconds=float(np.median(steps)) if len(steps) else None,
        gaps=tuple(LogGap(int(seconds[i]), int(seconds[i + 1])) for i in wide[:GAPS_KEPT]),
        gap_count=len(wide),
        notes=notes,
    )


def _taken(form: Form) -> tuple[Taken, ...]:
    chosen, name = form.chosen, form.layout.name
    units = {StampKind.EPOCH_S: "seconds since 1970", StampKind.EPOCH_MS: "milliseconds since 1970"}
    role = "date" if chosen.clock is not None or chosen.stamp is StampKind.DATE_ONLY else "time"
    taken = [Taken(role, chosen.time + 1, name(chosen.time), units.get(chosen.stamp, ""))]
    if chosen.clock is not None:
        taken.append(Taken("time", chosen.clock + 1, name(chosen.clock)))
    unit = _UNITS[chosen.unit] + (" assumed" if chosen.unit_assumed else "")
    taken.append(Taken("temperature", chosen.temperature + 1, name(chosen.temperature), unit))
    if chosen.humidity is not None:
        unit = "fraction of 1" if chosen.fraction else "% RH"
        taken.append(Taken("humidity", chosen.humidity + 1, name(chosen.humidity), unit))
    return tuple(taken)
