"""`finishing batch change`."""

from __future__ import annotations

import click

from finishing.cli import options
from finishing.cli.context import open_shop
from finishing.cli.text import say, say_json
from finishing.clock import now_hour
from finishing.errors import BadInput
from finishing.moments import parse_day
from finishing.shop.change import change_batch
from finishing.shop.drafts import BatchChange
from finishing.shop.forms import parse_piece_size, parse_pieces, parse_priority, parse_woods
from finishing.shop.sheets import batch_view

NEVER = "none"


@click.command()
@click.argument("code")
@click.option("--what", help="what the pieces are: tea trays")
@click.option("--pieces", callback=options.parsed(parse_pieces), help="how many")
@click.option("--size", help='one piece: 300x200x18, 12x8x3/4in or "round 100x9"; none for not known')
@click.option("--species", callback=options.parsed(parse_woods), help='woods: "maple, padauk 20%"')
@click.option("--schedule", help="how they are finished, while no coat is on")
@click.option("--wanted", "--by", help="when it must be ready: 2026-12-19, or with a time; none for no date")
@click.option("--priority", callback=options.parsed(parse_priority),
              help="how much more than usual a day late counts when planning: 0 to 9")  # fmt: skip
@click.option("--note", help="the note beside the batch; none for none")
@options.as_json
def change(
    code: str,
    what: str | None,
    pieces: int | None,
    size: str | None,
    species: tuple[tuple[str, float], ...] | None,
    schedule: str | None,
    wanted: str | None,
    priority: int | None,
    note: str | None,
    as_json: bool,
) -> None:
    """Change what batch CODE is: what you name. Each change is an entry of its record; undo takes it back."""
    now = now_hour()
    code = code.strip()
    if all(v is None for v in (what, pieces, size, species, schedule, wanted, priority, note)):
        raise BadInput("change", None, "what is otherwise: --pieces, --size, --species, --what, --wanted, --schedule")
    with open_shop(now) as shop:
        settings = shop.settings
        draft = BatchChange(
            dated=wanted is not None,
            wanted_by=None
            if wanted is None or _none(wanted)
            else parse_day(wanted, "--wanted", settings.zone, now, settings.working_hours().morning),
            priority=priority,
            what=what,
            pieces=pieces,
            sized=size is not None,
            size=None if size is None or _none(size) else parse_piece_size(size, settings.units),
            woods=species,
            schedule=schedule,
            note="" if note is not None and _none(note) else note,
        )
        said = change_batch(shop, code, draft, now)
        if as_json:
            standing = shop.standing(code, now)
            say_json({**batch_view(standing, shop.reasons(code, now), now, settings.zone), "said": said})
        else:
            say(said)


def _none(text: str) -> bool:
    return text.strip().lower() == NEVER
