"""Time along columns: which hour, where night lies, what is written above. Local times against Python's zoneinfo."""

from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from finishing.screens.widgets.axis import NIGHT_FROM, NIGHT_TO, SPANS, Axis
from finishing.shop.bench import Mark, Stretch

OSLO = ZoneInfo("Europe/Oslo")


def hour(*local: int, fold: int = 0) -> float:
    """An hour since the epoch from Oslo's clock, by zoneinfo (IANA)."""
    return dt.datetime(*local, tzinfo=OSLO, fold=fold).timestamp() / 3600  # type: ignore[arg-type,misc]


def shown(at: float) -> dt.datetime:
    return dt.datetime.fromtimestamp(round(at * 3600), OSLO)


MORNING = hour(2026, 3, 10, 9)
AUTUMN = hour(2026, 10, 24, 22)
"""Before the night of 25 October 2026, when 03:00 becomes 02:00 in Oslo."""
SPRING = hour(2026, 3, 28, 22)
"""Before the night of 29 March 2026, when 02:00 becomes 03:00."""

axes = st.builds(
    Axis.around,
    st.sampled_from([MORNING, AUTUMN, SPRING]).flatmap(lambda h: st.floats(h - 30, h + 30)),
    st.sampled_from(SPANS),
    st.integers(1, 200),
    st.sampled_from(["Europe/Oslo", "America/St_Johns", "Australia/Lord_Howe", "UTC"]),
)


def test_now_stands_a_sixth_of_the_way_along() -> None:
    axis = Axis.around(MORNING, 48.0, 48, "Europe/Oslo")
    assert (axis.start, axis.span, axis.width) == (MORNING - 8, 48.0, 48)
    assert axis.column(MORNING) == 8
    assert axis.hour(8) == MORNING


@given(axes, st.integers(0, 199))
def test_an_hour_in_a_column_is_found_in_that_column(axis: Axis, column: int) -> None:
    assert axis.column(axis.hour(column + 0.5)) == column


def test_hours_before_and_after_lie_outside() -> None:
    axis = Axis(0.0, 24.0, 24, "UTC")
    assert axis.column(-0.5) == -1
    assert axis.column(24.0) == 24


@pytest.mark.parametrize("start", [MORNING, AUTUMN, SPRING])
def test_night_is_by_the_wall_clock(start: float) -> None:
    axis = Axis(start, 48.0, 96, "Europe/Oslo")
    for column, dark in enumerate(axis.nights()):
        local = shown(start + (column + 0.5) / 2).hour
        assert dark == (local >= NIGHT_FROM or local < NIGHT_TO)


def test_the_autumn_night_is_an_hour_longer_and_the_springs_shorter() -> None:
    noons = (hour(2026, 3, 9, 12), hour(2026, 10, 24, 12), hour(2026, 3, 28, 12))
    nights = [Axis(noon, 23.0, 23, "Europe/Oslo").nights().count(True) for noon in noons]
    assert nights == [10, 11, 9]


def test_ticks_stand_where_their_hour_is() -> None:
    axis = Axis(MORNING, 24.0, 48, "Europe/Oslo")
    expected = [(0, "09"), (6, "12"), (12, "15"), (18, "18"), (24, "21"), (30, "Wed 11"), (42, "06")]
    assert axis.ticks() == expected  # 03 would touch the day's name


@pytest.mark.parametrize("start", [AUTUMN, SPRING])
@pytest.mark.parametrize("span", SPANS)
@pytest.mark.parametrize("width", [20, 47, 80])
def test_ticks_over_a_daylight_saving_night_agree_with_zoneinfo(start: float, span: float, width: int) -> None:
    axis = Axis(start, span, width, "Europe/Oslo")
    assert axis.ticks()
    for column, label in axis.ticks():
        # The tick's own instant lies in its column; find the whole local hours that do.
        first, last = axis.hour(column), axis.hour(column + 1)
        whole = [h / 2 for h in range(int(first * 2) - 2, int(last * 2) + 3) if first <= h / 2 + 1e-9 and h / 2 < last]
        names = {shown(h).strftime("%H") for h in whole} | {
            f"{shown(h):%a} {shown(h).day}" for h in whole if shown(h).hour == 0
        }
        assert label in names


@given(axes)
def test_labels_never_touch_or_run_over(axis: Axis) -> None:
    end = -1
    for column, label in axis.ticks():
        assert column > end
        assert column + len(label) <= axis.width
        end = column + len(label)
    assert len(axis.ruler()) == axis.width


def test_a_bar_has_a_mark_in_each_column_it_covers() -> None:
    axis = Axis(0.0, 24.0, 12, "UTC")
    bar = axis.bar((Stretch(Mark.HARDENING, -5.0, 6.0), Stretch(Mark.OPEN, 6.0, 12.0), Stretch(Mark.SHUT, 12.0, None)))
    assert bar == [Mark.HARDENING] * 3 + [Mark.OPEN] * 3 + [Mark.SHUT] * 6


@pytest.mark.parametrize(
    ("stretch", "columns"),
    [
        (Stretch(Mark.OPEN, -9.0, -1.0), set()),
        (Stretch(Mark.OPEN, -9.0, 0.0), set()),
        (Stretch(Mark.OPEN, 24.0, 30.0), set()),
        (Stretch(Mark.OPEN, 30.0, None), set()),
        (Stretch(Mark.OPEN, -1.0, 99.0), set(range(12))),
        (Stretch(Mark.OPEN, 5.0, 5.1), {2}),
    ],
)
def test_a_bar_is_cut_at_the_edges(stretch: Stretch, columns: set[int]) -> None:
    bar = Axis(0.0, 24.0, 12, "UTC").bar((stretch,))
    assert {i for i, mark in enumerate(bar) if mark} == columns


@given(axes, st.floats(-300, 300), st.floats(0, 300))
def test_a_bar_covers_no_column_it_has_nothing_in(axis: Axis, start: float, length: float) -> None:
    stretch = Stretch(Mark.OPEN, axis.start + start, axis.start + start + length)
    for column, mark in enumerate(axis.bar((stretch,))):
        if mark:
            assert stretch.start < axis.hour(column + 1) + 1e-6
            assert stretch.end is not None
            assert stretch.end >= axis.hour(column) - 1e-6
