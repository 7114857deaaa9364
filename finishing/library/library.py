"""The library as everything above asks for it."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cached_property
from pathlib import Path

from finishing.cure.finish import Finish
from finishing.cure.schedule import Schedule
from finishing.cure.species import ClassTable, Species
from finishing.errors import BadFile, nearest
from finishing.library.content import shipped
from finishing.library.files import label
from finishing.library.kinds import Kind
from finishing.library.problems import at, key_path, shown
from finishing.library.shelf import Shelf
from finishing.library.woods import Woods, class_table


class Library:
    """Shipped finishes, schedules and woods, and the maker's own over them by name.

    own: the maker's folder, with finishes/, schedules/ and species/ in it; it need not exist. Files are read when
    first asked for and then kept; a new Library sees later changes.
    """

    def __init__(self, own: Path | None = None) -> None:
        self.own = own

    def _folder(self, kind: Kind) -> Path | None:
        return None if self.own is None else self.own / kind.folder

    @cached_property
    def _finishes(self) -> Shelf[Finish]:
        return Shelf(Kind.FINISH, Finish, shipped("data") / "finishes", self._folder(Kind.FINISH))

    @cached_property
    def _schedules(self) -> Shelf[Schedule]:
        return Shelf(Kind.SCHEDULE, Schedule, shipped("schedules"), self._folder(Kind.SCHEDULE), self._check_schedule)

    @cached_property
    def _woods(self) -> Woods:
        return Woods(shipped("data") / "species.csv", self._folder(Kind.SPECIES))

    @cached_property
    def classes(self) -> ClassTable:
        """The figures of every extractive class under every mechanism."""
        return class_table(shipped("data") / "extractives.csv")

    @property
    def finish_names(self) -> tuple[str, ...]:
        """Names of all finishes, without reading them."""
        return self._finishes.names

    @property
    def schedule_names(self) -> tuple[str, ...]:
        """Names of all schedules, without reading them."""
        return self._schedules.names

    def finish(self, name: str) -> Finish:
        """A finish by name. NotFound with the nearest names; BadFile when its file is broken."""
        return self._finishes.get(name)

    def schedule(self, name: str) -> Schedule:
        """A schedule by name, all its finishes known. NotFound with the nearest; BadFile when its file is broken."""
        return self._schedules.get(name)

    def species(self, name: str) -> Species:
        """A wood by its name, a common name or its botanical one. NotFound also when the name means several."""
        return self._woods.get(name)

    def finishes(self) -> list[Finish]:
        """All finishes that can be read; see `problems` for the rest."""
        return self._finishes.all()[0]

    def schedules(self) -> list[Schedule]:
        """All schedules that can be read; see `problems` for the rest."""
        return self._schedules.all()[0]

    def woods(self) -> list[Species]:
        """All woods that can be read; see `problems` for the rest."""
        return self._woods.all()

    def finishes_of(self, schedule: Schedule) -> dict[str, Finish]:
        """The finishes a schedule uses, by name."""
        return {name: self.finish(name) for name in schedule.finishes}

    def woods_of(self, names: Iterable[str]) -> tuple[Species, ...]:
        """The woods of these names, each once."""
        return tuple({w.name: w for w in map(self.species, names)}.values())

    def is_own(self, kind: Kind, name: str) -> bool:
        """Whether a thing is the maker's own, or the maker's version of a shipped one."""
        if kind is Kind.SPECIES:
            return self._woods.is_own(name)
        return self._finishes.is_own(name) if kind is Kind.FINISH else self._schedules.is_own(name)

    @property
    def problems(self) -> tuple[BadFile, ...]:
        """What is wrong with files that can't be read, one for each. Reads everything."""
        return (*self._finishes.all()[1], *self._schedules.all()[1], *self._woods.problems)

    def _check_schedule(self, schedule: Schedule, path: Path) -> None:
        check_finishes(schedule, self.finish_names, label(path))


def check_finishes(schedule: Schedule, known: Iterable[str], where: str) -> None:
    """BadFile naming the step when a schedule asks for a finish there isn't."""
    names = tuple(known)
    for position, step in enumerate(schedule.steps):
        if step.finish is not None and step.finish not in names:
            near = nearest(step.finish, names)
            raise BadFile(
                at(where, key_path(("steps", position, "finish"))),
                f"got {shown(step.finish)}, expected a known finish",
                f"nearest: {', '.join(near)}" if near else "",
            )
