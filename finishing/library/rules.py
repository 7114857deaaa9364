"""What a library file must keep to beyond the types of the core: names, sources, and figures that fit together."""

from __future__ import annotations

import re
from collections.abc import Iterator

from finishing.cure.finish import Finish, between
from finishing.cure.schedule import Schedule
from finishing.cure.species import Species
from finishing.cure.terms import Stage
from finishing.errors import BadInput
from finishing.library.kinds import Item, folded, slug

DUST = ("irritant", "sensitiser", "asthma")
NAME = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")


def obey(item: Item) -> None:
    """Raise BadInput, its field a key of the file, at the first rule broken."""
    match item:
        case Finish():
            _finish(item)
        case Schedule():
            _handle(item.name)
            _said("title", item.title)
        case Species():
            _species(item)


def _handle(name: str) -> None:
    if not NAME.fullmatch(name) or len(name) > 60:
        raise BadInput("name", name, "small letters, digits and single hyphens, such as wiping-varnish")


def _said(field: str, text: str) -> None:
    if not text.strip() or "\n" in text:
        raise BadInput(field, text, "one line of text")


def _finish(finish: Finish) -> None:
    _handle(finish.name)
    _said("title", finish.title)
    for field, source in sources(finish):
        if not source.strip():
            raise BadInput(field, source, 'where the figure comes from, or "common practice, no source"')
    if finish.care.reoil_months is not None:
        between("care.reoil_months", finish.care.reoil_months, 0.1, 120, "0.1 to 120 months")
    if finish.limits.blush_drop_c is not None:
        between("limits.blush_drop_c", finish.limits.blush_drop_c, 0, 30, "0 to 30 °C")
    limit, recoat = finish.recoat_limit, finish.stages.get(Stage.DRY_TO_RECOAT)
    if limit is not None and recoat is not None and limit.typical < recoat.typical:
        expected = f"no less than the {recoat.typical:g} h until it can be recoated"
        raise BadInput("recoat_limit.typical", limit.typical, expected)


def sources(finish: Finish) -> Iterator[tuple[str, str]]:
    """The key and text of every source a finish gives."""
    for clock, law in finish.clocks.items():
        yield f"clocks.{clock}.source", law.source
    for stage, time in finish.stages.items():
        yield f"stages.{stage}.source", time.source
    yield "film.source", finish.film.source
    yield "limits.source", finish.limits.source
    if finish.recoat_limit is not None:
        yield "recoat_limit.source", finish.recoat_limit.source
    if finish.wipe is not None:
        yield "wipe.source", finish.wipe.source


def _species(wood: Species) -> None:
    if not slug(wood.name) or len(wood.name) > 60 or "\n" in wood.name:
        raise BadInput("name", wood.name, "the wood's name, such as hard maple")
    _said("source", wood.source)
    for word in wood.dust:
        if word not in DUST:
            raise BadInput("dust", word, f"any of {', '.join(DUST)}")
    if folded(wood.name) in map(folded, wood.aliases):
        raise BadInput("aliases", wood.name, "other names than its own")
