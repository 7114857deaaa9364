"""Woods, and how much each holds up a finish.

No published multiplier exists for any species: the classes and factors are estimates that a shop's own
touch tests are meant to replace. They say so wherever they show.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from finishing.cure.finish import between
from finishing.cure.terms import Evidence, Extractives, Mechanism, Pores
from finishing.errors import BadInput

TEST_FIRST = 0.2
"""From this chance of never hardening on, no date is given: the answer is "seal or test first"."""

ORDER = (Extractives.NONE, Extractives.LOW, Extractives.MODERATE, Extractives.HIGH)


@dataclass(frozen=True, slots=True)
class Species:
    """One wood. `factors`: time factor by mechanism (absent: 1), replacing its class's typical one.

    `dust`: what its dust is reported to do, from "irritant", "sensitiser", "asthma". `bleeds`: the colour that
    runs into neighbouring strips, or "". `shares` of a glued-up piece live with the batch.
    """

    name: str
    botanical: str
    extractives: Extractives
    pores: Pores
    open_pores: bool
    factors: dict[Mechanism, float]
    dust: tuple[str, ...]
    bleeds: str
    cautions: tuple[str, ...]
    evidence: Evidence
    source: str
    aliases: tuple[str, ...] = ()
    trade_listed: str = ""

    def __post_init__(self) -> None:
        for mechanism, factor in self.factors.items():
            between(f"factor of {self.name}, {mechanism}", factor, 0.5, 20.0, "a time factor from 0.5 to 20")


@dataclass(frozen=True, slots=True)
class ClassFigures:
    """One extractive class under one mechanism: time factor, chance of never hardening bare, spread of ln."""

    extractives: Extractives
    mechanism: Mechanism
    low: float
    typical: float
    high: float
    never_bare: float
    spread: float
    evidence: Evidence
    source: str


@dataclass(frozen=True, slots=True)
class ClassTable:
    """The figures of every class and mechanism."""

    rows: tuple[ClassFigures, ...]

    def __post_init__(self) -> None:
        have = {(r.extractives, r.mechanism) for r in self.rows}
        missing = [f"{e}/{m}" for e in Extractives for m in Mechanism if (e, m) not in have]
        if missing:
            raise BadInput("extractive classes", ", ".join(missing), "a row for every class and mechanism")

    def get(self, extractives: Extractives, mechanism: Mechanism) -> ClassFigures:
        """The row for a class under a mechanism."""
        return next(r for r in self.rows if (r.extractives, r.mechanism) == (extractives, mechanism))


@dataclass(frozen=True, slots=True)
class SpeciesFactor:
    """What the exposed woods do to one coat: time factor, the wood that sets it, chance of never, spread of ln.

    extractives: the class that wood counts as under this coat.
    """

    factor: float
    limiting: str
    never: float
    spread: float
    extractives: Extractives = Extractives.NONE

    @property
    def test_first(self) -> bool:
        """Whether a date would be a false promise."""
        return self.never >= TEST_FIRST


def species_factor(
    woods: Sequence[Species],
    table: ClassTable,
    mechanism: Mechanism,
    *,
    coat_on_face: int,
    sealed: bool = False,
    wiped: bool = False,
    proven: bool = False,
) -> SpeciesFactor:
    """The slowest exposed wood's factor for one coat, whatever its share.

    coat_on_face: 1 for the first coat on bare wood. sealed: a dry barrier coat lies beneath, so extractives
    count as low. wiped: solvent-wiped just before, so a first coat sees one class lower. proven: an earlier
    coat of this batch has hardened. Source: common practice; the square root for later coats is an estimate.
    """
    if not woods:
        return SpeciesFactor(1.0, "", 0.0, 0.0)
    rows = [_one(w, table, mechanism, coat_on_face, sealed, wiped, proven) for w in woods]
    slowest = max(rows, key=lambda r: (r.factor, r.never))
    never = max(r.never for r in rows)
    return SpeciesFactor(slowest.factor, slowest.limiting, never, slowest.spread, slowest.extractives)


def _one(
    wood: Species,
    table: ClassTable,
    mechanism: Mechanism,
    coat_on_face: int,
    sealed: bool,
    wiped: bool,
    proven: bool,
) -> SpeciesFactor:
    seen = wood.extractives
    if wiped and coat_on_face == 1:
        seen = ORDER[max(0, ORDER.index(seen) - 1)]
    if sealed:
        seen = min(seen, Extractives.LOW, key=ORDER.index)
    row = table.get(seen, mechanism)
    factor = wood.factors.get(mechanism, row.typical) if seen == wood.extractives else row.typical
    if coat_on_face > 1 and not sealed and mechanism is Mechanism.OXIDATION:
        factor = math.sqrt(factor)
    return SpeciesFactor(factor, wood.name, 0.0 if proven else row.never_bare, row.spread, seen)


def common_names(species: Sequence[Species]) -> Mapping[str, str]:
    """Every name and alias, folded, to the species' own name."""
    names: dict[str, str] = {}
    for s in species:
        for alias in (*s.aliases, s.botanical):
            names.setdefault(alias.casefold(), s.name)
    names.update({s.name.casefold(): s.name for s in species})
    return names
