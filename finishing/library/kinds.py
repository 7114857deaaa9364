"""The three kinds of thing a maker can add, and the folder each has among the maker's own files."""

from __future__ import annotations

import re
import unicodedata
from enum import StrEnum

from finishing.cure.finish import Finish
from finishing.cure.schedule import Schedule
from finishing.cure.species import Species

Item = Finish | Schedule | Species


class Kind(StrEnum):
    """A kind of library file."""

    FINISH = "finish"
    SCHEDULE = "schedule"
    SPECIES = "species"

    @property
    def folder(self) -> str:
        """Its folder under the maker's own."""
        return _FOLDERS[self]

    @property
    def holds(self) -> type[Item]:
        """What a file of this kind describes."""
        return _HOLDS[self]

    @classmethod
    def of(cls, item: Item) -> Kind:
        """The kind of a thing."""
        return next(kind for kind in cls if type(item) is kind.holds)


_FOLDERS = {Kind.FINISH: "finishes", Kind.SCHEDULE: "schedules", Kind.SPECIES: "species"}
_HOLDS: dict[Kind, type[Item]] = {Kind.FINISH: Finish, Kind.SCHEDULE: Schedule, Kind.SPECIES: Species}


def slug(name: str) -> str:
    """A name as its file has it: "gonçalo alves" in goncalo-alves.toml."""
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^a-z0-9]+", "-", plain).strip("-")


def folded(name: str) -> str:
    """A name as it is compared: case, and spaces beyond one, don't count."""
    return " ".join(name.split()).casefold()
