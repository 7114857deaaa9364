"""The bench: which batch stands in which of the five groups, in what order, and at what local time."""

from __future__ import annotations

import datetime as dt
import math
from zoneinfo import ZoneInfo

import pytest
from scipy.special import ndtri

from finishing.cure.outlook import UsualDay
from finishing.cure.terms import Stage
from finishing.cure.work import Finding
from finishing.shop import places, record
from finishing.shop.bench import Group, Mark, Row
from finishing.shop.drafts import AbradeDraft, TestDraft
from finishing.shop.settings import change_setting
from finishing.shop.shop import Shop
from tests.shop.built import NOW, ZONE, begin, local
from tests.shop.doing import coat, do


def only(shop: Shop, at: float) -> Row:
    (row,) = shop.bench(at).rows
    return row


def ready_after(level: float) -> float:
    """Hours until a coat of wiping varnish on hard maple may be coated again, at 21 °C and 50 % RH.

    6 h is the typical time of data/finishes/wiping-varnish.toml; 0.5, 0.25 and 0.1 its spread, from coat to coat, and
    of plain woods (data/extractives.csv). The normal quantile is SciPy's (Cephes ndtri).
    """
    return float(6.0 * math.exp(math.hypot(0.5, 0.25, 0.1) * ndtri(level)))


@pytest.mark.parametrize(("text", "level"), [("50%", 0.5), ("0.8", 0.8), ("95", 0.95)])
def test_the_next_coat_opens_at_the_makers_level(shop: Shop, text: str, level: float) -> None:
    change_setting(shop, "level", text, NOW)
    coat(shop, begin(shop), NOW)
    row = only(shop, NOW + 1)
    assert row.opens == pytest.approx(NOW + ready_after(level), abs=1 / 3600)
    # The window shuts after 24 h, typically, at the air its file states; air and reference are the same here.
    assert row.shuts == pytest.approx(NOW + 24.0, abs=1 / 3600)


def test_a_new_batch_can_be_begun_now(shop: Shop) -> None:
    begin(shop)
    row = only(shop, NOW)
    assert (row.group, row.do, row.brief) == (Group.NOW, "prepare P220", "open")
    assert [s.mark for s in row.stretches] == [Mark.OPEN]


@pytest.mark.parametrize(
    ("laid", "asked", "group", "brief"),
    [
        ("2026-03-10 09:00", "2026-03-10 10:00", Group.TODAY, "18:40"),
        ("2026-03-10 09:00", "2026-03-10 18:41", Group.NOW, "14 h 19 left"),
        ("2026-03-10 09:00", "2026-03-11 09:01", Group.NOW, "window shut"),
        ("2026-03-10 14:10", "2026-03-10 14:30", Group.TODAY, "23:50"),
        ("2026-03-10 14:30", "2026-03-10 14:40", Group.LATER, "Wed 00:10"),
        ("2026-03-10 14:30", "2026-03-11 00:05", Group.TODAY, "00:10"),
    ],
)
def test_a_coat_that_hardens_goes_from_later_to_today_to_now(
    shop: Shop, laid: str, asked: str, group: Group, brief: str
) -> None:
    coat(shop, begin(shop), local(laid))
    row = only(shop, local(asked))
    assert (row.group, row.brief) == (group, brief)


def test_a_bar_goes_from_hardening_to_open_to_shut(shop: Shop) -> None:
    coat(shop, begin(shop), NOW)
    row = only(shop, NOW + 1)
    assert [s.mark for s in row.stretches] == [Mark.HARDENING, Mark.OPEN, Mark.SHUT]
    assert [s.start for s in row.stretches] == [NOW, row.opens, row.shuts]
    assert [s.end for s in row.stretches] == [row.opens, row.shuts, None]


def test_a_wipe_off_that_passes_shuts_no_window(shop: Shop) -> None:
    coat(shop, begin(shop), NOW)
    row = only(shop, NOW + 0.1)  # to be wiped off from 1 to 10 minutes after the coat, by the finish's own file
    assert (row.group, row.do, row.brief) == (Group.NOW, "wipe off", "4 min left")
    assert [s.mark for s in row.stretches] == [Mark.HARDENING, Mark.OPEN, Mark.HARDENING]
    assert only(shop, NOW + 0.2).do == "coat 2 of 4"


