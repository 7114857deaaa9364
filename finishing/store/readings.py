"""Readings of temperature and humidity, kept by the second; and the log files they came from."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from sqlalchemy import func, select

from finishing.clock import hour_of
from finishing.errors import BadInput
from finishing.store.insert import insert_new_columns
from finishing.store.tables import LOG_IMPORT, PLACE, READING, LogImportTable
from finishing.store.types import instant
from finishing.store.work import Reader, Writer

Seconds = npt.NDArray[np.int64]
Array = npt.NDArray[np.float64]

_NOT_MEASURED = -1.0
_ROW = np.dtype([("at", np.int64), ("t", np.float64), ("h", np.float64)])


@dataclass(frozen=True, slots=True)
class LogImport:
    """A logger's file that was read in: rows it had, rows that were new, when [hour]."""

    place_id: int
    file_name: str
    sha256: str
    rows: int
    added: int
    imported_at: float


def add_readings(w: Writer, place_id: int, seconds: Seconds, temperatures_c: Array, humidities_pct: Array) -> int:
    """Add readings at epoch seconds and return how many were new; a second that has one keeps it.

    Humidity NaN: not measured. BadInput for lengths that differ, a temperature that is no number, or a humidity
    outside 0 to 100 %.
    """
    if not len(seconds) == len(temperatures_c) == len(humidities_pct):
        raise BadInput("readings", len(seconds), "as many temperatures and humidities as times")
    if len(seconds) == 0:
        return 0
    _sound(temperatures_c, humidities_pct)
    t, places = READING.c, [place_id] * len(seconds)
    values = {t.place_id: places, t.at: seconds.tolist(), t.temperature_c: temperatures_c.tolist()}
    return insert_new_columns(w.connection, READING, values | {t.humidity_pct: or_none(humidities_pct)})


def or_none(values: Array) -> list[float | None]:
    """NaN as no value."""
    return [None if value != value else value for value in values.tolist()]


def _sound(temperatures_c: Array, humidities_pct: Array) -> None:
    for value in temperatures_c[~np.isfinite(temperatures_c)][:1]:
        raise BadInput("temperature", float(value), "a number of °C")
    for value in humidities_pct[(humidities_pct < 0.0) | (humidities_pct > 100.0)][:1]:
        raise BadInput("humidity", float(value), "a relative humidity from 0 to 100 %")


def readings_since(
    r: Reader, place_id: int, from_seconds: float, until_seconds: float | None = None
) -> tuple[Seconds, Array, Array]:
    """Epoch seconds, °C and % RH (NaN: not measured) of a place's readings from an instant on, in order.

    until_seconds: the last that is asked for.
    """
    t = READING.c
    humidity = func.coalesce(t.humidity_pct, _NOT_MEASURED)
    query = select(t.at, t.temperature_c, humidity).where(t.place_id == place_id, t.at >= from_seconds)
    if until_seconds is not None:
        query = query.where(t.at <= until_seconds)
    with r.connection.execute(query.order_by(t.at)) as result:
        assert result.cursor is not None
        # straight from the driver into the array: a row object for each of a million readings takes seconds
        rows = np.fromiter(iter(result.cursor.fetchone, None), dtype=_ROW)
    humidities = np.where(rows["h"] == _NOT_MEASURED, np.nan, rows["h"])
    return rows["at"].copy(), rows["t"].copy(), humidities


def newest(r: Reader) -> dict[int, int]:
    """Epoch second of the last reading, by place id."""
    last = select(func.max(READING.c.at)).where(READING.c.place_id == PLACE.c.id).scalar_subquery()
    return {place_id: at for place_id, at in r.connection.execute(select(PLACE.c.id, last)) if at is not None}


def remember_import(w: Writer, log: LogImport) -> None:
    """Keep that a file was read in."""
    row = LogImportTable(
        place_id=log.place_id,
        file_name=log.file_name,
        sha256=log.sha256,
        rows=log.rows,
        added=log.added,
        imported_at=instant(log.imported_at),
    )
    w.session.add(row)
    w.session.flush()


def import_count(r: Reader) -> int:
    """How many files were read in, for all places."""
    return r.connection.scalar(select(func.count()).select_from(LOG_IMPORT)) or 0


def imports(r: Reader, place_id: int) -> tuple[LogImport, ...]:
    """The files read in for a place, newest first."""
    query = select(LOG_IMPORT).where(LOG_IMPORT.c.place_id == place_id).order_by(LOG_IMPORT.c.id.desc())
    rows = r.connection.execute(query)
    return tuple(
        LogImport(row.place_id, row.file_name, row.sha256, row.rows, row.added, hour_of(row.imported_at))
        for row in rows
    )
