"""What recording a step would put down, for the maker to agree to or change."""

from __future__ import annotations

from collections.abc import Sequence

from finishing.cure.cautions import Caution, hazards
from finishing.cure.film import amount_ml
from finishing.cure.terms import Hazard
from finishing.shop import cans
from finishing.shop.drafts import StepDraft, Suggestion
from finishing.shop.heed import before, gap
from finishing.shop.passes import pass_words
from finishing.shop.record import coming
from finishing.shop.shop import Shop, Standing
from finishing.shop.words import step_words


def suggest(shop: Shop, code: str, position: int | None, now: float) -> Suggestion:
    """What recording a step would put down: how much finish, in how many passes, and what to heed."""
    batch, at = coming(shop, StepDraft(code, position), now)
    step = batch.batch.schedule.steps[at]
    woods = ", ".join(w.name for w in batch.batch.woods)
    pieces = f"{batch.row.what} ×{batch.row.pieces}" + (f" of {woods}" if woods else "")
    words = step_words(batch.batch.schedule, at, batch.batch.finishes)
    draft = StepDraft(code, at, maker=shop.settings.maker)
    if step.finish is None:
        return Suggestion(draft, words, pieces, False, heed=before(batch, at, now, shop.settings.zone))
    finish = batch.batch.finishes[step.finish]
    area = batch.batch.area_m2(step.face)
    first = not any(c.step < at and step.face.sides[0] in c.face.sides for c in batch.fold.coats)
    amount = None if area is None else amount_ml(finish.film, area, first=first)
    heed = (
        gap(batch, at, now, shop.settings.zone),
        before(batch, at, now, shop.settings.zone),
        cans.short_words(shop, finish.name, amount),
    )
    return Suggestion(
        draft,
        words,
        pieces,
        True,
        amount_ml=amount,
        pass_words=pass_words(batch.batch, at),
        heed="; ".join(filter(None, heed)),
        cautions=_coat_cautions(batch, finish.hazards, now),
        cans=cans.choices(shop, finish.name),
    )


def _coat_cautions(batch: Standing, found: Sequence[Hazard], now: float) -> tuple[Caution, ...]:
    about_air = [c for c in batch.progress(now).cautions if c.code in AT_THE_COAT]
    return (*about_air, *hazards(found)[:2])


AT_THE_COAT = ("seal_or_test", "too_cold", "too_damp", "too_dry", "blush", "dew_point", "damp_wood", "bleeds")
"""Cautions that matter at the moment a coat goes on."""
