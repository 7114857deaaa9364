"""One of the maker's own taken away: refused while something needs it, and its file kept."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from finishing.errors import BadInput
from finishing.library import Kind
from finishing.library.kinds import Item
from finishing.shop import batches, cans, own, removal
from finishing.shop.drafts import CanDraft, NewBatchDraft
from finishing.shop.shop import Shop
from tests.shop.built import NOW


def mine(shop: Shop, item: Item, name: str = "mine") -> Path:
    """A copy of the maker's own."""
    own.add(shop, own.copied(shop.library, item, name))
    return own.own_file(shop.home, Kind.of(item), name)


def begin(shop: Shop, schedule: str, wood: str = "maple") -> None:
    """A batch on the bench."""
    batches.begin_batch(shop, NewBatchDraft("trays", 4, schedule, shop.places()[0].name, ((wood, 0.0),)), NOW)


def test_a_file_is_put_aside_and_none_is_written_over(shop: Shop) -> None:
    for expected in ("mine.toml", "mine-2.toml"):
        file = mine(shop, shop.library.finish("wiping-varnish"))
        text = file.read_bytes()
        said = removal.remove(shop, Kind.FINISH, "mine", NOW)
        kept = shop.home / "removed" / "finishes" / expected
        assert said == f"mine: taken away; its file is kept in {kept}"
        assert (kept.read_bytes(), file.exists()) == (text, False)
        assert "mine" not in shop.library.finish_names


def test_what_comes_with_the_program_can_not_be_taken_away(shop: Shop) -> None:
    for kind, name in ((Kind.FINISH, "wiping-varnish"), (Kind.SPECIES, "teak"), (Kind.SCHEDULE, "../settings")):
        with pytest.raises(BadInput, match="expected one of your own"):
            removal.remove(shop, kind, name, NOW)


def test_a_schedule_with_an_open_batch_stays(shop: Shop) -> None:
    file = mine(shop, shop.library.schedule("hard-wax-two"))
    begin(shop, "mine")
    with pytest.raises(BadInput, match="in use: open batch 26-001"):
        removal.remove(shop, Kind.SCHEDULE, "mine", NOW)
    assert file.exists()


def test_a_finish_in_a_schedule_or_a_can_stays(shop: Shop) -> None:
    file = mine(shop, shop.library.finish("hard-wax-oil"))
    two = shop.library.schedule("hard-wax-two")
    steps = tuple(replace(step, finish="mine") if step.finish else step for step in two.steps)
    own.add(shop, replace(two, name="of-mine", title="of mine", steps=steps))
    cans.add_can(shop, CanDraft("mine", 500.0), NOW)
    with pytest.raises(BadInput, match=r"in use: schedule of-mine; can 1$"):
        removal.remove(shop, Kind.FINISH, "mine", NOW)
    begin(shop, "of-mine")
    with pytest.raises(BadInput, match=r"in use: open batch 26-001; schedule of-mine; can 1$"):
        removal.remove(shop, Kind.FINISH, "mine", NOW)
    assert file.exists()


def test_a_wood_in_an_open_batch_stays(shop: Shop) -> None:
    file = mine(shop, shop.library.species("teak"), "bog teak")
    begin(shop, "hard-wax-two", "bog teak")
    with pytest.raises(BadInput, match="in use: open batch 26-001"):
        removal.remove(shop, Kind.SPECIES, "bog teak", NOW)
    assert file.exists()


def test_one_that_stands_in_for_the_programs_gives_way_to_it(shop: Shop) -> None:
    changed = replace(shop.library.finish("hard-wax-oil"), title="my hard wax oil")
    own.add(shop, changed)
    begin(shop, "hard-wax-two")
    assert "the program's own finish" in removal.what_follows(shop, Kind.FINISH, "hard-wax-oil", NOW)
    removal.remove(shop, Kind.FINISH, "hard-wax-oil", NOW)
    assert shop.library.finish("hard-wax-oil").title != "my hard wax oil"
    assert shop.standing("26-001", NOW).batch.finishes["hard-wax-oil"].title == "my hard wax oil"
