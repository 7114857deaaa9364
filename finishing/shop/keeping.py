"""Backups of the record: made, listed, put back; and the check of a database file."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from finishing.errors import BadInput, FinishingError, StoreTrouble
from finishing.shop import beside
from finishing.shop.shop import Shop
from finishing.shop.views import View, when
from finishing.store import kept as stored
from finishing.store import locate
from finishing.store import restore as restoring
from finishing.store.kept import Kept
from finishing.store.location import Location
from finishing.store.sound import Soundness, examine
from finishing.store.work import Store
from finishing.store.work import backup as copy_to

__all__ = ["Restored", "Soundness", "back_up", "backups", "check", "daily_backup", "restore"]

WHY = {
    stored.DAILY: "the day's first start",
    stored.MADE: "made by hand",
    stored.REPLACED: "replaced by a restore",
    stored.DAMAGED: "damaged, replaced by a restore",
}


@dataclass(frozen=True, slots=True)
class Restored:
    """What came back, where the database that it replaced is now, and the maker's own files that were put back.

    replaced_entries: how many were on that record; None where there was none, or they can't be counted.
    """

    found: Soundness
    replaced: Path | None
    replaced_entries: int | None
    own: tuple[str, ...]


def daily_backup(shop: Shop, now: float) -> str:
    """Take the day's backup on its first start. What kept it from being made, in a line; "" where all is well."""
    if not shop.places():  # a shop nobody has set up yet
        return ""
    try:
        stored.keep_daily(shop.store, lambda: shop.settings.zone, now, lambda: beside.own_files(shop.home))
    except FinishingError as trouble:
        return f"no backup was made today: {trouble}"
    return ""


def back_up(shop: Shop, target: Path | None, now: float) -> Kept:
    """Copy the record and the maker's own files to a new file; without one, among the shop's backups.

    BadInput if the file is there.
    """
    path = stored.path_for(shop.store.location, now, stored.MADE) if target is None else target.absolute()
    copy_to(shop.store, path, beside.own_files(shop.home))
    return Kept(path, now, stored.MADE, path.stat().st_size)


def backups(location: Location | None = None) -> list[Kept]:
    """The backups of a shop, oldest first; the database itself need not be sound."""
    return stored.all_kept(stored.folder_of(location or locate()))


def restore(source: Path, now: float, location: Location | None = None) -> Restored:
    """Put a backup, a file or the name of one among the backups, in the place of the record; bring it up to date.

    The maker's own files are put back as they were then; those that have come since stay. What is replaced, files among
    it, is kept. BadInput for no such file, BadFile for one that fails its check; the record is then as it was.
    """
    where = location or locate()
    among = stored.folder_of(where) / source.name
    path = among if not source.exists() and source.name == str(source) and among.exists() else source
    held = beside.own_files(where.home)
    done = restoring.restore(where, path, now, held, lambda files: beside.checked(str(path), files))
    Store.open(where, now, files=lambda: done.files).close()
    changed = beside.others(where.home, done.files)
    beside.put_back(where.home, done.files, changed)
    return Restored(done.found, done.replaced, _entries(done.replaced), tuple(changed))


def _entries(replaced: Path | None) -> int | None:
    if replaced is None:
        return None
    with suppress(StoreTrouble):  # so damaged that it can't be opened: it is kept all the same
        found = examine(replaced)
        return found.entries if found.sound else None
    return None


def check(file: Path | None, location: Location | None = None) -> Soundness:
    """Check the record, or a backup of it, without changing it."""
    found = file or (location or locate()).file
    if found is None:
        raise BadInput("database", (location or locate()).shown, "a SQLite file; a server has its own means for this")
    if file is None and not found.exists():
        raise BadInput("database", str(found), "a shop that was begun; there is nothing to check yet")
    return examine(found)


def why_words(why: str) -> str:
    """Why a backup was made, in words."""
    before = why.removeprefix("before-")
    return f"before the change of layout to {before}" if before != why else WHY.get(why, why)


def kept_view(kept: Kept, zone: str) -> View:
    """A backup as JSON."""
    return {"file": str(kept.file), "made_at": when(kept.made_at, zone), "why": kept.why, "bytes": kept.size}


def soundness_view(found: Soundness) -> View:
    """A check as JSON."""
    return {
        "file": str(found.file),
        "sound": found.sound,
        "layout": found.revision or None,
        "problems": list(found.problems),
        "more_problems": found.more,
        "batches": found.batches,
        "entries": found.entries,
        "readings": found.readings,
    }
