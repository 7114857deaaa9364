"""A finish: one kind of coating material as the shop uses it. Every figure says where it comes from."""

from __future__ import annotations

from dataclasses import dataclass, field

from finishing.cure.terms import (
    ClockName,
    Evidence,
    Family,
    FilmLaw,
    Hazard,
    HumidityLaw,
    Mechanism,
    Stage,
)
from finishing.errors import BadInput


@dataclass(frozen=True, slots=True)
class Atmosphere:
    """Air at rest: temperature [°C], relative humidity [%]."""

    temperature_c: float
    humidity_pct: float

    def __post_init__(self) -> None:
        between("temperature_c", self.temperature_c, -40.0, 60.0, "a temperature from -40 to 60 °C")
        between("humidity_pct", self.humidity_pct, 0.0, 100.0, "a relative humidity from 0 to 100 %")


@dataclass(frozen=True, slots=True)
class ClockLaw:
    """How fast one clock runs. Ea [kJ/mol]; `max_rate`: no faster than this many times the reference."""

    activation_energy_kj_mol: float
    humidity: HumidityLaw
    evidence: Evidence
    source: str
    max_rate: float | None = None

    def __post_init__(self) -> None:
        between("activation_energy_kj_mol", self.activation_energy_kj_mol, 0.0, 200.0, "0 to 200 kJ/mol")
        if self.max_rate is not None:
            between("max_rate", self.max_rate, 1.0, 10.0, "1 to 10 times the reference rate")


@dataclass(frozen=True, slots=True)
class StageTime:
    """Hours at the reference atmosphere and film until a stage: 5th, 50th and 95th of a hundred."""

    low: float
    typical: float
    high: float
    clock: ClockName
    evidence: Evidence
    source: str

    def __post_init__(self) -> None:
        ordered("stage hours", self.low, self.typical, self.high)


@dataclass(frozen=True, slots=True)
class RecoatLimit:
    """Hours at reference after which a coat must be abraded before the next, and what reopens it.

    `grit`: FEPA P-number; `instructions`: the whole remedy in words.
    """

    low: float
    typical: float
    high: float
    clock: ClockName
    grit: int
    instructions: str
    evidence: Evidence
    source: str

    def __post_init__(self) -> None:
        ordered("recoat limit hours", self.low, self.typical, self.high)
        between("grit", self.grit, 40, 3000, "an abrasive grit from P40 to P3000")


@dataclass(frozen=True, slots=True)
class Film:
    """Spreading rate of the first and later coats [m²/L], volume solids [%], law of thickness."""

    first_m2_per_l: float
    later_m2_per_l: float
    volume_solids_pct: float
    law: FilmLaw
    evidence: Evidence
    source: str

    def __post_init__(self) -> None:
        between("first_m2_per_l", self.first_m2_per_l, 0.5, 200.0, "0.5 to 200 m² per litre")
        between("later_m2_per_l", self.later_m2_per_l, 0.5, 200.0, "0.5 to 200 m² per litre")
        between("volume_solids_pct", self.volume_solids_pct, 0.5, 100.0, "0.5 to 100 % by volume")

    def m2_per_l(self, *, first: bool) -> float:
        """Spreading rate [m²/L]; the first coat on bare wood takes more."""
        return self.first_m2_per_l if first else self.later_m2_per_l


@dataclass(frozen=True, slots=True)
class WipeWindow:
    """A coated piece is wiped off from `from_minutes` to `to_minutes` after coating."""

    from_minutes: float
    to_minutes: float
    evidence: Evidence
    source: str

    def __post_init__(self) -> None:
        between("from_minutes", self.from_minutes, 0.0, 60 * 48, "0 to 2,880 minutes")
        between("to_minutes", self.to_minutes, self.from_minutes, 60 * 48, "no less than from_minutes")


@dataclass(frozen=True, slots=True)
class Limits:
    """Air a finish needs. Below `minimum_c` it stands still; the humidity bounds stop it where `stops` is set.

    `warn_humidity_pct`: a caution when coating above it. `cap_c`: no credit for warmth above it.
    `blush_drop_c`: how far its own evaporation cools the film (blush when that meets the dew point).
    """

    minimum_c: float
    evidence: Evidence
    source: str
    cap_c: float = 35.0
    maximum_humidity_pct: float | None = None
    minimum_humidity_pct: float | None = None
    stops: bool = False
    warn_humidity_pct: float | None = None
    blush_drop_c: float | None = None

    def __post_init__(self) -> None:
        between("minimum_c", self.minimum_c, -40.0, 40.0, "a temperature from -40 to 40 °C")
        between("cap_c", self.cap_c, self.minimum_c, 60.0, "no less than minimum_c, no more than 60 °C")
        for name in ("maximum_humidity_pct", "minimum_humidity_pct", "warn_humidity_pct"):
            value = getattr(self, name)
            if value is not None:
                between(name, value, 0.0, 100.0, "a relative humidity from 0 to 100 %")


@dataclass(frozen=True, slots=True)
class Care:
    """What the owner of the piece does later. Re-oiling interval in months, None if not re-oiled."""

    words: str
    reoil_months: float | None = None


@dataclass(frozen=True, slots=True)
class Finish:
    """One finish. Stages it has no time for are never reached (a non-curing oil is never cured).

    `spread`: standard deviation of ln(time) of this shop and can against the stated hours; `repeat`: of one
    coat against the next in the same shop. `protection` and `upkeep`: 1 (least) to 5 (most).
    """

    name: str
    title: str
    family: Family
    mechanism: Mechanism
    reference: Atmosphere
    clocks: dict[ClockName, ClockLaw]
    stages: dict[Stage, StageTime]
    film: Film
    limits: Limits
    spread: float
    repeat: float
    protection: int
    upkeep: int
    care: Care
    summary: str
    recoat_limit: RecoatLimit | None = None
    wipe: WipeWindow | None = None
    pot_life_hours: float | None = None
    barrier: bool = False
    hazards: tuple[Hazard, ...] = ()
    notes: tuple[str, ...] = field(default=())

    def __post_init__(self) -> None:
        between("spread", self.spread, 0.0, 2.0, "0 to 2")
        between("repeat", self.repeat, 0.0, 2.0, "0 to 2")
        between("protection", self.protection, 1, 5, "1 to 5")
        between("upkeep", self.upkeep, 1, 5, "1 to 5")
        for clock in ClockName:
            if clock not in self.clocks:
                raise BadInput("clocks", sorted(self.clocks), "both a flash and a cure clock")
            if self.clocks[clock].humidity is not HumidityLaw.NONE:  # rates are taken against the reference's own
                between("reference humidity_pct", self.reference.humidity_pct, 5.0, 95.0, "5 to 95 % RH")
        if self.pot_life_hours is not None:
            between("pot_life_hours", self.pot_life_hours, 0.05, 72.0, "0.05 to 72 hours")

    @property
    def cures(self) -> bool:
        """Whether it ever hardens."""
        return Stage.CURED in self.stages


def between(name: str, value: float, low: float, high: float, expected: str) -> None:
    """Raise BadInput unless low <= value <= high (NaN is refused)."""
    if not low <= value <= high:
        raise BadInput(name, value, expected)


def ordered(name: str, low: float, typical: float, high: float) -> None:
    """Raise BadInput unless 0 <= low <= typical <= high, in hours, up to a year."""
    if not 0.0 <= low <= typical <= high <= 24 * 366:
        raise BadInput(name, (low, typical, high), "low <= typical <= high, 0 to 8,784 hours")
