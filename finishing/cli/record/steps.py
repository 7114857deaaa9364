"""`finishing record step`, `abrade` and `test`."""

from __future__ import annotations

import click

from finishing.cli import options
from finishing.cli.context import open_shop
from finishing.cli.record.after import at_hour, doubted, put_in
from finishing.clock import now_hour
from finishing.cure.terms import Face, Stage
from finishing.cure.work import Finding
from finishing.errors import BadInput
from finishing.shop import heed as heeding
from finishing.shop import record
from finishing.shop.drafts import AbradeDraft, StepDraft, TestDraft

FACE = click.option(
    "--face", callback=options.one_of(Face), default="both", show_default=True, help="top, bottom or both"
)


@click.command()
@click.argument("code")
@click.option("--again", is_flag=True, help="not the next step: a wipe with solvent gone stale, done once more")
@click.option("--maker", default="", help="who did it")
@options.at
@options.note
@options.as_json
def step(code: str, again: bool, maker: str, at: str | None, note: str, as_json: bool) -> None:
    """The next step of batch CODE was done, whatever it is."""
    now = now_hour()
    with open_shop(now) as shop:
        hour = at_hour(shop, at, now)
        wipe = shop.standing(code, now).fold.wipe_again(now if hour is None else hour) if again else None
        if again and wipe is None:
            raise BadInput("--again", code, "a batch of oily wood whose wipe with solvent has gone stale")
        draft = StepDraft(code, wipe, at=hour, note=note, maker=maker, typed=at or "")
        standing, position = record.coming(shop, draft, now)
        heed = heeding.after(standing, position, now if hour is None else hour, shop.settings.zone)
        put_in(shop, now, code, as_json, lambda s, n: record.record_step(s, draft, n), heed=heed)


@click.command()
@click.argument("code")
@FACE
@click.option("--grit", type=options.Whole(40, 3000), help="FEPA P-number; the schedule's own without it")
@options.at
@options.note
@options.as_json
def abrade(code: str, face: Face, grit: int | None, at: str | None, note: str, as_json: bool) -> None:
    """Faces of batch CODE were abraded, as a step or between coats, such as to reopen a shut window."""
    now = now_hour()
    with open_shop(now) as shop:
        draft = AbradeDraft(code, face, grit, at_hour(shop, at, now), note, at or "")
        put_in(shop, now, code, as_json, lambda s, n: record.abrade(s, draft, n))


@click.command()
@click.argument("code")
@click.argument("stage", callback=options.one_of(Stage))
@click.argument("finding", metavar="tacky|dry", callback=options.one_of(Finding))
@FACE
@options.at
@options.note
@options.as_json
def test(code: str, stage: Stage, finding: Finding, face: Face, at: str | None, note: str, as_json: bool) -> None:
    """A finger felt the film of batch CODE: tacky or dry for a stage.

    STAGE is one of dust_free, tack_free, dry_to_touch, dry_to_recoat, dry_to_handle, stackable, cured.
    """
    now = now_hour()
    with open_shop(now) as shop:
        draft = TestDraft(code, stage, finding, face, at_hour(shop, at, now), note, at or "")
        put_in(
            shop,
            now,
            code,
            as_json,
            lambda s, n: record.touch_test(s, draft, n),
            asked=lambda: doubted(shop, code, now),
        )
