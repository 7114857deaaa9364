"""Finishes, woods and air made in code, so that these tests read no file.

Times and laws follow the generic families (common practice, no source); they are inputs here, never expectations.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import numpy.typing as npt

from finishing.cure.climate import PlaceAir, steady
from finishing.cure.finish import (
    Atmosphere,
    Care,
    ClockLaw,
    Film,
    Finish,
    Limits,
    RecoatLimit,
    StageTime,
    WipeWindow,
)
from finishing.cure.integral import Series
from finishing.cure.rates import RateLaw
from finishing.cure.schedule import Schedule, Step
from finishing.cure.species import ClassFigures, ClassTable, Species
from finishing.cure.terms import (
    ClockName,
    Evidence,
    Extractives,
    Family,
    FilmLaw,
    Hazard,
    HumidityLaw,
    Mechanism,
    Pores,
    Stage,
    StepKind,
)
from finishing.cure.work import Batch

Array = npt.NDArray[np.float64]
PRACTICE, ESTIMATE = Evidence.PRACTICE, Evidence.ESTIMATE
HOURS_OF = tuple(Stage)
START = 490_000.0
"""An hour to begin at: 2025-11-24T16:00Z."""


def law(
    ea: float = 50.0,
    reference: float = 20.0,
    *,
    humidity: HumidityLaw = HumidityLaw.NONE,
    reference_pct: float = 50.0,
    minimum: float = -40.0,
    cap: float = 60.0,
    **more: float,
) -> RateLaw:
    """A rate law with no stops unless asked for."""
    return RateLaw(ea, humidity, reference, reference_pct, minimum, cap, **more)


def series(hours: Sequence[float] | Array, t: Sequence[float] | Array, rh: float | Sequence[float] = 50.0) -> Series:
    """Air through these points; one humidity for all, or one each."""
    at = np.asarray(hours, dtype=float)
    damp = np.full(at.shape, float(rh)) if isinstance(rh, int | float) else np.asarray(rh, dtype=float)
    return Series(at, np.asarray(t, dtype=float), damp)


def hourly_steps(values: Sequence[float], start: float = 0.0) -> Series:
    """Air that keeps each value for one hour: every change is two points at one hour."""
    return blocks([(1.0, v) for v in values], start)


def blocks(lengths: Sequence[tuple[float, float]], start: float = 0.0) -> Series:
    """Air that keeps a temperature for so many hours, then steps to the next."""
    hours, warmth, at = [], [], start
    for length, t in lengths:
        hours += [at, at + length]
        warmth += [t, t]
        at += length
    return series(hours, warmth)


def _stages(clocks: str, hours: Sequence[tuple[float, float, float] | None]) -> dict[Stage, StageTime]:
    """clocks: one letter a stage, f(lash) or c(ure)."""
    name = {"f": ClockName.FLASH, "c": ClockName.CURE}
    return {
        stage: StageTime(*row, name[letter], PRACTICE, "common practice, no source")
        for stage, letter, row in zip(HOURS_OF, clocks, hours, strict=True)
        if row is not None
    }


def _clocks(flash: float, cure: float, flash_rh: HumidityLaw, cure_rh: HumidityLaw, cap: float | None = None):  # type: ignore[no-untyped-def]
    return {
        ClockName.FLASH: ClockLaw(flash, flash_rh, ESTIMATE, "facts of the mechanism", cap),
        ClockName.CURE: ClockLaw(cure, cure_rh, ESTIMATE, "facts of the mechanism"),
    }


def _limit(low: float, typical: float, high: float) -> RecoatLimit:
    words = "abrade to an even dull surface with P240, vacuum, wipe with the finish's own thinner"
    return RecoatLimit(low, typical, high, ClockName.CURE, 240, words, PRACTICE, "common practice, no source")


def _film(first: float, later: float, solids: float, film_law: FilmLaw) -> Film:
    return Film(first, later, solids, film_law, PRACTICE, "common practice, no source")


def varnish(**changes: object) -> Finish:
    """A brushing varnish that hardens by oxidation and has a recoat limit."""
    finish = Finish(
        name="varnish",
        title="brushing varnish",
        family=Family.BRUSHING_VARNISH,
        mechanism=Mechanism.OXIDATION,
        reference=Atmosphere(21.0, 50.0),
        clocks=_clocks(40.0, 50.0, HumidityLaw.NONE, HumidityLaw.SLOWS_OXIDATION),
        stages=_stages(
            "ffccccc",
            [(0.5, 1.5, 4), (1, 2.5, 6), (1.5, 4, 10), (6, 12, 24), (8, 24, 48), (48, 120, 240), (168, 504, 720)],
        ),
        film=_film(9.0, 12.0, 45.0, FilmLaw.DIFFUSION),
        limits=Limits(5.0, PRACTICE, "Wood Handbook, chapter 16"),
        spread=0.5,
        repeat=0.25,
        protection=4,
        upkeep=2,
        care=Care("wipe with a damp cloth"),
        summary="",
        recoat_limit=_limit(12, 24, 48),
        hazards=(Hazard.RAGS, Hazard.VAPOUR),
    )
    return replace(finish, **changes)


def shellac(**changes: object) -> Finish:
    """Dewaxed shellac, two-pound cut: evaporates, redissolves, and seals."""
    finish = Finish(
        name="shellac",
        title="dewaxed shellac",
        family=Family.SHELLAC,
        mechanism=Mechanism.EVAPORATION,
        reference=Atmosphere(21.0, 50.0),
        clocks=_clocks(40.0, 40.0, HumidityLaw.NONE, HumidityLaw.NONE),
        stages=_stages(
            "fffffcc",
            [(0.1, 0.2, 0.4), (0.15, 0.3, 0.6), (0.2, 0.4, 0.8), (1, 2, 4), (0.5, 1, 3), (24, 72, 168), (24, 120, 336)],
        ),
        film=_film(12.0, 16.0, 17.4, FilmLaw.DIFFUSION),
        limits=Limits(5.0, PRACTICE, "from memory", warn_humidity_pct=70.0, blush_drop_c=5.0),
        spread=0.4,
        repeat=0.25,
        protection=2,
        upkeep=2,
        care=Care("no alcohol, nothing hot"),
        summary="",
        barrier=True,
        hazards=(Hazard.VAPOUR,),
    )
    return replace(finish, **changes)


def waterborne(**changes: object) -> Finish:
    """A waterborne clear: its water leaves with the vapour pressure deficit, then it coalesces."""
    finish = Finish(
        name="waterborne",
        title="waterborne clear",
        family=Family.WATERBORNE,
        mechanism=Mechanism.COALESCENCE,
        reference=Atmosphere(21.0, 50.0),
        clocks=_clocks(44.0, 50.0, HumidityLaw.WATER_LEAVES, HumidityLaw.NONE, cap=1.0 / 0.7),
        stages=_stages(
            "ffffccc",
            [
                (0.15, 0.3, 0.75),
                (0.2, 0.5, 1),
                (0.3, 0.75, 1.5),
                (1, 2, 4),
                (2, 6, 24),
                (48, 96, 168),
                (120, 240, 504),
            ],
        ),
        film=_film(9.0, 11.0, 30.0, FilmLaw.DIFFUSION),
        limits=Limits(10.0, PRACTICE, "Wood Handbook, chapter 16", maximum_humidity_pct=85.0, stops=True),
        spread=0.4,
        repeat=0.25,
        protection=3,
        upkeep=2,
        care=Care("wipe with a damp cloth"),
        summary="",
        recoat_limit=_limit(8, 24, 72),
    )
    return replace(finish, **changes)


def linseed(**changes: object) -> Finish:
    """Boiled linseed oil: soaked, wiped back, no recoat limit."""
    finish = Finish(
        name="linseed",
        title="boiled linseed oil",
        family=Family.DRYING_OIL,
        mechanism=Mechanism.OXIDATION,
        reference=Atmosphere(21.0, 50.0),
        clocks=_clocks(50.0, 50.0, HumidityLaw.SLOWS_OXIDATION, HumidityLaw.SLOWS_OXIDATION),
        stages=_stages(
            "ccccccc",
            [
                (4, 10, 20),
                (6, 16, 40),
                (8, 20, 72),
                (24, 24, 72),
                (24, 48, 120),
                (168, 336, 720),
                (336, 720, 1440),
            ],
        ),
        film=_film(12.0, 30.0, 100.0, FilmLaw.DIFFUSION),
        limits=Limits(4.0, PRACTICE, "Wood Handbook, chapter 16"),
        spread=0.5,
        repeat=0.25,
        protection=1,
        upkeep=4,
        care=Care("re-oil when dry-looking", 4.0),
        summary="",
        wipe=WipeWindow(10.0, 30.0, PRACTICE, "common practice, no source"),
        hazards=(Hazard.RAGS,),
    )
    return replace(finish, **changes)


def mineral_oil(**changes: object) -> Finish:
    """Mineral oil: never hardens; its last stage is the paper blot."""
    finish = Finish(
        name="mineral-oil",
        title="mineral oil",
        family=Family.NON_CURING_OIL,
        mechanism=Mechanism.NONE,
        reference=Atmosphere(21.0, 50.0),
        clocks=_clocks(25.0, 25.0, HumidityLaw.NONE, HumidityLaw.NONE),
        stages=_stages("fffffff", [None, None, None, (4, 12, 24), (4, 12, 24), (24, 48, 96), None]),
        film=_film(8.0, 12.0, 100.0, FilmLaw.NONE),
        limits=Limits(0.0, PRACTICE, "none"),
        spread=0.5,
        repeat=0.25,
        protection=1,
        upkeep=5,
        care=Care("re-oil monthly", 1.0),
        summary="",
    )
    return replace(finish, **changes)


def moisture_cure(**changes: object) -> Finish:
    """A one-part moisture-curing film: the damper, the faster."""
    base = varnish(
        name="moisture",
        mechanism=Mechanism.MOISTURE,
        clocks=_clocks(40.0, 50.0, HumidityLaw.NONE, HumidityLaw.NEEDS_WATER),
        limits=Limits(5.0, PRACTICE, "from memory", minimum_humidity_pct=30.0, stops=True),
        hazards=(Hazard.ISOCYANATE,),
    )
    return replace(base, **changes)


def two_part(**changes: object) -> Finish:
    """A two-part film: reacts throughout, so thickness matters little."""
    base = varnish(
        name="two-part",
        mechanism=Mechanism.TWO_PART,
        clocks=_clocks(50.0, 50.0, HumidityLaw.NONE, HumidityLaw.NONE),
        film=_film(30.0, 45.0, 98.0, FilmLaw.REACTION),
        pot_life_hours=4.0,
        hazards=(Hazard.ISOCYANATE,),
    )
    return replace(base, **changes)


ALL_FINISHES = (varnish, shellac, waterborne, linseed, mineral_oil, moisture_cure, two_part)

# Estimates of class and mechanism: time factor low/typical/high, chance of never hardening bare, spread of ln.
_OXIDATION = {
    Extractives.NONE: (1.0, 1.0, 1.0, 0.0, 0.10),
    Extractives.LOW: (1.0, 1.1, 1.3, 0.01, 0.15),
    Extractives.MODERATE: (1.2, 1.6, 3.0, 0.08, 0.35),
    Extractives.HIGH: (1.5, 3.0, 10.0, 0.30, 0.60),
}
_TYPICAL = {
    Mechanism.EVAPORATION: (1.0, 1.0, 1.05, 1.1),
    Mechanism.COALESCENCE: (1.0, 1.0, 1.05, 1.15),
    Mechanism.TWO_PART: (1.0, 1.0, 1.1, 1.25),
    Mechanism.MOISTURE: (1.0, 1.0, 1.1, 1.25),
    Mechanism.NONE: (1.0, 1.0, 1.0, 1.0),
}


def classes() -> ClassTable:
    """The table of extractive classes."""
    rows = [ClassFigures(e, Mechanism.OXIDATION, *_OXIDATION[e], ESTIMATE, "estimate") for e in Extractives]
    for mechanism, factors in _TYPICAL.items():
        rows += [
            ClassFigures(e, mechanism, 1.0, f, 2.0, 0.0, 0.1, ESTIMATE, "estimate")
            for e, f in zip(Extractives, factors, strict=True)
        ]
    return ClassTable(tuple(rows))


def wood(name: str, extractives: Extractives, **more: object) -> Species:
    """A wood of a class."""
    plain = Species(name, f"{name}us", extractives, Pores.DIFFUSE, False, {}, (), "", (), PRACTICE, "from memory")
    return replace(plain, **more)


MAPLE = wood("hard maple", Extractives.NONE)
WALNUT = wood("black walnut", Extractives.LOW)
PADAUK = wood("padauk", Extractives.MODERATE, bleeds="red")
COCOBOLO = wood("cocobolo", Extractives.HIGH, dust=("sensitiser",))


def plain_schedule(name: str, coats: int, finish: str, **coat: object) -> Schedule:
    """Prepare, then so many coats on both faces with nothing between."""
    steps = [Step(StepKind.PREPARE, minutes_per_piece=5.0, grit=220)]
    steps += [Step(StepKind.COAT, finish=finish, minutes_per_piece=3.0, **coat) for _ in range(coats)]
    return Schedule(name, name, "", tuple(steps))


def batch(schedule: Schedule, *finishes: Finish, woods: Sequence[Species] = (MAPLE,), **more: object) -> Batch:
    """A batch of ten pieces in the bench room."""
    plain = Batch("B1", schedule, {f.name: f for f in finishes}, tuple(woods), classes(), "bench", pieces=10)
    return replace(plain, **more)


def warm(t: float = 21.0, rh: float = 50.0, start: float = START - 1000.0) -> PlaceAir:
    """Air that never changes, from long ago."""
    return steady(t, rh, start)
