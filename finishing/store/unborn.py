"""A database that isn't there yet: whole, but in a folder of its own till something is committed to it."""

from __future__ import annotations

import os
import shutil
import tempfile
import weakref
from pathlib import Path

from finishing.errors import BadInput, StoreTrouble
from finishing.store import copies, schema
from finishing.store.engine import connect, driver
from finishing.store.location import Location, at_file
from finishing.store.trouble import known_trouble
from finishing.store.types import instant

_HINT = "choose a folder of your own with FINISHING_HOME"


def is_missing(location: Location) -> bool:
    """Whether it is a file that could be made and isn't there."""
    return location.file is not None and not location.file.exists() and "mode=ro" not in location.url


def no_room(file: object, why: str) -> StoreTrouble:
    """The database can't be made there."""
    return StoreTrouble(f"the database {file} can't be made: {why}", _HINT)


class Unborn:
    """An empty database in a temporary folder, to read from and write to like any."""

    def __init__(self, location: Location, now: float) -> None:
        """StoreTrouble if nothing could be made at the location later on."""
        _could_be_made(location)
        try:
            folder = Path(tempfile.mkdtemp(prefix="finishing-new-"))
        except OSError as error:
            raise StoreTrouble(f"no temporary folder can be made: {error.strerror}", "make room") from error
        # gone with this object, also when nobody closes it or the program ends in an error
        self._remove = weakref.finalize(self, shutil.rmtree, folder, ignore_errors=True)
        here = at_file(folder / "finishing.db")
        self.engine = connect(here.url)
        with known_trouble(here.shown):
            schema.ensure(self.engine, here, instant(now))

    def settle(self, location: Location) -> None:
        """Copy it to where it belongs, at once and whole. StoreTrouble if one came there first."""
        assert location.file is not None
        try:
            with self.engine.connect() as connection:
                copies.copy(driver(connection), location.file)
        except BadInput as error:
            shown = f"the database {location.shown} was made by another program just now"
            raise StoreTrouble(shown, "enter it again") from error

    def close(self) -> None:
        """Leave nothing behind."""
        self.engine.dispose()
        self._remove()


def _could_be_made(location: Location) -> None:
    file = location.file
    assert file is not None
    folder = next((parent for parent in file.parents if parent.exists()), file.parent)
    if not folder.is_dir():
        raise no_room(file, f"{folder} is no folder")
    if not os.access(folder, os.W_OK | os.X_OK):
        raise no_room(file, f"{folder} may not be written to")
