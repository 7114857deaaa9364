"""A folder into which a logger, or whoever reads it out, puts its files: each is read in once it is whole."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

from finishing.errors import BadInput, FinishingError, StoreTrouble
from finishing.exchange.readings import read_log
from finishing.shop.differing import differing_words, unusual_words
from finishing.shop.next_steps import moved_words
from finishing.shop.places import UNDO, Imported, import_and_look, old_words
from finishing.shop.shop import Shop
from finishing.units import counted

ENDINGS = frozenset({".csv", ".txt", ".tsv"})

State = tuple[int, int]
"""Size and time of the last change [ns]: a file that has the same at two looks is whole."""


@dataclass(slots=True)
class Watched:
    """A folder, and what of it was read in, or could not be, as it was then."""

    folder: Path
    _last: dict[Path, State] = field(default_factory=dict)
    _done: dict[Path, State] = field(default_factory=dict)

    def whole(self) -> list[Path]:
        """Logs that came or changed, and did not change since the look before. BadInput if the folder is gone."""
        now = self._states()
        ready = [path for path, state in now.items() if self._last.get(path) == state != self._done.get(path)]
        self._last = now
        return sorted(ready)

    def done(self, path: Path) -> None:
        """This file, as it is, needs no other look."""
        self._done[path] = self._last[path]

    def _states(self) -> dict[Path, State]:
        found = {}
        try:
            for path in self.folder.iterdir():
                if path.suffix.lower() in ENDINGS and not path.name.startswith(".") and path.is_file():
                    stat = path.stat()
                    found[path] = (stat.st_size, stat.st_mtime_ns)
        except FileNotFoundError as gone:
            if not self.folder.is_dir():
                raise BadInput("folder", str(self.folder), "a folder that is there") from gone
        except OSError as trouble:
            raise BadInput("folder", str(self.folder), f"a folder that can be read: {trouble.strerror}") from trouble
        return found


def take_in(shop: Shop, watched: Watched, place: str, zone: str, now: float) -> list[tuple[str, bool]]:
    """Read in what is whole. Lines for each file: what it moves, where it differs; and whether it went well.

    A file that can't be understood is left until it changes; one that the database could not take is tried again.
    """
    said = []
    for path in watched.whole():
        try:
            log = read_log(path, zone=zone)
            found = import_and_look(shop, place, path, log, now)
        except StoreTrouble as trouble:
            said.append((f"{path.name}: not read in yet: {trouble}", False))
            continue
        except FinishingError as trouble:
            said.append((f"{path.name}: not read in: {trouble}", False))
        else:
            said += [(words, True) for words in _words(shop, path, found, now)]
        watched.done(path)
    return said


def _words(shop: Shop, path: Path, found: Imported, now: float) -> list[str]:
    settings = shop.settings
    moved = moved_words(found.moved or (), settings.zone, now)
    old = old_words(found, settings.units)
    words = [f"{path.name}: {found.place}: {counted(found.added, 'reading')} added{old}{moved}"]
    if found.unusual is not None:
        words.append(f"! {path.name}: {unusual_words(found.unusual, settings.units)}")
    if found.differing is not None:
        words.append(f"! {path.name}: {differing_words(found.differing, settings.units, UNDO)}")
    return words
