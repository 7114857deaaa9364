"""Column types: an aware instant in UTC, and JSON as stable text; and hours to instants and back."""

from __future__ import annotations

import datetime as dt
import json
from typing import Any

from sqlalchemy import DateTime, Dialect, Text
from sqlalchemy.types import TypeDecorator

from finishing.clock import SECONDS, hour_of
from finishing.errors import BadInput

EPOCH = dt.datetime(1970, 1, 1, tzinfo=dt.UTC)

_MICROSECONDS = 3.6e9
_LATEST_HOUR = 24.0 * 366 * 230
_read = dt.datetime.fromisoformat


class UTC(TypeDecorator[dt.datetime]):
    """An instant. Takes aware datetimes only (ValueError otherwise) and gives them back in UTC."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: dt.datetime | None, dialect: Dialect) -> dt.datetime | None:
        """To UTC. SQLite keeps no zone, so that what is written there is UTC without one."""
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError(f"an instant needs a zone: {value!r}")
        utc = value.astimezone(dt.UTC)
        return utc.replace(tzinfo=None) if dialect.name == "sqlite" else utc

    def process_result_value(self, value: dt.datetime | None, dialect: Dialect) -> dt.datetime | None:
        """Aware, in UTC."""
        if value is None:
            return None
        return value.replace(tzinfo=dt.UTC) if value.tzinfo is None else value.astimezone(dt.UTC)


class JsonText(TypeDecorator[Any]):
    """Any JSON value as text: sorted keys, no spaces, letters as they are. ValueError for NaN and infinities."""

    impl = Text
    cache_ok = True

    def process_bind_param(self, value: Any, dialect: Dialect) -> str:
        """To canonical JSON."""
        return canonical(value)

    def process_result_value(self, value: str | None, dialect: Dialect) -> Any:
        """From JSON."""
        return None if value is None else json.loads(value)


def canonical(value: Any) -> str:
    """The one JSON text of a value: equal values give equal texts."""
    return json.dumps(value, ensure_ascii=False, allow_nan=False, sort_keys=True, separators=(",", ":"))


def instant(hour: float) -> dt.datetime:
    """The instant of an epoch hour, to the microsecond. BadInput outside 1970 to about 2200."""
    if not 0.0 <= hour <= _LATEST_HOUR:
        raise BadInput("time", hour, "an instant from 1970 to 2200")
    return EPOCH + dt.timedelta(microseconds=round(hour * _MICROSECONDS))


def maybe_instant(hour: float | None) -> dt.datetime | None:
    """As `instant`; None stays None."""
    return None if hour is None else instant(hour)


def read_hour(value: str | dt.datetime) -> float:
    """Epoch hours of an instant as the driver hands it over: SQLite's is text, in UTC."""
    if isinstance(value, str):
        return _read(value + "+00:00").timestamp() / SECONDS
    return hour_of(value)


def maybe_hour(value: dt.datetime | None) -> float | None:
    """Epoch hours of an instant; None stays None."""
    return None if value is None else hour_of(value)
