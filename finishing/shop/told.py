"""Whether a maker was told of something in this working session, so that it need not be said at length again."""

from __future__ import annotations

from finishing.cure.advice import RAGS_HOURS
from finishing.cure.cautions import HAZARDS, Caution
from finishing.cure.terms import Hazard, StepKind
from finishing.cure.work import CoatEntry, StepEntry
from finishing.shop.shop import Shop

SESSION_HOURS = 12.0
"""So long after it was last recorded, oily work counts as of the same working session. Our own choice."""


PAST = "rags of that day that still lie in a heap or a bin: spread them flat outdoors, or into the lidded can"


def words(caution: Caution, shop: Shop, code: str, before: int, now: float) -> str:
    """A caution after something was put on a batch's record: whole, or short where it was said in this session.

    before: number of the batch's newest entry until then. Only what has a short form is ever said short. "" of oily
    rags where what was done leaves none; of work days ago not what to do at once.
    """
    if caution != HAZARDS[Hazard.RAGS]:
        return caution.text
    done = _left_rags(shop, code, before, now)
    if done is None:
        return ""
    if now - done >= RAGS_HOURS:
        return PAST
    return caution.short if _rags_told(shop, code, before, now) else caution.text


def _left_rags(shop: Shop, code: str, before: int, now: float) -> float | None:
    """When the last coating or wiping off was done, of what was put on record after an entry, that leaves oily rags."""
    standing = shop.standing(code, now)
    steps = standing.batch.schedule.steps
    oily = {c.step for c in standing.fold.coats if Hazard.RAGS in c.finish.hazards}
    found: list[float] = []
    for recorded in standing.row.record:
        entry = recorded.entry
        if entry.number > before and isinstance(entry, (CoatEntry, StepEntry)):
            coat = max((i for i in standing.batch.schedule.coat_steps if i <= entry.step), default=-1)
            if coat in oily and steps[entry.step].kind in (StepKind.COAT, StepKind.WIPE):
                found.append(entry.at)
    return max(found, default=None)


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
