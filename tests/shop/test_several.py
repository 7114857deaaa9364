"""One coat on several batches: all of them or none, what was used shared by area, and its note on each record."""

from __future__ import annotations

import pytest

from finishing.cure.work import CoatEntry
from finishing.errors import BadInput
from finishing.shop.drafts import StepDraft
from finishing.shop.several import record_all, suggest_all
from finishing.shop.shop import Shop
from finishing.store.kinds import NoteEntry
from tests.shop.built import NOW, begin
from tests.shop.doing import coat, on_file


def test_each_batch_gets_its_coat_its_share_and_the_note(shop: Shop) -> None:
    codes = [begin(shop, "A"), begin(shop, "B")]
    at = dict.fromkeys(codes, 1)
    assert suggest_all(shop, at, NOW).words == "next coat for 2 batches (A, B)"
    said = record_all(shop, StepDraft("A", 1, amount_ml=50.0, note="thin"), at, NOW)
    assert said == "2 coats, on record: A, B"
    for code in codes:
        laid, note = (recorded.entry for recorded in on_file(shop, code))
        assert isinstance(laid, CoatEntry)
        assert (laid.step, laid.at, laid.amount_ml) == (1, NOW, 25.0)  # both have the same area
        assert isinstance(note, NoteEntry)
        assert note.text == "thin"


def test_one_refused_is_none_written(shop: Shop) -> None:
    begin(shop, "A")
    coat(shop, begin(shop, "B"), NOW)
    with pytest.raises(BadInput):
        record_all(shop, StepDraft("A", 1), {"A": 1, "B": 1}, NOW)  # that coat lies on B already
    assert not on_file(shop, "A")
    assert len(on_file(shop, "B")) == 1
