"""Named things, one TOML file each: the shipped ones and, over them, the maker's own. Read when first asked for."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Generic, TypeVar

from finishing.cure.finish import Finish
from finishing.cure.schedule import Schedule
from finishing.errors import BadFile, NotFound
from finishing.library.build import read_item
from finishing.library.files import label
from finishing.library.kinds import Kind, folded
from finishing.library.problems import at, shown

T = TypeVar("T", bound=Finish | Schedule)


def toml_files(folder: Path | None) -> list[Path]:
    """The TOML files of a folder, by name; none when there is no such folder."""
    if folder is None or not folder.is_dir():
        return []
    return sorted(p for p in folder.glob("*.toml") if not p.name.startswith("."))


class Shelf(Generic[T]):
    """All finishes, or all schedules. A file's name is its thing's name, so that one is found without the rest."""

    def __init__(
        self, kind: Kind, cls: type[T], shipped: Path, own: Path | None, check: Callable[[T, Path], None] | None = None
    ) -> None:
        """check: what else a thing must meet; raises BadFile."""
        self._kind, self._cls, self._check = kind, cls, check
        self._own = {p.stem: p for p in toml_files(own)}
        self._paths = {p.stem: p for p in toml_files(shipped)} | self._own
        self._read: dict[str, T] = {}

    @property
    def names(self) -> tuple[str, ...]:
        """Every name, in order of the alphabet."""
        return tuple(sorted(self._paths))

    def is_own(self, name: str) -> bool:
        """Whether a name is the maker's own, or the maker's version of a shipped one."""
        return name in self._own

    def get(self, name: str) -> T:
        """The thing of that name. NotFound with the nearest names; BadFile when its file is broken."""
        wanted = folded(name)
        found = name if name in self._paths else next((n for n in self._paths if folded(n) == wanted), None)
        if found is None:
            raise NotFound(self._kind.value, name, self._paths)
        if found not in self._read:
            self._read[found] = self._load(self._paths[found])
        return self._read[found]

    def all(self) -> tuple[list[T], list[BadFile]]:
        """Everything that can be read, by name, and what is wrong with the rest."""
        good, bad = [], []
        for name in self.names:
            try:
                good.append(self.get(name))
            except BadFile as problem:
                bad.append(problem)
        return good, bad

    def _load(self, path: Path) -> T:
        item = read_item(self._cls, path)
        if item.name != path.stem:
            where = at(label(path), "name")
            raise BadFile(where, f"got {shown(item.name)}, expected {shown(path.stem)}, as the file is called")
        if self._check is not None:
            self._check(item, path)
        return item
