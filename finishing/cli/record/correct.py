"""`finishing record correct`."""

from __future__ import annotations

import click

from finishing.cli import options
from finishing.cli.context import open_shop
from finishing.cli.record.after import at_hour, put_in
from finishing.clock import now_hour
from finishing.cure.terms import Face, Stage
from finishing.cure.work import Finding
from finishing.errors import BadInput
from finishing.shop import correct as correcting
from finishing.shop.drafts import KEEP, CorrectDraft, Keep
from finishing.units import parse_volume

NONE = "none"


@click.command()
@click.argument("code")
@click.argument("number", type=options.NUMBER)
@click.option("--at", metavar="TIME", help='when it was done in truth: 18:30, "yesterday 18:30", 2026-03-14 18:30')
@click.option("--amount", help="of a coat: finish used on all pieces, 120mL; none: not known")
@click.option("--can", help="of a coat: number of the can it came from; none: from none on record")
@click.option("--wiped/--not-wiped", default=None, help="of a coat: wiped back, or left on")
@click.option("--grit", type=options.Whole(40, 3000), help="of abrading: FEPA P-number")
@click.option("--face", callback=options.one_of(Face), help="of abrading or a touch test: top, bottom or both")
@click.option("--stage", callback=options.one_of(Stage), help="of a touch test: for which stage")
@click.option("--found", callback=options.one_of(Finding), metavar="tacky|dry", help="of a touch test")
@click.option("--place", default="", help="of a move: where it went")
@click.option("--maker", default="", help="who did it")
@click.option("--note", default="", help="of a note: its words; else a note kept beside it, such as why")
@options.as_json
def correct(
    code: str,
    number: int,
    at: str | None,
    amount: str | None,
    can: str | None,
    wiped: bool | None,
    grit: int | None,
    face: Face | None,
    stage: Stage | None,
    found: Finding | None,
    place: str,
    maker: str,
    note: str,
    as_json: bool,
) -> None:
    """Entry NUMBER of batch CODE was otherwise: put another in its place (finishing batch show lists them).

    What you don't name stays as it was. Both stay on record; undo takes the correction back.
    """
    now = now_hour()
    with open_shop(now) as shop:
        unit = "floz" if shop.settings.units == "imperial" else "ml"
        draft = CorrectDraft(
            code,
            number,
            at_hour(shop, at, now),
            at or "",
            _amount(amount, unit),
            _can(can),
            wiped,
            grit,
            face,
            stage,
            found,
            place,
            maker,
            note,
        )
        heed = correcting.to_heed(shop, draft, now)
        put_in(shop, now, code, as_json, lambda s, n: correcting.correct(s, draft, n), heed=heed)


def _amount(text: str | None, unit: str) -> float | Keep | None:
    if text is None:
        return KEEP
    return None if text.strip().lower() == NONE else parse_volume(text, "--amount", unit=unit)


def _can(text: str | None) -> int | Keep | None:
    if text is None:
        return KEEP
    body = text.strip().lower().removeprefix("can").strip()
    if body == NONE:
        return None
    if not (body.isascii() and body.isdecimal() and 1 <= int(body[:11]) <= options.MOST_NUMBER):
        raise BadInput("--can", text, "the number of a can, or none")
    return int(body)
