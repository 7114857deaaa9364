"""The shop's record moved to another database, and the maker's own files where the shop's folder changes with it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from finishing.errors import BadInput
from finishing.shop import beside
from finishing.shop.shop import Shop
from finishing.store.location import FILE_NAME, Location, at_url
from finishing.store.move import move


@dataclass(frozen=True, slots=True)
class Moved:
    """From where to where, in words without a pass-phrase, and how many rows of each table.

    own: the maker's own finishes, schedules and woods by their paths. folder: where the shop goes on with them; the
    folder of the new file where that is named as a shop's own file is, else the one here. copied: whether they went.
    """

    here: str
    there: str
    rows: Mapping[str, int]
    own: tuple[str, ...]
    folder: Path
    copied: bool


def move_to(shop: Shop, url: str, now: float) -> Moved:
    """Copy the record to the empty database of a URL, every row compared; own files too where it is another home.

    BadInput for a URL that can't be one, and where a file of the same name there holds something else.
    """
    target = at_url(url, shop.home, "URL")
    own, home = beside.own_files(shop.home), _home_of(target)
    copied = home != shop.home
    fresh = beside.others(home, own) if copied else []
    for path in fresh:
        if (home / path).exists():
            raise BadInput("URL", target.shown, f"a folder without another {path} of its own")
    rows = move(shop.store, target, now, compared=lambda: beside.put_back(home, own, fresh))
    return Moved(shop.store.location.shown, target.shown, rows, tuple(own), home, copied)


def _home_of(target: Location) -> Path:
    file = target.file
    return file.parent if file is not None and file.name == FILE_NAME else target.home
