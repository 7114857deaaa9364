"""Everything about a finish: every figure, how good its ground is and where it comes from."""

from __future__ import annotations

from rich.text import Text

from finishing.cure.cautions import hazards
from finishing.cure.finish import Finish
from finishing.cure.terms import Stage
from finishing.screens.pages.library.about import Parts, figure, ground, head, heading, heed, said
from finishing.screens.widgets.figures import TIMES, ScaleRow
from finishing.shop.own import limit_words, show_spreading
from finishing.units import show_duration, show_temperature, spoken

NO_SOURCE = "a judgement; the label of the can comes first"


def about_finish(finish: Finish, whose: str, units: str) -> Parts:
    """Stage times on one scale, then the other figures, hazards and care."""
    hardens = f"{finish.family.value}, hardens by {finish.mechanism.value.replace('_', ' ')}"
    yield from head(finish.title, finish.name, whose, finish.summary, hardens)
    yield from _times(finish, units)
    yield from _amounts(finish, units)
    yield from _air(finish, units)
    yield from heed(hazards(finish.hazards))
    yield from heading("care")
    yield Text(finish.care.words)
    months = finish.care.reoil_months
    if months is not None:
        yield Text(f"to be oiled again about every {months:g} months")
    yield from said("notes", tuple(spoken(note, units) for note in finish.notes))


def _times(finish: Finish, units: str) -> Parts:
    air = f"{_degrees(finish.reference.temperature_c, units)}, {finish.reference.humidity_pct:g} % RH"
    yield from heading(f"time until, at {air}")
    yield ScaleRow("├low ◆mid high┤", TIMES, None)
    for stage in Stage:
        time = finish.stages.get(stage)
        if time is None:
            yield ScaleRow(stage.words, TIMES, None, "never")
            continue
        yield ScaleRow(stage.words, TIMES, (time.low, time.typical, time.high), show_duration(time.typical))
        between = f"{show_duration(time.low)} to {show_duration(time.high)}, {time.clock.value} clock; "
        yield ground(time.evidence.value, time.source, between)
    limit = finish.recoat_limit
    if limit is None:
        yield Text("recoat window  no end: it may always be recoated", style="dim")
    else:
        values = (limit.low, limit.typical, limit.high)
        yield ScaleRow("window shuts", TIMES, values, show_duration(limit.typical))
        between = f"{show_duration(limit.low)} to {show_duration(limit.high)}, {limit.clock.value} clock; "
        yield ground(limit.evidence.value, limit.source, between)
        yield ground("then", limit.instructions)
    yield from figure(
        "spread", f"{finish.spread:g} of ln(time), coat against coat {finish.repeat:g}", "estimate", NO_SOURCE
    )


def _amounts(finish: Finish, units: str) -> Parts:
    film = finish.film
    yield from heading("amounts")
    bare, later = (show_spreading(rate, units) for rate in (film.first_m2_per_l, film.later_m2_per_l))
    yield from figure("spreads", f"{bare} on bare wood, {later} later", film.evidence.value, film.source)
    solids = f"{film.volume_solids_pct:g} % by volume, thickness by {film.law.value}"
    yield from figure("solids", solids, film.evidence.value, film.source)
    if finish.wipe is not None:
        words = f"{finish.wipe.from_minutes:g} to {finish.wipe.to_minutes:g} min after coating"
        yield from figure("wipe off", words, finish.wipe.evidence.value, finish.wipe.source)
    if finish.pot_life_hours is not None:
        yield from figure("pot life", show_duration(finish.pot_life_hours), "estimate", f"from memory; {NO_SOURCE}")
    if finish.barrier:
        yield Text("seals the wood: later coats count its extractives as low")
    judged = f"{finish.protection} of 5, upkeep {finish.upkeep} of 5"
    yield from figure("protection", judged, "estimate", NO_SOURCE)


def _air(finish: Finish, units: str) -> Parts:
    limits = finish.limits
    yield from heading("air")
    yield from figure("needs", limit_words(limits, units), limits.evidence.value, limits.source)
    for clock, law in finish.clocks.items():
        most = "" if law.max_rate is None else f", at most {law.max_rate:g} times the reference"
        humidity = law.humidity.value.replace("_", " ")
        words = f"{law.activation_energy_kj_mol:g} kJ/mol, humidity: {humidity}{most}"
        yield from figure(f"{clock.value} clock", words, law.evidence.value, law.source)


def _degrees(celsius: float, units: str) -> str:
    return show_temperature(celsius, units)
