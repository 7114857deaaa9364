"""What if: how long a schedule takes on these woods in this air, with no batch and no database."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from finishing.cure.advice import air_cautions
from finishing.cure.cautions import Caution, hazards, wood_cautions
from finishing.cure.climate import PlaceAir, build, steady
from finishing.cure.finish import Finish
from finishing.cure.fold import SEAL_OR_TEST, State
from finishing.cure.forecast import Forecast, forecast
from finishing.cure.integral import Series
from finishing.cure.outlook import UsualDay, fit_usual_day
from finishing.cure.schedule import Schedule
from finishing.cure.species import Species
from finishing.cure.spread import LIKELY
from finishing.cure.work import Batch
from finishing.errors import BadInput
from finishing.library import Library

HERE = "here"


@dataclass(frozen=True, slots=True)
class Question:
    """What is asked: a schedule on some woods, from `start` [hour] in some air, at a level of certainty.

    amount_ml and area_m2: what each coat takes, and over how much; both or neither.
    """

    schedule: Schedule
    finishes: Mapping[str, Finish]
    woods: tuple[Species, ...]
    start: float
    air: PlaceAir
    level: float = LIKELY
    amount_ml: float | None = None
    area_m2: float | None = None


@dataclass(frozen=True, slots=True)
class Answer:
    """The question and every coat at its earliest, with what to heed and what the times rest on."""

    question: Question
    batch: Batch
    ahead: Forecast
    cautions: tuple[Caution, ...]
    notes: tuple[str, ...]

    @property
    def last_finish(self) -> Finish:
        """The finish of the last coat of the schedule."""
        schedule = self.question.schedule
        name = schedule.steps[schedule.coat_steps[-1]].finish
        assert name is not None
        return self.question.finishes[name]


def ask(
    library: Library,
    schedule: str,
    species: Sequence[str],
    air: PlaceAir,
    start: float,
    *,
    level: float = LIKELY,
    amount_ml: float | None = None,
    area_m2: float | None = None,
) -> Answer:
    """Look everything up and work it out. NotFound names the nearest; BadInput for an amount without an area."""
    if (amount_ml is None) != (area_m2 is None):
        missing = "area" if area_m2 is None else "amount"
        raise BadInput(missing, None, "both an amount [mL] and the area [m²] it covers, or neither")
    found = library.schedule(schedule)
    finishes = {name: library.finish(name) for name in found.finishes}
    woods = library.woods_of(species)
    question = Question(found, finishes, woods, start, air, level, amount_ml, area_m2)
    batch = Batch("what-if", found, dict(finishes), woods, library.classes, HERE, coated_m2=area_m2)
    ahead = forecast(batch, [], {HERE: air}, {}, start, level=level, amount_ml=amount_ml)
    return Answer(question, batch, ahead, tuple(_cautions(question, ahead)), tuple(_notes(question, ahead)))


def steady_air(temperature_c: float, humidity_pct: float, start: float) -> PlaceAir:
    """Air that stays as it is."""
    return steady(temperature_c, humidity_pct, start)


def daily_air(low_c: float, high_c: float, humidity_pct: float, zone: str, start: float) -> PlaceAir:
    """Every day the same low near dawn and high in the afternoon."""
    usual = UsualDay(low_c, high_c, humidity_pct, humidity_pct)
    return build(None, usual, (), zone=zone, start=start, now=start)


def read_air(readings: Series, humidity_pct: float, zone: str, start: float) -> PlaceAir:
    """Readings as they were, then for ever the usual day they show. humidity_pct: for a log that has none."""
    usual = fit_usual_day(readings, zone, humidity_pct=humidity_pct)
    if usual is None:
        known = readings.humidity_pct[~np.isnan(readings.humidity_pct)]
        damp = float(known.mean()) if len(known) else humidity_pct
        mean = float(readings.temperature_c.mean())
        usual = UsualDay(mean, mean, damp, damp)
    return build(readings, usual, (), zone=zone, start=start, now=float(readings.hours[-1]))


def _cautions(question: Question, ahead: Forecast) -> list[Caution]:
    said: list[Caution] = []
    if ahead.stopped is State.TEST_FIRST:
        said.append(Caution("seal_or_test", SEAL_OR_TEST, "common practice, no source", urgent=True))
    temperature, humidity = question.air.at(question.start)
    for finish in question.finishes.values():
        said += [
            Caution(c.code, f"{finish.title}: {c.text}", c.source, c.urgent)
            for c in air_cautions(finish, temperature, humidity)
        ]
    said += hazards(h for finish in question.finishes.values() for h in finish.hazards)
    said += wood_cautions(question.woods)
    return list({(c.code, c.text): c for c in said}.values())


def _notes(question: Question, ahead: Forecast) -> list[str]:
    level = round(question.level * 100)
    said = [f"every coat at its earliest, at the level {level} %: so many in a hundred such coats are ready by then"]
    if question.woods:
        said.append("how much a wood slows a finish is an estimate until touch tests in the shop show better")
    if ahead.stopped is State.NEVER:
        said.append("the air never lets a coat get ready for the next step: warmer or drier air is needed")
    if ahead.stopped is State.TEST_FIRST:
        said.append("no date is given: an oily wood may hold this finish up for weeks, or for good")
    if not question.finishes[question.schedule.finishes[-1]].cures:
        said.append(
            "this finish never cures: it is wiped off, may be used when paper stays clean on it, and is renewed"
        )
    if any(c.window.tight for c in ahead.coats):
        said.append("a recoat window may shut before it is sure to be open: feel the film early, or plan to abrade")
    return said
