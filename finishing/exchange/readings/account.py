"""The account of a log: what it came to, gathered while its readings pass by."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from finishing.cure.climate import BRIDGE_HOURS
from finishing.exchange.readings.columns import Chosen, StampKind
from finishing.exchange.readings.date_order import Decided
from finishing.exchange.readings.layout import DELIMITERS, Layout
from finishing.exchange.readings.rows import Rows
from finishing.exchange.readings.spool import Rows as Records
from finishing.exchange.readings.tally import Tally
from finishing.exchange.readings.understanding import LogGap, Taken, Understanding

GAPS_KEPT = 20
_UNITS = {"C": "°C", "F": "°F", "K": "K"}


@dataclass(frozen=True, slots=True)
class Form:
    """What was known of the file before its rows: shown name and encoding, the shop's zone, layout and columns."""

    name: str
    encoding: str
    zone: str
    layout: Layout
    chosen: Chosen
    decimal_comma: bool


class Survey:
    """Readings counted as they pass by in order of time: how many, from when to when, their steps and gaps."""

    def __init__(self) -> None:
        self.kept = self.humid = self.gap_count = 0
        self.first = self.last = 0
        self.most_humid = 0.0
        self.gaps: list[LogGap] = []
        # Steps only rise, so few can differ: 130 years hold no more than 90,000 steps of different lengths.
        self.steps = Tally()

    def add(self, rows: Records) -> None:
        """The next readings."""
        if len(rows) == 0:
            return
        at = rows["at"] if self.kept == 0 else np.append(self.last, rows["at"])
        steps = np.diff(at)
        self.steps.add(steps)
        wide = np.flatnonzero(steps > BRIDGE_HOURS * 3600)
        self.gap_count += len(wide)
        room = GAPS_KEPT - len(self.gaps)
        self.gaps += [LogGap(int(at[i]), int(at[i + 1])) for i in wide[:room]]
        humidity = rows["humidity"][~np.isnan(rows["humidity"])]
        if len(humidity):
            self.humid += len(humidity)
            self.most_humid = max(self.most_humid, float(humidity.max()))
        self.first = self.first if self.kept else int(at[0])
        self.last = int(at[-1])
        self.kept += len(rows)


def _column_notes(form: Form, survey: Survey) -> list[str]:
    chosen, said = form.chosen, []
    if not form.layout.headers:
        said.append("no header: the columns were told by their values and order")
    if chosen.unit_assumed:
        said.append("the file names no unit of temperature: °C assumed")
    if chosen.stamp is StampKind.DATE_ONLY:
        said.append("there is no time of day: each reading is put at the start of its day")
    if chosen.humidity is not None and 0 < survey.humid < survey.kept:
        said.append(f"{survey.kept - survey.humid:,} of the rows kept have no humidity")
    if survey.humid and survey.most_humid <= 1.0:
        said.append("no humidity is above 1 %: if these are fractions, the header must say so (0-1)")
    return said


def account(
    form: Form, rows: Rows, order: Decided, zone_source: str, survey: Survey, notes: list[str]
) -> Understanding:
    """How the log was understood. notes: what its times needed; those about its columns are put before them."""
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
        rows_kept=survey.kept,
        skipped=rows.skips.all(),
        first=survey.first,
        last=survey.last,
        interval_seconds=survey.steps.median(),
        gaps=tuple(survey.gaps),
        gap_count=survey.gap_count,
        notes=(*_column_notes(form, survey), *notes),
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
