"""Cans: what is left by the amounts recorded, and which coats came from which."""

from __future__ import annotations

import datetime as dt

import pytest

from finishing.errors import BadInput, NotFound
from finishing.shop import cans, record, stock
from finishing.shop.correct import correct
from finishing.shop.drafts import CanDraft, CorrectDraft, StepDraft
from finishing.shop.settings import change_setting
from finishing.shop.sheets import can_view
from finishing.shop.shop import Shop
from finishing.shop.stock import CanFacts
from finishing.shop.trace import Recall, trace
from finishing.shop.trace_views import recall_view
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


def test_the_first_coat_from_a_can_opens_it(shop: Shop) -> None:
    """By plain dates: the day of its first standing coat, or one said before that; voids and corrections count."""
    number = cans.shelve(shop, CanDraft("wiping-varnish", 500.0, use_within_days=30), NOW)
    code = begin(shop)
    coat(shop, code, NOW + 48, can=number)

    def opened(now: float = NOW + 96) -> tuple[str | None, str, str]:
        line = stock.stock(shop, now).lines[0]
        day = can_view(cans.sheet(shop, number), "Europe/Oslo")["opened_on"]
        assert day == (None if line.opened_on is None else line.opened_on.isoformat())
        return day, stock.age_words(line), stock.use_by_words(line)

    assert opened() == ("2026-03-12", "2 d", "28 d left")
    assert opened(NOW + 48 + 31 * 24)[2] == "past: test on scrap"
    with pytest.raises(BadInput, match="it was opened 2026-03-12; change that if it is wrong"):
        stock.open_can(shop, number, NOW + 96)
    late = CanFacts("", None, dt.date(2026, 3, 13), 30)
    with pytest.raises(BadInput, match="2026-03-12 or before: then the first coat came from it"):
        stock.put_right(shop, number, late, NOW + 96)
    correct(shop, CorrectDraft(code, 1, NOW + 24), NOW + 96)
    assert opened()[0] == "2026-03-11"
    other = cans.shelve(shop, CanDraft("wiping-varnish", 500.0), NOW)
    assert [n for n, _ in cans.choices(shop, "wiping-varnish")] == [number, other]
    record.undo(shop, code, NOW + 96)
    assert opened()[0] == "2026-03-12"
    record.void(shop, code, 1, NOW + 96)
    assert cans.sheet(shop, number).row.can.opened_on is None
    assert stock.stock(shop, NOW + 96).lines[0].opened_on is None


def test_a_can_said_to_be_opened_after_its_first_coat_was_open_then(shop: Shop) -> None:
    number = cans.shelve(shop, CanDraft("wiping-varnish", 500.0, opened_on=dt.date(2026, 3, 9)), NOW)
    code = begin(shop)
    coat(shop, code, NOW - 96, can=number)
    found = trace(shop, str(number), NOW)
    assert isinstance(found, Recall)
    assert recall_view(found, "Europe/Oslo")["cans"][0]["opened_on"] == "2026-03-06"
    with pytest.raises(BadInput, match="opened on: got '2026-03-11', expected a day that has come"):
        cans.shelve(shop, CanDraft("wiping-varnish", 500.0, opened_on=dt.date(2026, 3, 11)), NOW)
