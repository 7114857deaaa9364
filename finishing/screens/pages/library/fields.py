"""The common figures of a finish, schedule or wood as lines of a form, and the thing they make once changed.

Only a line that was changed is read, so that what is shown rounded stays as it is.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace

from finishing.cure.finish import Finish, RecoatLimit, StageTime
from finishing.cure.schedule import Schedule, Step
from finishing.cure.species import Species
from finishing.cure.terms import Evidence, Extractives, Mechanism, Stage
from finishing.errors import BadInput
from finishing.library.kinds import Item
from finishing.shop import own
from finishing.shop.words import step_words
from finishing.units import parse_hours, parse_temperature, show_temperature


@dataclass(frozen=True, slots=True)
class Field:
    """A line: what it is called in messages too, what stands in it, and an example for when it is empty."""

    name: str
    value: str
    example: str = ""


STAGES = (
    Stage.DRY_TO_TOUCH,
    Stage.DRY_TO_RECOAT,
    Stage.DRY_TO_HANDLE,
    Stage.STACKABLE,
    Stage.CURED,
)


def fields(item: Item, units: str) -> list[Field]:
    """The lines of the form."""
    if isinstance(item, Finish):
        return _finish_fields(item, units)
    if isinstance(item, Schedule):
        return _schedule_fields(item)
    return _wood_fields(item)


def changed(item: Item, typed: Mapping[str, str], units: str, day: dt.date) -> Item:
    """The thing with the lines that were changed. BadInput naming the line."""
    before = {field.name: field.value for field in fields(item, units)}
    new = {name: text.strip() for name, text in typed.items() if text.strip() != before[name].strip()}
    if isinstance(item, Finish):
        return _finish(item, new, units, f"typed by hand, {day.isoformat()}")
    if isinstance(item, Schedule):
        return _schedule(item, new)
    return _wood(item, new, f"typed by hand, {day.isoformat()}")


def _finish_fields(item: Finish, units: str) -> list[Field]:
    found = [Field("title", item.title)]
    found += [Field(s.words, own.exact_hours(item.stages[s].typical), "6h") for s in STAGES if s in item.stages]
    if item.recoat_limit is not None:
        found.append(Field("recoat until", own.exact_hours(item.recoat_limit.typical), "24h"))
    found.append(Field("coldest", show_temperature(item.limits.minimum_c, units), "10 °C"))
    found.append(Field("spreads, bare wood", own.show_spreading(item.film.first_m2_per_l, units)))
    found.append(Field("spreads, later", own.show_spreading(item.film.later_m2_per_l, units)))
    if item.wipe is not None:
        found.append(Field("wipe off from", f"{item.wipe.from_minutes:g}min", "5min"))
        found.append(Field("wipe off until", f"{item.wipe.to_minutes:g}min", "15min"))
    if item.pot_life_hours is not None:
        found.append(Field("pot life", own.exact_hours(item.pot_life_hours), "4h"))
    return [*found, Field("care", item.care.words)]


def _finish(item: Finish, new: Mapping[str, str], units: str, by: str) -> Finish:
    stages = dict(item.stages)
    for stage in (s for s in STAGES if s.words in new):
        hours = parse_hours(new[stage.words], stage.words)
        stages[stage] = own.scaled(stages[stage], hours, Evidence.ESTIMATE, _kept(by, stages[stage]))
    limits, film, wipe, pot = item.limits, item.film, item.wipe, item.pot_life_hours
    if "coldest" in new:
        unit = "F" if units == "imperial" else "C"
        coldest = parse_temperature(new["coldest"], "coldest", unit=unit)
        words = f"minimum: {by}; before: {limits.source}"
        limits = replace(limits, minimum_c=coldest, evidence=Evidence.ESTIMATE, source=words)
    if new.keys() & {"spreads, bare wood", "spreads, later"}:
        bare = _rate(new, "spreads, bare wood", film.first_m2_per_l, units)
        later = _rate(new, "spreads, later", film.later_m2_per_l, units)
        film = replace(film, first_m2_per_l=bare, later_m2_per_l=later, evidence=Evidence.ESTIMATE, source=by)
    if wipe is not None and new.keys() & {"wipe off from", "wipe off until"}:
        first = _minutes(new, "wipe off from", wipe.from_minutes)
        last = _minutes(new, "wipe off until", wipe.to_minutes)
        if last < first:
            raise BadInput("wipe off until", f"{last:g}min", f"no less than wipe off from, {first:g}min")
        wipe = replace(wipe, from_minutes=first, to_minutes=last, evidence=Evidence.ESTIMATE, source=by)
    if "pot life" in new:
        pot = parse_hours(new["pot life"], "pot life")
    return replace(
        item,
        title=new.get("title", item.title),
        stages=stages,
        recoat_limit=_until(item.recoat_limit, new, by),
        limits=limits,
        film=film,
        wipe=wipe,
        pot_life_hours=pot,
        care=replace(item.care, words=new.get("care", item.care.words)),
    )


def _until(old: RecoatLimit | None, new: Mapping[str, str], by: str) -> RecoatLimit | None:
    if old is None or "recoat until" not in new:
        return old
    hours = parse_hours(new["recoat until"], "recoat until")
    low, high = own.proportion(old.low, old.typical, old.high, hours)
    return replace(old, low=low, typical=hours, high=high, evidence=Evidence.ESTIMATE, source=_kept(by, old))


def _kept(by: str, old: StageTime | RecoatLimit) -> str:
    return f"{by}; low and high in the proportion they had to {old.typical:g} h"


def _minutes(new: Mapping[str, str], name: str, before: float) -> float:
    return parse_hours(new[name], name, unit="min") * 60.0 if name in new else before


def _rate(new: Mapping[str, str], name: str, before: float, units: str) -> float:
    return own.parse_spreading(new[name], name, units) if name in new else before


def _schedule_fields(item: Schedule) -> list[Field]:
    steps = [
        Field(_step_name(item, position), _step_text(step), "2 min, set-up 5, P320")
        for position, step in enumerate(item.steps)
    ]
    return [Field("title", item.title), Field("suits", item.suits), *steps]


def _step_name(item: Schedule, position: int) -> str:
    return f"{position + 1} {step_words(item, position)}"


def _step_text(step: Step) -> str:
    parts = [f"{step.minutes_per_piece:g} min", f"set-up {step.setup_minutes:g}" if step.setup_minutes else ""]
    parts.append("" if step.grit is None else f"P{step.grit}")
    return ", ".join(part for part in parts if part)


def _schedule(item: Schedule, new: Mapping[str, str]) -> Schedule:
    names = [_step_name(item, position) for position in range(len(item.steps))]
    steps = [
        _step(step, name, new[name]) if name in new else step for name, step in zip(names, item.steps, strict=True)
    ]
    return replace(item, title=new.get("title", item.title), suits=new.get("suits", item.suits), steps=tuple(steps))


_PART = re.compile(r"(?P<each>\d+(?:\.\d+)?)\s*min|set-?up\s*(?P<ready>\d+(?:\.\d+)?)(?:\s*min)?|p\s*(?P<grit>\d{2,4})")


def _step(step: Step, name: str, text: str) -> Step:
    found: dict[str, str] = {}
    for part in (p.strip().lower() for p in text.split(",") if p.strip()):
        match = _PART.fullmatch(part)
        if match is None:
            raise BadInput(name, part, "minutes a piece, set-up and grit, such as 2 min, set-up 5, P320")
        found |= {key: value for key, value in match.groupdict().items() if value is not None}
    grit = int(found["grit"]) if "grit" in found else None
    try:
        return replace(
            step,
            minutes_per_piece=float(found.get("each", 0.0)),
            setup_minutes=float(found.get("ready", 0.0)),
            grit=grit,
        )
    except BadInput as problem:
        raise BadInput(name, text, problem.expected) from problem


def _wood_fields(item: Species) -> list[Field]:
    found = [Field("extractives", item.extractives.value, ", ".join(Extractives))]
    for mechanism in _mechanisms():
        factor = item.factors.get(mechanism)
        found.append(Field(_slows(mechanism), "" if factor is None else f"{factor:g}", "as its class"))
    found.append(Field("dust", ", ".join(item.dust), "irritant, sensitiser, asthma"))
    found.append(Field("bleeds", item.bleeds, "no colour"))
    return [*found, Field("cautions", "; ".join(item.cautions), "with ; between")]


def _wood(item: Species, new: Mapping[str, str], by: str) -> Species:
    factors = dict(item.factors)
    for mechanism in _mechanisms():
        name = _slows(mechanism)
        if new.get(name):
            factors[mechanism] = _factor(new[name], name)
        elif name in new:
            factors.pop(mechanism, None)
    figures = new.keys() - {"dust", "bleeds", "cautions"}
    return replace(
        item,
        extractives=_class(new["extractives"]) if "extractives" in new else item.extractives,
        factors=factors,
        dust=_several(new["dust"], ",") if "dust" in new else item.dust,
        bleeds=new.get("bleeds", item.bleeds),
        cautions=_several(new["cautions"], ";") if "cautions" in new else item.cautions,
        evidence=Evidence.ESTIMATE if figures else item.evidence,
        source=f"{by}; before: {item.source}" if figures else item.source,
    )


def _mechanisms() -> list[Mechanism]:
    return [m for m in Mechanism if m is not Mechanism.NONE]


def _slows(mechanism: Mechanism) -> str:
    return f"slows {mechanism.value.replace('_', ' ')} ×"


def _factor(text: str, name: str) -> float:
    try:
        value = float(text.removeprefix("×").replace(",", "."))
    except ValueError:
        value = float("nan")
    if not 0.5 <= value <= 20.0:
        raise BadInput(name, text, "a time factor from 0.5 to 20, or nothing for its class's")
    return value


def _class(text: str) -> Extractives:
    if text not in list(Extractives):
        raise BadInput("extractives", text, f"one of {', '.join(Extractives)}")
    return Extractives(text)


def _several(text: str, mark: str) -> tuple[str, ...]:
    return tuple(part.strip() for part in text.split(mark) if part.strip())
