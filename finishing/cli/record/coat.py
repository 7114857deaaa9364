"""`finishing record coat`."""

from __future__ import annotations

import click

from finishing.cli import options
from finishing.cli.context import open_shop
from finishing.cli.record.after import at_hour, put_in
from finishing.clock import now_hour
from finishing.cure.advice import air_cautions
from finishing.cure.cautions import Caution, hazards
from finishing.cure.terms import Face
from finishing.shop import heed as heeding
from finishing.shop import record
from finishing.shop.drafts import StepDraft
from finishing.shop.shop import Standing
from finishing.units import parse_volume


@click.command()
@click.argument("code")
@click.option("--coat", "number", type=options.Whole(1, 60), help="which coat; the next one")
@click.option("--face", callback=options.one_of(Face, Face.BOTH), help="top or bottom, where a coat goes on one face")
@click.option("--amount", help="finish used on all pieces: 120mL, 4floz")
@click.option("--can", type=options.NUMBER, help="number of the can it came from")
@click.option("--not-wiped", is_flag=True, help="finish was left on instead of wiped back")
@click.option("--maker", default="", help="who did it")
@options.at
@options.note
@options.as_json
def coat(
    code: str,
    number: int | None,
    face: Face | None,
    amount: str | None,
    can: int | None,
    not_wiped: bool,
    maker: str,
    at: str | None,
    note: str,
    as_json: bool,
) -> None:
    """A coat was put on batch CODE: the next one, or the one named.

    Says what was recorded, what to heed right now, and when the next step is due.
    """
    now = now_hour()
    with open_shop(now) as shop:
        unit = "floz" if shop.settings.units == "imperial" else "ml"
        hour = at_hour(shop, at, now)
        draft = StepDraft(
            code,
            record.coat_position(shop, code, number, face, now),
            at=hour,
            amount_ml=None if amount is None else parse_volume(amount, "--amount", unit=unit),
            wiped_back=not not_wiped,
            can=can,
            note=note,
            maker=maker,
            typed=at or "",
        )
        standing, when = shop.standing(code, now), now if hour is None else hour
        assert draft.position is not None
        heed = heeding.after(standing, draft.position, when, shop.settings.zone)
        about = _cautions(standing, draft.position, when)
        put_in(shop, now, code, as_json, lambda s, n: record.record_step(s, draft, n), heed=heed, cautions=about)


def _cautions(standing: Standing, position: int, at: float) -> list[Caution]:
    """What to heed with this finish in the air it went on in."""
    name = standing.batch.schedule.steps[position].finish
    assert name is not None
    finish = standing.batch.finishes[name]
    return [*hazards(finish.hazards), *air_cautions(finish, *standing.fold.track.air_at(at))]