def test_what_rests_and_what_may_go_out(shop: Shop) -> None:
    code = begin(shop, schedule="two-part-hard-wax-one")
    do(shop, code, NOW, NOW + 0.1, NOW + 0.2)
    row = only(shop, NOW + 2)
    assert (row.group, row.do) == (Group.RESTING, "hardens")
    assert row.stands.startswith("may be handled from ")
    pack = row.progress.releases
    packed, used = (pack[r] for r in list(pack)[1:])
    assert packed is not None
    assert used is not None
    assert only(shop, packed - 0.01).group is Group.RESTING
    assert (only(shop, packed + 0.01).group, only(shop, packed + 0.01).brief) == (Group.READY, "pack it")
    assert only(shop, packed + 0.01).stands.startswith("may be used from ")
    assert only(shop, used + 0.01).stands.startswith("since ")
    assert (only(shop, used + 0.01).group, only(shop, used + 0.01).brief) == (Group.READY, "use it")
    assert [s.mark for s in only(shop, packed).stretches] == [Mark.RESTING, Mark.FREE]


def test_what_is_on_hold_rests(shop: Shop) -> None:
    code = begin(shop)
    record.hold(shop, code, NOW)
    assert (only(shop, NOW).group, only(shop, NOW).brief) == (Group.RESTING, "on hold")
    record.hold(shop, code, NOW, on=False)
    assert only(shop, NOW).group is Group.NOW


def test_bare_oily_wood_has_no_date(shop: Shop) -> None:
    code = begin(shop, schedule="hard-wax-two", woods="teak")
    do(shop, code, NOW, NOW + 0.1)
    row = only(shop, NOW + 24)
    assert (row.group, row.brief) == (Group.RESTING, "test first")
    record.touch_test(shop, TestDraft(code, Stage.DRY_TO_RECOAT, Finding.DRY), NOW + 48)
    assert only(shop, NOW + 48).group is Group.NOW


def test_air_that_is_too_cold_for_ever_stands_still(shop: Shop) -> None:
    places.add_place(shop, "shed", UsualDay(0.0, 2.0, 50.0, 50.0), NOW)
    coat(shop, begin(shop, place="shed"), NOW)
    row = only(shop, NOW + 24)
    assert (row.group, row.brief) == (Group.RESTING, "stands still")
    assert "stands_still" in {caution.code for caution in row.progress.cautions}


def test_the_one_that_shuts_first_comes_first(shop: Shop) -> None:
    for code, hour in (("A", 2.0), ("B", 0.0), ("C", 1.0)):
        coat(shop, begin(shop, code), NOW + hour)
    begin(shop, "D")
    assert [row.code for row in shop.bench(NOW + 14).rows] == ["B", "C", "A", "D"]
    record.abrade(shop, AbradeDraft("B"), NOW + 14)  # its window shuts no more
    assert [row.code for row in shop.bench(NOW + 14).rows] == ["C", "A", "B", "D"]


def test_the_one_that_opens_first_comes_first(shop: Shop) -> None:
    for code, hour in (("A", 1.5), ("B", 0.5), ("C", 1.0)):
        coat(shop, begin(shop, code), NOW + hour)
    bench = shop.bench(NOW + 2)
    assert {row.group for row in bench.rows} == {Group.TODAY}
    assert [row.code for row in bench.group(Group.TODAY)] == ["B", "C", "A"]


def test_the_one_wanted_first_comes_first_where_nothing_else_tells(shop: Shop) -> None:
    begin(shop, "A")
    begin(shop, "B", wanted_by=NOW + 240)
    begin(shop, "C", wanted_by=NOW + 120)
    begin(shop, "0")
    assert [row.code for row in shop.bench(NOW).rows] == ["C", "B", "0", "A"]


