"""`finishing batch add`."""

from __future__ import annotations

import click

from finishing.cli import options
from finishing.cli.context import open_shop
from finishing.cli.text import say, say_json
from finishing.clock import now_hour
from finishing.errors import BadInput
from finishing.moments import parse_day
from finishing.shop.batches import added_words, begin_batch, preview
from finishing.shop.drafts import NewBatchDraft
from finishing.shop.forms import parse_piece_size, parse_pieces, parse_priority, parse_woods
from finishing.shop.sheets import batch_view
from finishing.shop.shop import Shop
from finishing.units import spoken


@click.command()
@click.option("--what", required=True, help="what the pieces are: tea trays")
@click.option("--pieces", required=True, callback=options.parsed(parse_pieces), help="how many")
@click.option("--schedule", required=True, help="how they are finished: finishing schedules lists them")
@click.option("--species", required=True, callback=options.parsed(parse_woods), help='woods: "maple, padauk 20%"')
@click.option("--size", help='one piece: 300x200x18, 12x8x3/4in or "round 100x9"; for amounts of finish')
@click.option("--place", help="where they dry; not needed where the shop has one place")
@click.option("--wanted", "--by", help="when they must be ready: 2026-12-19, or with a time")
@click.option("--priority", default="0", callback=options.parsed(parse_priority),
              help="how much more than usual a day late counts when planning: 0 to 9")  # fmt: skip
@click.option("--code", default="", help="the batch's code; the next free one of the year")
@options.note
@options.as_json
def add(
    what: str,
    pieces: int,
    schedule: str,
    species: tuple[tuple[str, float], ...],
    size: str | None,
    place: str | None,
    wanted: str | None,
    priority: int,
    code: str,
    note: str,
    as_json: bool,
) -> None:
    """Put a batch on the bench.

    It keeps a copy of its schedule, finishes and woods as they are now, whatever becomes of them later.
    """
    now = now_hour()
    with open_shop(now) as shop:
        settings = shop.settings
        draft = NewBatchDraft(
            what=what.strip(),
            pieces=pieces,
            schedule=schedule,
            place=_place(shop, place),
            woods=species,
            size=None if size is None else parse_piece_size(size, settings.units),
            code=code.strip(),
            wanted_by=None
            if wanted is None
            else parse_day(wanted, "--wanted", settings.zone, now, settings.working_hours().morning),
            note=note.strip(),
            priority=priority,
        )
        ahead = preview(shop, draft, now)
        added = begin_batch(shop, draft, now)
        if as_json:
            say_json(batch_view(shop.standing(added, now), shop.reasons(added, now), now, settings.zone))
            return
        say(added_words(draft, added))
        for line in ahead:
            say(f"  {line}")
        for caution in shop.standing(added, now).progress(now).cautions:
            if caution.urgent:
                say(f"! {spoken(caution.text, shop.settings.units)}")


def _place(shop: Shop, name: str | None) -> str:
    """The place named, or the only one there is."""
    if name is not None:
        return name
    places = shop.places()
    if not places:
        raise BadInput("--place", None, "a place where pieces dry", "add one first: finishing place add --help")
    if len(places) > 1:
        raise BadInput("--place", None, f"one of {', '.join(place.name for place in places)}")
    return places[0].name
