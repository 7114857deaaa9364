"""Running pass guides: one for a batch at most, kept whole as JSON in the settings until it leaves its entries."""

from __future__ import annotations

from typing import Any

from sqlalchemy import select

from finishing.store import settings
from finishing.store.tables import BATCH, SETTING
from finishing.store.work import Reader, Writer

PREFIX = "guide:"


def load(r: Reader, code: str) -> Any:
    """The guide of a batch, None if none is running."""
    return r.connection.scalar(select(SETTING.c.value).where(SETTING.c.key == PREFIX + code))


def load_all(r: Reader) -> dict[str, Any]:
    """Every running guide by its batch's code."""
    query = select(SETTING.c.key, SETTING.c.value).where(SETTING.c.key.startswith(PREFIX, autoescape=True))
    rows = r.connection.execute(query.order_by(SETTING.c.key))
    return {key.removeprefix(PREFIX): value for key, value in rows}


def claim(w: Writer, code: str) -> Any:
    """As `load`, for changing it: on a server the batch's row is locked, so that two benches take turns."""
    w.connection.execute(select(BATCH.c.id).where(BATCH.c.code == code).with_for_update())
    return load(w, code)


def keep(w: Writer, code: str, body: dict[str, Any], now: float) -> None:
    """Put a guide down as it stands; it is on disk on commit."""
    settings.put(w, PREFIX + code, body, now)


def drop(w: Writer, code: str) -> None:
    """The guide is over."""
    settings.forget(w, PREFIX + code)
