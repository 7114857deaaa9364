"""The shelf against the need: amounts by hand, dates, prices, and changes taken back."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest

from finishing.errors import BadInput, NotFound
from finishing.shop import batches, cans, record, stock
from finishing.shop.drafts import CanDraft, NewBatchDraft
from finishing.shop.forms import parse_woods
from finishing.shop.shop import Shop
from finishing.shop.stock import CanFacts, Level
from finishing.store.cans import NewCan
from tests.shop.built import NOW, begin
from tests.shop.doing import coat

TODAY = dt.date(2026, 3, 10)
VARNISH = "wiping-varnish"

# Four trays of 300 × 200 × 18 mm, all faces: 4 · (2 · 0.3 · 0.2 + 2 · (0.3 + 0.2) · 0.018) m² = 0.552 m².
AREA = 0.552
FIRST, LATER = AREA / 20 * 1000, AREA / 25 * 1000
"""Millilitres of wiping varnish for the coat on bare wood and for each later one, at its 20 and 25 m²/L."""


def need(shop: Shop, finish: str = VARNISH, now: float = NOW) -> stock.Need:
    return next(n for n in stock.stock(shop, now).needs if n.finish == finish)


def put(shop: Shop, ml: float, **more: object) -> int:
    return cans.shelve(shop, replace(CanDraft(VARNISH, ml), **more), NOW)  # type: ignore[arg-type]


def test_the_need_is_area_over_spreading_rate_of_the_coats_still_to_come(shop: Shop) -> None:
    assert stock.stock(shop, NOW).needs == ()
    code = begin(shop)
    assert need(shop).needed_ml == pytest.approx(FIRST + 3 * LATER)
    begin(shop, "B-2")
    assert need(shop).needed_ml == pytest.approx(2 * (FIRST + 3 * LATER))
    assert need(shop).batches == ("B-1", "B-2")
    number = put(shop, 500.0)
    coat(shop, code, NOW, 30.0, number)
    assert need(shop).needed_ml == pytest.approx(FIRST + 6 * LATER)
    assert need(shop).left_ml == pytest.approx(470.0)
    record.undo(shop, code, NOW + 1)
    assert need(shop, now=NOW + 1).needed_ml == pytest.approx(2 * (FIRST + 3 * LATER))
    record.close(shop, code, NOW + 2)
    assert need(shop, now=NOW + 2).batches == ("B-2",)


def test_short_low_and_enough_in_words(shop: Shop) -> None:
    begin(shop)
    whole = FIRST + 3 * LATER  # 93.84 mL
    assert need(shop).level is Level.SHORT
    assert stock.need_words(need(shop), "metric") == "short by 94 mL: open batches need 94 mL, none left"
    put(shop, 50.0)
    assert stock.need_words(need(shop), "metric") == "short by 44 mL: open batches need 94 mL, 50 mL left"
    put(shop, whole - 50.0 + 1.0)
    assert stock.need_words(need(shop), "metric") == "low: open batches need 94 mL, 95 mL left"
    put(shop, 100.0)
    assert need(shop).level is Level.ENOUGH
    assert stock.need_words(need(shop), "imperial") == "enough: open batches need 3.2 fl oz, 6.6 fl oz left"
    cans.shelve(shop, CanDraft("tung-oil", 500.0), NOW)
    assert stock.need_words(need(shop, "tung-oil"), "metric") == "500 mL left, no open batch needs any"


def test_a_can_past_its_time_is_not_counted_on(shop: Shop) -> None:
    begin(shop)
    put(shop, 500.0, opened=True, use_within_days=10)
    assert need(shop).level is Level.ENOUGH
    later = NOW + 11 * 24
    assert need(shop, now=later).level is Level.SHORT
    words = stock.need_words(need(shop, now=later), "metric")
    assert words == "short by 94 mL: open batches need 94 mL, 0 mL left and 500 mL past its time"


def test_a_batch_without_a_size_is_named_not_guessed(shop: Shop) -> None:
    draft = NewBatchDraft("bowls", 3, "wiped-varnish-in-window", "loft", parse_woods("beech"), None, "B-9")
    batches.begin_batch(shop, draft, NOW)
    assert need(shop).unsized == ("B-9",)
    assert need(shop).level is Level.SHORT
    assert stock.need_words(need(shop), "metric") == "short: not known for B-9 (no size given), none left"
    begin(shop)
    put(shop, 500.0)
    words = stock.need_words(need(shop), "metric")
    assert words == "enough: open batches need 94 mL, not counting B-9 (no size given), 500 mL left"


@pytest.mark.parametrize(
    ("days", "age", "keeps"),
    [(0, "today", "12 d left"), (5, "5 d", "7 d left"), (12, "12 d", "last day"), (13, "13 d", "past: test on scrap")],
)
def test_age_and_time_left_in_words(shop: Shop, days: int, age: str, keeps: str) -> None:
    put(shop, 500.0, opened=True, use_within_days=12)
    [line] = stock.stock(shop, NOW + days * 24).lines
    assert (stock.age_words(line), stock.use_by_words(line)) == (age, keeps)
    assert line.use_by == TODAY + dt.timedelta(days=12)


def test_a_sealed_can_has_no_age(shop: Shop) -> None:
    put(shop, 500.0, use_within_days=90)
    put(shop, 500.0)
    keeps = [(stock.age_words(line), stock.use_by_words(line)) for line in stock.stock(shop, NOW + 5000).lines]
    assert keeps == [("sealed", "90 d once open"), ("sealed", "")]


def test_prices_per_litre_and_per_quart() -> None:
    # NIST SP 811, appendix B: 1 US liquid quart = 0.9463529 L.
    can = NewCan(VARNISH, 946.3529, price=24.0)
    assert stock.price_words(can, "€") == "€24.00"
    assert stock.per_litre_words(can, "€", "metric") == "€25.36/L"
    assert stock.per_litre_words(can, "$", "imperial") == "$24.00/qt"
    assert stock.per_litre_words(NewCan(VARNISH, 500.0), "$", "metric") == ""


def test_opened_once_and_not_when_empty(shop: Shop) -> None:
    number = put(shop, 500.0)
    assert stock.open_can(shop, number, NOW) == f"can {number}: opened 2026-03-10"
    with pytest.raises(BadInput, match="opened 2026-03-10"):
        stock.open_can(shop, number, NOW + 24)
    other = put(shop, 500.0)
    cans.empty_can(shop, other, NOW)
    with pytest.raises(BadInput, match="a can that is not empty"):
        stock.open_can(shop, other, NOW)
    with pytest.raises(BadInput, match="a can that is there"):
        stock.open_can(shop, 99, NOW)


def test_what_is_known_of_a_can_is_put_right_or_left_as_it_was(shop: Shop) -> None:
    number = put(shop, 500.0, lot="W7", price=10.0)
    facts = CanFacts("W8", 12.5, TODAY - dt.timedelta(days=3), 30)
    assert stock.put_right(shop, number, facts, NOW) == f"can {number}: put right"
    can = cans.sheet(shop, number).row.can
    assert stock.facts_of(can) == facts
    assert can.volume_ml == 500.0
    for wrong in (
        replace(facts, price=-1.0),
        replace(facts, use_within_days=0),
        replace(facts, opened_on=TODAY + dt.timedelta(days=1)),
    ):
        with pytest.raises(BadInput):
            stock.put_right(shop, number, wrong, NOW)
    assert stock.facts_of(cans.sheet(shop, number).row.can) == facts


def test_a_change_is_taken_back_unless_another_came_after(shop: Shop) -> None:
    number = put(shop, 500.0, lot="W7", price=10.0)
    before = cans.sheet(shop, number).row
    cans.empty_can(shop, number, NOW)
    emptied = cans.sheet(shop, number).row
    assert stock.stock(shop, NOW).lines == ()
    stock.as_it_was(shop, before, emptied)
    assert cans.sheet(shop, number).row == before
    stock.open_can(shop, number, NOW)
    opened = cans.sheet(shop, number).row
    stock.put_right(shop, number, CanFacts("W9", None, TODAY, None), NOW)
    with pytest.raises(BadInput, match="nobody has changed since"):
        stock.as_it_was(shop, before, opened)
    assert cans.sheet(shop, number).row.can.lot == "W9"


def test_a_can_of_a_finish_the_library_lost_still_stands_on_the_shelf(shop: Shop) -> None:
    assert stock.title_of(shop, VARNISH) == "Wiping varnish, oil-modified urethane"
    assert stock.title_of(shop, "gone-finish") == "gone-finish"
    with pytest.raises(NotFound):
        shop.library.finish("gone-finish")
