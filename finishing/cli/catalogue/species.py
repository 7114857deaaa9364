"""`finishing species`: listed, shown with what each holds up and why, and added."""

from __future__ import annotations

import click

from finishing.cli import options
from finishing.cli.catalogue.shelf import adder, figures, library, remover, rounded, say_problems
from finishing.cli.groups import NearestGroup
from finishing.cli.text import number, say, say_json, table
from finishing.cure.cautions import wood_cautions
from finishing.cure.species import ClassTable, Species
from finishing.cure.terms import Mechanism
from finishing.library import Kind, Library
from finishing.shop.views import View


@click.group(cls=NearestGroup, invoke_without_command=True)
@options.as_json
@click.pass_context
def species(ctx: click.Context, as_json: bool) -> None:
    """Woods, shipped and your own: listed, or with a command.

    How much a wood slows a finish is an estimate: no published figure exists for any.
    """
    if ctx.invoked_subcommand is not None:
        return
    found = library()
    woods = found.woods()
    say_problems(found, Kind.SPECIES)
    if as_json:
        say_json([_view(found, wood) for wood in woods])
        return
    rows = [
        (
            wood.name,
            wood.botanical,
            wood.extractives.value,
            f"×{rounded(_factor(found.classes, wood, Mechanism.OXIDATION))}",
            wood.pores.value,
            ", ".join(wood.dust),
            "own" if found.is_own(Kind.SPECIES, wood.name) else "",
        )
        for wood in woods
    ]
    table(rows, ("species", "botanical", "extractives", "oil, varnish", "pores", "dust", ""))


def _factor(classes: ClassTable, wood: Species, mechanism: Mechanism) -> float:
    """The time factor of bare wood under a mechanism: its own, or its class's."""
    return wood.factors.get(mechanism, classes.get(wood.extractives, mechanism).typical)


def _view(found: Library, wood: Species) -> View:
    """Every figure of the wood, with the factor and the chance of never hardening bare by mechanism."""
    classes = {m: found.classes.get(wood.extractives, m) for m in Mechanism}
    by_mechanism = {
        mechanism.value: {
            "factor": _factor(found.classes, wood, mechanism),
            "of_its_class": mechanism not in wood.factors,
            "class_low": row.low,
            "class_high": row.high,
            "never_bare": row.never_bare,
            "evidence": row.evidence.value,
            "source": row.source,
        }
        for mechanism, row in classes.items()
    }
    return {**figures(wood), "slows": by_mechanism, "own": found.is_own(Kind.SPECIES, wood.name)}


@species.command()
@click.argument("name")
@options.as_json
def show(name: str, as_json: bool) -> None:
    """Wood NAME: its extractives, how much it slows each kind of finish, cautions, and where all that comes from."""
    found = library()
    wood = found.species(name)
    if as_json:
        say_json(_view(found, wood))
        return
    say(f"{wood.name} ({wood.botanical})")
    if wood.aliases:
        say(f"  also called {', '.join(wood.aliases)}")
    say(f"  extractives {wood.extractives.value}; {wood.pores.value}, {'open' if wood.open_pores else 'closed'} pores")
    say(f"  {wood.evidence.value}: {wood.source}")
    say()
    table(_factor_rows(found, wood), ("hardens by", "time", "of its class", "never, bare", "evidence", "source"))
    say()
    for caution in wood_cautions([wood]):
        say(f"! {caution.text}")


def _factor_rows(found: Library, wood: Species) -> list[tuple[str, ...]]:
    rows: list[tuple[str, ...]] = []
    for mechanism in (m for m in Mechanism if m is not Mechanism.NONE):
        row = found.classes.get(wood.extractives, mechanism)
        rows.append(
            (
                mechanism.value.replace("_", " "),
                f"×{rounded(_factor(found.classes, wood, mechanism))}",
                f"×{rounded(row.low)} to ×{rounded(row.high)}",
                f"{number(row.never_bare * 100, 0)} %",
                row.evidence.value,
                row.source,
            )
        )
    return rows


species.add_command(adder(Kind.SPECIES))
species.add_command(remover(Kind.SPECIES))
