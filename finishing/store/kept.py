"""The backups of a folder: told by their names, one made a day, and old daily ones cleared away by a rule.

Of the daily backups the newest of each of the last 7 days stays, of the last 5 weeks, and of the last 12 months that
have one. Every other backup (before a change of layout, before a restore, made by hand) stays till somebody removes it.
"""

from __future__ import annotations

import datetime as dt
import re
import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path

from finishing.clock import SECONDS, at_zone, hour_of
from finishing.errors import BadInput, StoreTrouble
from finishing.store import copies
from finishing.store.beside import Files
from finishing.store.location import Location
from finishing.store.types import instant
from finishing.store.work import Store
from finishing.store.work import backup as copy_to

DAILY, MADE, REPLACED, DAMAGED = "daily", "made", "replaced", "damaged"

DAYS, WEEKS, MONTHS = 7, 5, 12

LEFT_BEHIND_HOURS = 24.0
"""A part of a copy that is older belongs to nobody any more: its program was killed."""

_NAME = re.compile(r"finishing-(\d{8}T\d{6}Z)-([a-z0-9-]+)\.db", re.ASCII)


@dataclass(frozen=True, slots=True)
class Kept:
    """A backup: its file, when it was made [hour], why, and its size [bytes]."""

    file: Path
    made_at: float
    why: str
    size: int


def folder_of(location: Location) -> Path:
    """Where the backups of a database are."""
    return location.home / "backups"


def path_for(location: Location, now: float, why: str) -> Path:
    """Where a backup made now goes: a name that nothing has yet, a second later where need be."""
    made = instant(now)
    while (path := folder_of(location) / copies.name(made, why)).exists():
        made += dt.timedelta(seconds=1)
    return path


def all_kept(folder: Path) -> list[Kept]:
    """Every backup in a folder, oldest first; other files are none of ours."""
    found = []
    try:
        for path in folder.iterdir():
            kept = _told_by_name(path)
            if kept is not None:
                found.append(kept)
    except FileNotFoundError:
        return []
    except OSError as error:
        raise StoreTrouble(f"the backups in {folder} can't be read: {error.strerror}", "check the folder") from error
    return sorted(found, key=lambda k: (k.made_at, k.file.name))


def _told_by_name(path: Path) -> Kept | None:
    match = _NAME.fullmatch(path.name)
    if match is None:
        return None
    try:
        made = dt.datetime.strptime(match[1], "%Y%m%dT%H%M%SZ").replace(tzinfo=dt.UTC)
        return Kept(path, hour_of(made), match[2], path.stat().st_size)
    except (ValueError, OSError):  # no date, or gone since the folder was read
        return None


def surplus(daily: Iterable[Kept], zone: str) -> list[Kept]:
    """The daily backups that the rule lets go, days being those of the zone.

    Counted in days, weeks and months that have a backup, so that a clock which once stood wrong costs none.
    """
    newest_first = sorted(daily, key=lambda k: k.made_at, reverse=True)
    stay: set[Path] = set()
    for period, most in ((_day, DAYS), (_week, WEEKS), (_month, MONTHS)):
        seen: dict[tuple[int, ...], Path] = {}
        for kept in newest_first:
            seen.setdefault(period(kept.made_at, zone), kept.file)
        stay.update(list(seen.values())[:most])
    return [kept for kept in newest_first if kept.file not in stay]


def _day(hour: float, zone: str) -> tuple[int, ...]:
    local = at_zone(hour, zone)
    return local.year, local.month, local.day


def _week(hour: float, zone: str) -> tuple[int, ...]:
    return tuple(at_zone(hour, zone).isocalendar()[:2])


def _month(hour: float, zone: str) -> tuple[int, ...]:
    return _day(hour, zone)[:2]


def keep_daily(
    store: Store, zone: Callable[[], str], now: float, files: Callable[[], Files | None] = lambda: None
) -> Path | None:
    """Take the day's backup unless there is one, and clear away by the rule. None where there was nothing to do.

    zone: tells the shop's zone, asked only when the newest backup is less than a day old. files: tells what goes beside
    the record, asked only when a backup is made. StoreTrouble if it can't be
    made; the database itself is as it was.
    """
    if store.location.file is None or store.read_only:
        return None
    folder = folder_of(store.location)
    daily = [kept for kept in all_kept(folder) if kept.why == DAILY]
    recent = [kept for kept in daily if abs(now - kept.made_at) < 26.0]
    local = zone() if recent else ""
    if any(_day(kept.made_at, local) == _day(now, local) for kept in recent):
        return None
    made = path_for(store.location, now, DAILY)
    try:
        copy_to(store, made, files())
    except BadInput:
        if not made.exists():
            raise
        return None  # another program, begun in the same second, has made it
    clear_away(folder, zone())
    return made


def clear_away(folder: Path, zone: str) -> None:
    """Remove the daily backups the rule lets go, and what killed programs left half-written."""
    for kept in surplus((k for k in all_kept(folder) if k.why == DAILY), zone):
        kept.file.unlink(missing_ok=True)
    for part in folder.glob(f".finishing-*{copies.PART}*"):
        if time.time() - part.stat().st_mtime > LEFT_BEHIND_HOURS * SECONDS:
            part.unlink(missing_ok=True)
