"""Woods: the shipped table, the maker's own files, their other names, and the table of extractive classes."""

from __future__ import annotations

from pathlib import Path

from finishing.cure.species import ClassFigures, ClassTable, Species, common_names
from finishing.cure.terms import Evidence, Extractives, Mechanism
from finishing.errors import BadFile, BadInput, NotFound, nearest
from finishing.library.build import build, read_item
from finishing.library.files import label
from finishing.library.kinds import Kind, folded, slug
from finishing.library.problems import at, shown
from finishing.library.shelf import toml_files
from finishing.library.tables import number, read_rows, several

SPECIES_COLUMNS = (
    "name",
    "botanical",
    "extractives",
    "pores",
    "open_pores",
    *(f"factor_{m}" for m in Mechanism),
    "dust",
    "bleeds",
    "cautions",
    "evidence",
    "source",
    "aliases",
    "trade_listed",
)
LISTS = ("dust", "cautions", "aliases")
CLASS_COLUMNS = (
    "extractives",
    "mechanism",
    "low",
    "typical",
    "high",
    "never_bare",
    "spread",
    "evidence",
    "source",
)


def shipped_species(path: Path) -> list[Species]:
    """Every wood of the shipped table; a factor left empty is its class's."""
    return [_species(row, place) for place, row in read_rows(path, SPECIES_COLUMNS)]


def _species(row: dict[str, str], place: str) -> Species:
    factors = {
        m.value: number(row[f"factor_{m}"], place, f"factor_{m}") for m in Mechanism if row[f"factor_{m}"].strip()
    }
    tables: dict[str, object] = {k: v for k, v in row.items() if not k.startswith("factor_") and k not in LISTS}
    tables |= {k: several(row[k]) for k in LISTS}
    tables |= {"factors": factors, "open_pores": {"true": True, "false": False}.get(row["open_pores"], "")}
    return build(Species, tables, place)


def class_table(path: Path) -> ClassTable:
    """The table of extractive classes. BadFile when a row is wrong, missing or there twice."""
    rows = [_figures(row, place) for place, row in read_rows(path, CLASS_COLUMNS)]
    if len({(r.extractives, r.mechanism) for r in rows}) != len(rows):
        raise BadFile(label(path), "has a class and mechanism twice")
    try:
        return ClassTable(tuple(rows))
    except BadInput as problem:
        raise BadFile(label(path), f"has no row for {problem.value}") from problem


def _figures(row: dict[str, str], place: str) -> ClassFigures:
    low, typical, high, never, spread = (number(row[c], place, c) for c in CLASS_COLUMNS[2:7])
    if not (0.5 <= low <= typical <= high <= 20 and 0 <= never <= 1 and 0 <= spread <= 2):
        raise BadFile(place, f"got {low, typical, high, never, spread}, expected 0.5 <= low <= typical <= high <= 20")
    try:
        extractives, mechanism = Extractives(row["extractives"]), Mechanism(row["mechanism"])
        evidence = Evidence(row["evidence"])
    except ValueError as error:
        raise BadFile(place, str(error)) from error
    return ClassFigures(extractives, mechanism, low, typical, high, never, spread, evidence, row["source"])


class Woods:
    """All woods: the shipped table and, over it, the maker's own, one TOML file a wood."""

    def __init__(self, shipped: Path, own: Path | None) -> None:
        self.problems: list[BadFile] = []
        self._broken: dict[str, BadFile] = {}
        self._own = self._read_own(own)
        own_names = {slug(w.name) for w in self._own}
        rest = [w for w in shipped_species(shipped) if slug(w.name) not in own_names]
        # The maker's own come first, so that a common name the maker gave one of them means that one.
        self._names = common_names([*self._own, *rest])
        self._by_name = {w.name: w for w in [*rest, *self._own]}

    def _read_own(self, folder: Path | None) -> list[Species]:
        good = []
        for path in toml_files(folder):
            try:
                wood = read_item(Species, path)
                if slug(wood.name) != path.stem:
                    problem = f"got {shown(wood.name)}, which belongs in {slug(wood.name)}.toml"
                    raise BadFile(at(label(path), "name"), problem)
                good.append(wood)
            except BadFile as problem:
                self.problems.append(problem)
                self._broken[path.stem] = problem
        return good

    def get(self, name: str) -> Species:
        """A wood by its name, a common name or its botanical one. NotFound with the nearest when it is none or
        stands for several; BadFile when the maker's own file of that name is broken."""
        found = self._names.get(folded(name))
        broken = self._broken.get(slug(name if found is None else found))
        if broken is not None:
            raise broken
        if found is None:
            names = [w.name for w in self.all()]
            among = names if nearest(name, names) else [*names, *self._names]
            raise NotFound(Kind.SPECIES.value, name, among)
        return self._by_name[found]

    def all(self) -> list[Species]:
        """Every wood that can be read, by name."""
        broken = self._broken.keys()
        return sorted((w for w in self._by_name.values() if slug(w.name) not in broken), key=lambda w: folded(w.name))

    def is_own(self, name: str) -> bool:
        """Whether a wood is the maker's own, or the maker's version of a shipped one."""
        return any(w.name == name for w in self._own)
