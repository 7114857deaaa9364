"""Short ways to put things on record, and to read the record as another program would."""

from __future__ import annotations

from finishing.shop import record
from finishing.shop.drafts import StepDraft
from finishing.shop.shop import Shop
from finishing.store import Store, entries
from finishing.store import batches as stored
from tests.shop.built import NOW


def do(shop: Shop, code: str, *hours: float) -> None:
    """Record the next step of a batch, and the next, at these hours."""
    for hour in hours:
        record.record_step(shop, StepDraft(code, at=hour), hour)


def coat(shop: Shop, code: str, at: float, amount_ml: float | None = None, can: int | None = None) -> None:
    """Record the next coat of a batch, whatever comes before it."""
    position = record.coat_position(shop, code, None, None, at)
    record.record_step(shop, StepDraft(code, position, at=at, amount_ml=amount_ml, can=can), at)


def on_file(shop: Shop, code: str) -> list[entries.Recorded]:
    """The record of a batch as another program would find it."""
    with Store.open(shop.store.location, NOW) as store, store.read() as r:
        return list(stored.by_code(r, code).record)