def test_the_groups_come_nearest_first(shop: Shop) -> None:
    evening = local("2026-03-10 18:45")
    coat(shop, begin(shop, "later"), evening - 1)
    coat(shop, begin(shop, "today"), evening - 6)
    coat(shop, begin(shop, "now"), NOW)
    do(shop, begin(shop, "ready", "two-part-hard-wax-one"), NOW - 2400, NOW - 2400, NOW - 2400)
    do(shop, begin(shop, "resting", "two-part-hard-wax-one"), NOW, NOW, NOW)
    rows = shop.bench(evening).rows
    assert [row.code for row in rows] == ["now", "today", "later", "resting", "ready"]
    assert [row.group for row in rows] == list(Group)


def test_a_clock_that_was_set_back_breaks_nothing(shop: Shop) -> None:
    coat(shop, begin(shop), NOW)
    assert only(shop, NOW - 24 * 100).group is Group.LATER


# Daylight saving in Europe/Oslo, 2026, by the IANA time zone database: it ends on 25 October at 03:00 CEST, which
# becomes 02:00 CET, and begins on 29 March at 02:00 CET. Checked with Python's zoneinfo, not with the project's clock.


def oslo(hour: float) -> dt.datetime:
    return dt.datetime.fromtimestamp(round(hour * 3600), ZoneInfo(ZONE))


@pytest.mark.parametrize(
    ("laid", "clock", "offset"),
    [
        ("2026-10-24T15:00:00+00:00", "Sun 02:40", 2),  # the first time it is twenty to three
        ("2026-10-24T16:00:00+00:00", "Sun 02:40", 1),  # the second
        ("2026-10-24T20:00:00+00:00", "Sun 06:40", 1),  # eleven hours later by the clock would be 07:40
        ("2026-03-28T20:00:00+00:00", "Sun 07:40", 2),
        ("2026-03-28T15:10:00+00:00", "Sun 01:50", 1),
        ("2026-03-28T15:30:00+00:00", "Sun 03:10", 2),  # ten minutes later by the clock would be no time at all
    ],
)
def test_times_around_a_daylight_saving_night(shop: Shop, laid: str, clock: str, offset: int) -> None:
    at = dt.datetime.fromisoformat(laid).timestamp() / 3600
    coat(shop, begin(shop), at)
    row = only(shop, at + 1)
    assert row.opens == pytest.approx(at + ready_after(0.8), abs=1 / 3600)
    there = oslo(row.opens)
    assert there.utcoffset() == dt.timedelta(hours=offset)
    assert there.strftime("%a %H:%M") == clock == row.brief
    assert row.stands.startswith(f"from {clock} (in 8 h 41)")


@pytest.mark.parametrize(
    ("laid", "day", "group"),
    [
        ("2026-10-25 14:10", "2026-10-25 23:50", Group.TODAY),  # 24 hours after its beginning this day has one to come
        ("2026-10-25 14:30", "2026-10-26 00:10", Group.LATER),
        ("2026-03-29 14:10", "2026-03-29 23:50", Group.TODAY),
        ("2026-03-29 14:30", "2026-03-30 00:10", Group.LATER),  # and this one is over before they have passed
    ],
)
def test_today_ends_at_midnight_on_long_and_short_days(shop: Shop, laid: str, day: str, group: Group) -> None:
    coat(shop, begin(shop), local(laid))
    row = only(shop, local(laid) + 0.2)
    assert row.opens is not None
    assert oslo(row.opens).strftime("%Y-%m-%d %H:%M") == day
    assert row.group is group


def test_air_of_a_day_with_a_doubled_hour_is_still_a_days_air(shop: Shop) -> None:
    """A loft that swings: the low is at six and the high at three by the wall clock, on both sides of the change."""
    places.add_place(shop, "attic", UsualDay(5.0, 15.0, 50.0, 50.0), NOW)
    air = shop.rack(local("2026-10-24 12:00")).air["attic"]
    for day in ("24", "25", "26"):
        low, high = (
            dt.datetime.fromisoformat(f"2026-10-{day}T{h}").replace(tzinfo=ZoneInfo(ZONE)) for h in ("06", "15")
        )
        if day == "24":  # before the look began
            low = high
        assert air.at(high.timestamp() / 3600)[0] == pytest.approx(15.0, abs=0.2)
        if low is not high:
            assert air.at(low.timestamp() / 3600)[0] == pytest.approx(5.0, abs=0.2)
