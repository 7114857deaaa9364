"""Whether a batch makes its date: against the plan, which knows hands, racks and the quarter hour, and by hand."""

from __future__ import annotations

import math
import shutil
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from finishing.cure.terms import Release
from finishing.shop import record
from finishing.shop.demo import open_demo
from finishing.shop.plan.make import make
from finishing.shop.plan.sheet import sheet
from finishing.shop.plan.words import late_words
from finishing.shop.promise import Promise, hands_of
from finishing.shop.settings import change_setting
from finishing.shop.shop import Shop
from tests.shop.built import EVENING, NOW, ZONE, begin, demo_home, local
from tests.shop.doing import coat


@pytest.fixture
def demo(tmp_path_factory: pytest.TempPathFactory, tmp_path: Path) -> Iterator[Shop]:
    """A copy of the invented shop, open."""
    shutil.copytree(demo_home(tmp_path_factory), tmp_path / "demo")
    opened = open_demo(tmp_path / "demo", EVENING)
    yield opened
    opened.close()


WANTED = local("2026-03-14 08:00")


@pytest.mark.parametrize(
    ("packed", "left", "held", "words", "late"),
    [
        ("2026-03-14 08:00", True, False, "ready Sat 08:00 at the earliest: in time", False),
        ("2026-03-14 08:01", True, False, "ready Sat 08:01 at the earliest: 1 day late", True),
        ("2026-03-15 08:00", True, False, "ready Sun 08:00 at the earliest: 1 day late", True),
        ("2026-03-15 09:00", False, False, "ready Sun 09:00: 2 days late", True),
        ("2026-03-09 09:00", False, False, "may be packed now: in time", False),
        (None, True, False, ": no date", True),
        ("2026-03-09 09:00", True, True, ": on hold", False),
    ],
)
def test_in_words(packed: str | None, left: bool, held: bool, words: str, late: bool) -> None:
    """Days begun after the date count whole, as in the plan. Arithmetic."""
    said = Promise(WANTED, None if packed is None else local(packed), left, held)
    assert said.words(ZONE, NOW) == f"wanted Sat 08:00{'' if words[0] == ':' else ', '}{words}"
    assert said.late is late


def test_it_promises_no_less_than_the_plan_needs(demo: Shop) -> None:
    """No plan of the invented shop is ready before; where it is as late, both say so in the same words."""
    rows = {row.code: promise for row, promise in demo.bench(EVENING).wanted}
    lines = {line.code: line for line in sheet(make(demo, EVENING, seconds=0)).lines if line.wanted is not None}
    assert rows.keys() == lines.keys()
    alike = 0
    for code, promise in rows.items():
        line = lines[code]
        assert promise.packed is not None
        assert line.packed is not None
        assert promise.packed <= line.packed + 1 / 60, code
        if promise.late_days == line.late_days:
            assert promise.stands() == late_words(line)
            alike += 1
    assert alike > len(rows) / 2


def test_steps_wait_for_hands(shop: Shop) -> None:
    """With hands at any hour it is the forecast; with hours of a single evening a week each step waits for one."""
    code = begin(shop, schedule="waterborne-three", wanted_by=WANTED)
    change_setting(shop, "hours", "mon-sun 0:00-24:00", NOW)
    promise = shop.promise(code, NOW)
    assert promise is not None
    assert promise.packed == shop.standing(code, NOW).ahead(NOW).releases[Release.PACK]
    change_setting(shop, "hours", "thu 18:00-18:30", NOW)
    later = shop.promise(code, NOW)
    assert later is not None
    hands = hands_of(shop.settings.working_hours(), NOW, ZONE)
    ahead = shop.standing(code, NOW).ahead(NOW, hands)
    assert {step.at for step in ahead.ahead} <= {local(f"2026-{day} 18:00") + n / 60 for day in
                                                 ("03-12", "03-19", "03-26", "04-02") for n in range(30)}  # fmt: skip
    assert later.packed == ahead.releases[Release.PACK]
    assert later.late_days == math.ceil((later.packed - WANTED) / 24)
    assert later.late_days > promise.late_days


def test_no_hours_no_date_and_what_is_done_on_hold_or_closed(shop: Shop) -> None:
    code = begin(shop, schedule="waterborne-three", wanted_by=WANTED)
    begin(shop, "B-2")
    change_setting(shop, "hours", "", NOW)
    promise = shop.promise(code, NOW)
    assert promise is not None
    assert (promise.packed, promise.late) == (None, True)
    assert [row.code for row, _ in shop.bench(NOW).wanted] == [code]
    record.hold(shop, code, NOW)
    held = shop.promise(code, NOW)
    assert held is not None
    assert (held.stands(), held.late) == ("on hold", False)
    record.close(shop, code, NOW)
    assert shop.promise(code, NOW) is None


def test_it_is_kept_until_something_changes(shop: Shop) -> None:
    """What is told goes by the record, the settings and the clock, however often it was asked before."""
    code = begin(shop, schedule="waterborne-three", wanted_by=WANTED)
    asked = [shop.promise(code, NOW + n / 60) for n in range(3)]
    assert asked[0] is asked[1] is asked[2]
    fresh = Shop.open(NOW + 30, shop.store.location)
    assert shop.promise(code, NOW + 30) == fresh.promise(code, NOW + 30) != asked[0]
    before = shop.promise(code, NOW)
    coat(shop, code, NOW)
    after = shop.promise(code, NOW)
    assert after is not before
    fresh.forget()
    assert after == fresh.promise(code, NOW)
    fresh.close()


def test_a_moment_is_no_day() -> None:
    assert replace(Promise(WANTED, WANTED, True), packed=WANTED + 0.5 / 3600).late_days == 0
