"""One coat on several batches at once: one card for the maker to agree to, an entry for each batch."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from finishing.shop.drafts import StepDraft, Suggestion
from finishing.shop.record import maybe_note, ready_coat
from finishing.shop.shop import Shop, Standing
from finishing.shop.suggest import suggest
from finishing.store import entries
from finishing.units import counted


def suggest_all(shop: Shop, positions: Mapping[str, int], now: float) -> Suggestion:
    """What recording a coat on each batch (code and step) would put down, with what to heed on any of them."""
    each = {code: suggest(shop, code, position, now) for code, position in positions.items()}
    pieces = sum(shop.standing(code, now).row.pieces for code in each)
    return replace(
        next(iter(each.values())),
        words=f"next coat for {len(each)} batches ({', '.join(each)})",
        pieces=counted(pieces, "piece"),
        amount_ml=None,
        heed="; ".join(f"{code}: {one.heed}" for code, one in each.items() if one.heed),
        cautions=tuple(dict.fromkeys(caution for one in each.values() for caution in one.cautions)),
    )


def record_all(shop: Shop, draft: StepDraft, positions: Mapping[str, int], now: float) -> str:
    """Record the draft's coat on each batch: on all of them, or, if one is refused, on none.

    What was used on them together is shared out by area; its note goes on every batch's record.
    """
    standing = {code: shop.standing(code, now) for code in positions}
    parts = _shared(draft.amount_ml, standing, positions)
    ready = [
        ready_coat(shop, replace(draft, code=code, position=position, amount_ml=parts[code]), now)
        for code, position in positions.items()
    ]
    who = draft.maker or shop.settings.maker
    with shop.store.write() as w:
        for batch, coat, can in ready:
            expect: int | None = batch.row.last_number
            for entry, of in ((coat, can), *((note, None) for note in maybe_note(draft.note, coat.at))):
                entries.add(w, batch.row.id, entry, recorded_at=now, maker=who, can_id=of, expect_last=expect)
                expect = None
        w.commit()
    shop.forget()
    return f"{len(ready)} coats, on record: {', '.join(positions)}"


def _shared(
    amount_ml: float | None, standing: Mapping[str, Standing], positions: Mapping[str, int]
) -> dict[str, float | None]:
    """By each batch's share of the area; of the pieces where one has no size."""
    if amount_ml is None:
        return dict.fromkeys(standing, None)
    areas = {code: b.batch.area_m2(b.batch.schedule.steps[positions[code]].face) for code, b in standing.items()}
    known = all(area is not None for area in areas.values())
    parts = {code: (areas[code] or 0.0) if known else float(b.row.pieces) for code, b in standing.items()}
    whole = sum(parts.values())
    return {code: amount_ml * part / whole for code, part in parts.items()}
