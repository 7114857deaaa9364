"""Settings: a JSON value by key."""

from __future__ import annotations

from typing import Any

from sqlalchemy import delete, select

from finishing.store.tables import SETTING, SettingTable
from finishing.store.types import instant
from finishing.store.work import Reader, Writer


def all_settings(r: Reader) -> dict[str, Any]:
    """Every setting that was ever set."""
    return dict(r.connection.execute(select(SETTING.c.key, SETTING.c.value)).all())


def put(w: Writer, key: str, value: Any, now: float) -> None:
    """Set a value: anything JSON holds. ValueError or TypeError for anything else."""
    w.session.merge(SettingTable(key=key, value=value, updated_at=instant(now)))
    w.session.flush()


def forget(w: Writer, key: str) -> None:
    """Back to its default."""
    w.connection.execute(delete(SETTING).where(SETTING.c.key == key))
