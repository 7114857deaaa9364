"""Cans: what is left by the amounts recorded, and which coats came from which."""

from __future__ import annotations

import datetime as dt

import pytest

from finishing.errors import BadInput, NotFound
from finishing.shop import cans, record
from finishing.shop.drafts import CanDraft, StepDraft
from finishing.shop.settings import change_setting
from finishing.shop.shop import Shop
from tests.shop.built import NOW, begin
from tests.shop.doing import coat


def left(shop: Shop, number: int) -> float:
    return cans.sheet(shop, number).left_ml


def test_what_is_left_follows_the_amounts_and_their_undoing(shop: Shop) -> None:
    number = cans.shelve(shop, CanDraft("wiping-varnish", 500.0, "W7", 24.0, opened=True), NOW)
    code = begin(shop)
    coat(shop, code, NOW, 60.0, number)
    coat(shop, code, NOW + 20, 40.5, number)
    assert left(shop, number) == pytest.approx(399.5)
    assert [(row.id, ml) for row, ml in cans.shelf(shop)] == [(number, pytest.approx(399.5))]
    assert [(u.code, u.number, u.amount_ml) for u in cans.sheet(shop, number).uses] == [
        (code, 1, 60.0),
        (code, 2, 40.5),
    ]
    record.undo(shop, code, NOW + 21)
    assert left(shop, number) == pytest.approx(440.0)
    record.void(shop, code, 3, NOW + 22)
    assert left(shop, number) == pytest.approx(399.5)


def test_a_coat_without_an_amount_takes_nothing_off(shop: Shop) -> None:
    number = cans.shelve(shop, CanDraft("wiping-varnish", 500.0), NOW)
    coat(shop, begin(shop), NOW, None, number)
    assert left(shop, number) == 500.0
    assert len(cans.sheet(shop, number).uses) == 1


def test_a_can_never_holds_less_than_nothing(shop: Shop) -> None:
    number = cans.shelve(shop, CanDraft("wiping-varnish", 50.0), NOW)
    coat(shop, begin(shop), NOW, 80.0, number)
    assert left(shop, number) == 0.0


def test_a_coat_comes_from_a_can_of_its_own_finish_that_is_not_empty(shop: Shop) -> None:
    code = begin(shop)
    oil = cans.shelve(shop, CanDraft("mineral-oil", 500.0), NOW)
    varnish = cans.shelve(shop, CanDraft("wiping-varnish", 500.0), NOW)
    with pytest.raises(BadInput, match="a can of wiping-varnish; this one holds mineral-oil"):
        record.record_step(shop, StepDraft(code, 1, can=oil), NOW)
    assert cans.empty_can(shop, varnish, NOW) == f"can {varnish}: empty, off the shelf"
    with pytest.raises(BadInput, match="a can that was not empty then"):
        record.record_step(shop, StepDraft(code, 1, can=varnish), NOW)
    with pytest.raises(BadInput, match="a can that is not empty"):
        cans.empty_can(shop, varnish, NOW)
    assert cans.choices(shop, "wiping-varnish") == ()
    assert shop.standing(code, NOW).entries == []


def test_opened_cans_are_offered_first(shop: Shop) -> None:
    cans.add_can(shop, CanDraft("wiping-varnish", 500.0, "new"), NOW)
    said = cans.add_can(shop, CanDraft("wiping-varnish", 250.0, "old", opened=True), NOW)
    assert said == "can 2: Wiping varnish, oil-modified urethane, 250 mL"
    assert cans.choices(shop, "wiping-varnish") == (
        (2, "can 2, lot old, 250 mL left"),
        (1, "can 1, lot new, 500 mL left"),
    )
    assert cans.sheet(shop, 2).row.can.opened_on == dt.date(2026, 3, 10)


def test_a_millilitre_costs_what_the_newest_priced_can_says(shop: Shop) -> None:
    assert cans.price_per_ml(shop, "wiping-varnish") is None
    cans.add_can(shop, CanDraft("wiping-varnish", 500.0, price=24.0), NOW)
    cans.add_can(shop, CanDraft("wiping-varnish", 1000.0, price=40.0), NOW)
    cans.add_can(shop, CanDraft("wiping-varnish", 1000.0), NOW)
    assert cans.price_per_ml(shop, "wiping-varnish") == pytest.approx(0.04)


def test_the_day_a_can_is_opened_is_the_shops_own(shop: Shop) -> None:
    change_setting(shop, "zone", "Pacific/Auckland", NOW)
    number = cans.shelve(shop, CanDraft("mineral-oil", 100.0, opened=True), NOW + 5)  # 13:00 UTC, past midnight there
    assert cans.sheet(shop, number).row.can.opened_on == dt.date(2026, 3, 11)


@pytest.mark.parametrize("draft", [CanDraft("tar", 500.0), CanDraft("mineral-oil", 0.0), CanDraft("mineral-oil", -1.0)])
def test_refused(shop: Shop, draft: CanDraft) -> None:
    with pytest.raises(NotFound if draft.finish == "tar" else BadInput):
        cans.shelve(shop, draft, NOW)
    assert cans.shelf(shop) == []
