"""Whether a maker was told of something in this working session, so that it need not be said at length again."""

from __future__ import annotations

from finishing.cure.cautions import HAZARDS, Caution
from finishing.cure.terms import Hazard
from finishing.shop.shop import Shop

SESSION_HOURS = 12.0
"""So long after it was last recorded, oily work counts as of the same working session. Our own choice."""


def words(caution: Caution, shop: Shop, code: str, before: int, now: float) -> str:
    """A caution after something was put on a batch's record: whole, or short where it was said in this session.

    before: number of the batch's newest entry until then. Only what has a short form is ever said short.
    """
    short = caution.short and caution == HAZARDS[Hazard.RAGS] and _rags_told(shop, code, before, now)
    return caution.short if short else caution.text


def _rags_told(shop: Shop, code: str, before: int, now: float) -> bool:
    """Whether anything was recorded, of late and before this, of a batch that has a coat on which heats its rags."""
    for standing in shop.rack(now).standings.values():
        if not any(Hazard.RAGS in coat.finish.hazards for coat in standing.fold.coats):
            continue
        newest = before if standing.row.code == code else standing.row.last_number
        oily = [c.entry for c in standing.fold.coats if Hazard.RAGS in c.finish.hazards]
        if any(
            min(oily) <= recorded.entry.number <= newest and 0 < now - recorded.recorded_at < SESSION_HOURS
            for recorded in standing.row.record
        ):
            return True
    return False
