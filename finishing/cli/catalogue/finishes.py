"""`finishing finishes`: listed, shown with every figure and its source, and added."""

from __future__ import annotations

from collections.abc import Iterator

import click

from finishing.cli import options
from finishing.cli.catalogue.shelf import adder, figures, library, maker_units, remover, rounded, say_problems
from finishing.cli.groups import NearestGroup
from finishing.cli.text import say, say_json, table
from finishing.cure.cautions import hazards
from finishing.cure.finish import Finish
from finishing.cure.terms import Stage
from finishing.library import Kind
from finishing.shop.own import limit_words, show_spreading
from finishing.units import show_duration, show_temperature, spoken


@click.group(cls=NearestGroup, invoke_without_command=True)
@options.as_json
@click.pass_context
def finishes(ctx: click.Context, as_json: bool) -> None:
    """Finishes, shipped and your own: listed, or with a command."""
    if ctx.invoked_subcommand is not None:
        return
    found = library()
    items = found.finishes()
    say_problems(found, Kind.FINISH)
    if as_json:
        say_json([{**figures(item), "own": found.is_own(Kind.FINISH, item.name)} for item in items])
        return
    units = maker_units()
    rows = [
        (
            item.name,
            item.family.value,
            _hours(item, Stage.DRY_TO_TOUCH),
            _hours(item, Stage.DRY_TO_RECOAT),
            _hours(item, Stage.CURED),
            show_temperature(item.limits.minimum_c, units),
            "own" if found.is_own(Kind.FINISH, item.name) else "",
        )
        for item in items
    ]
    table(rows, ("finish", "family", "touch", "recoat", "cured", "from", ""))


def _hours(item: Finish, stage: Stage) -> str:
    time = item.stages.get(stage)
    return "never" if time is None else show_duration(time.typical)


@finishes.command()
@click.argument("name")
@options.as_json
def show(name: str, as_json: bool) -> None:
    """Every figure of finish NAME, with how good its ground is and where it comes from."""
    found = library()
    item = found.finish(name)
    if as_json:
        say_json({**figures(item), "own": found.is_own(Kind.FINISH, item.name)})
        return
    say(f"{item.title} ({item.name})")
    say(f"  {item.summary}")
    say(f"  {item.family.value}, hardens by {item.mechanism.value.replace('_', ' ')}")
    units = maker_units()
    warmth = show_temperature(item.reference.temperature_c, units)
    say(f"  reference air {warmth}, {item.reference.humidity_pct:g} % RH")
    say()
    table(_stage_rows(item), ("hours until", "low", "typical", "high", "clock", "evidence", "source"))
    say()
    table(list(_figure_rows(item, units)), ("figure", "", "evidence", "source"))
    say()
    for caution in hazards(item.hazards):
        say(f"! {caution.text}")
    say(f"care: {item.care.words}")
    for note in item.notes:
        say(f"  {spoken(note, units)}")


def _stage_rows(item: Finish) -> list[tuple[str, ...]]:
    rows: list[tuple[str, ...]] = [
        (
            stage.words, rounded(time.low), rounded(time.typical), rounded(time.high),
            time.clock.value, time.evidence.value, time.source,
        )
        for stage in Stage
        if (time := item.stages.get(stage)) is not None
    ]  # fmt: skip
    limit = item.recoat_limit
    if limit is not None:
        rows.append(
            (
                f"abrade P{limit.grit} first", rounded(limit.low), rounded(limit.typical), rounded(limit.high),
                limit.clock.value, limit.evidence.value, limit.source,
            )
        )  # fmt: skip
    return rows


def _figure_rows(item: Finish, units: str) -> Iterator[tuple[str, str, str, str]]:
    for clock, law in item.clocks.items():
        bound = "" if law.max_rate is None else f", at most {law.max_rate:g} times the reference"
        words = f"{law.activation_energy_kj_mol:g} kJ/mol, humidity: {law.humidity.value.replace('_', ' ')}{bound}"
        yield f"{clock.value} clock", words, law.evidence.value, law.source
    film = item.film
    bare, later = (show_spreading(rate, units) for rate in (film.first_m2_per_l, film.later_m2_per_l))
    spread = f"{bare} on bare wood, {later} later"
    yield "spreading rate", spread, film.evidence.value, film.source
    yield (
        "volume solids",
        f"{film.volume_solids_pct:g} %, thickness by {film.law.value}",
        film.evidence.value,
        film.source,
    )
    if item.wipe is not None:
        words = f"{item.wipe.from_minutes:g} to {item.wipe.to_minutes:g} min after coating"
        yield "wipe off", words, item.wipe.evidence.value, item.wipe.source
    yield "air it needs", limit_words(item.limits, units), item.limits.evidence.value, item.limits.source
    if item.pot_life_hours is not None:
        yield "pot life", show_duration(item.pot_life_hours), "", "from memory; the label comes first"
    yield "spread", f"{item.spread:g} of ln(time); coat against coat {item.repeat:g}", "estimate", "a judgement"
    yield "protection", f"{item.protection} of 5; upkeep {item.upkeep} of 5", "estimate", "a judgement"


finishes.add_command(adder(Kind.FINISH))
finishes.add_command(remover(Kind.FINISH))
