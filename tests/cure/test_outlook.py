"""The air ahead, and the usual day of a place; local times against the IANA zone data by way of zoneinfo."""

from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from finishing.clock import hour_of
from finishing.cure.outlook import HIGH_AT, LOW_AT, DayAhead, Pattern, UsualDay, fit_usual_day
from finishing.errors import BadInput

from .factory import series

USUAL = UsualDay(12.0, 20.0, 70.0, 45.0)


def local(zone: str, *when: int) -> float:
    return hour_of(dt.datetime(*when, tzinfo=ZoneInfo(zone)))  # type: ignore[misc]


# The nights clocks change in 2026, both ways, and a zone that has none.
NIGHTS = [
    ("America/New_York", dt.date(2026, 3, 8)),
    ("America/New_York", dt.date(2026, 11, 1)),
    ("Europe/Berlin", dt.date(2026, 3, 29)),
    ("Europe/Berlin", dt.date(2026, 10, 25)),
    ("Australia/Lord_Howe", dt.date(2026, 4, 5)),  # shifts by half an hour
    ("Asia/Kolkata", dt.date(2026, 3, 29)),
]


@pytest.mark.parametrize(("zone", "date"), NIGHTS)
def test_the_low_comes_at_six_by_the_wall_clock_also_when_clocks_change(zone: str, date: dt.date) -> None:
    midnight = local(zone, date.year, date.month, date.day)
    noon = local(zone, date.year, date.month, date.day, 12)
    pattern = Pattern(USUAL, (), zone, midnight - 48, noon + 48)
    minutes = np.arange(midnight, noon, 1 / 60)
    coldest = minutes[int(np.argmin(pattern.at(minutes)[0]))]
    shown = dt.datetime.fromtimestamp(round(coldest * 3600), ZoneInfo(zone))
    assert (shown.hour, shown.minute) == (LOW_AT, 0)
    assert float(pattern.at(np.array([coldest]))[0][0]) == pytest.approx(12.0, abs=1e-6)
    warmest = np.arange(noon, noon + 8, 1 / 60)
    hottest = warmest[int(np.argmax(pattern.at(warmest)[0]))]
    assert dt.datetime.fromtimestamp(round(hottest * 3600), ZoneInfo(zone)).hour == HIGH_AT


def test_a_typed_day_holds_on_its_date_alone() -> None:
    zone = "Europe/Berlin"
    day = DayAhead(dt.date(2026, 1, 20), 3.0, 9.0, 80.0)
    pattern = Pattern(USUAL, [day], zone, local(zone, 2026, 1, 18), local(zone, 2026, 1, 23))

    def at(date: int, hour: int) -> tuple[float, float]:
        t, h = pattern.at(np.array([local(zone, 2026, 1, date, hour)]))
        return round(float(t[0]), 6), round(float(h[0]), 6)

    assert at(20, LOW_AT) == (3.0, 80.0)
    assert at(20, HIGH_AT) == (9.0, 80.0)
    assert at(19, LOW_AT) == at(21, LOW_AT) == (12.0, 70.0)
    assert at(19, HIGH_AT) == at(21, HIGH_AT) == (20.0, 45.0)


def test_a_typed_day_without_humidity_keeps_the_usual() -> None:
    zone = "UTC"
    pattern = Pattern(
        USUAL, [DayAhead(dt.date(2026, 1, 20), 3.0, 9.0)], zone, local(zone, 2026, 1, 18), local(zone, 2026, 1, 23)
    )
    assert float(pattern.at(np.array([local(zone, 2026, 1, 20, LOW_AT)]))[1][0]) == pytest.approx(70.0)


temperatures = st.floats(-10, 40)


@given(st.lists(st.tuples(temperatures, temperatures), min_size=3, max_size=3), st.floats(0, 100), st.floats(0, 100))
def test_the_curve_has_no_jump_and_never_leaves_its_lows_and_highs(
    days: list[tuple[float, float]], damp_low: float, damp_high: float
) -> None:
    spans = [(min(pair), max(pair)) for pair in days]
    usual = UsualDay(*spans[0], damp_low, damp_high)
    ahead = [DayAhead(dt.date(2026, 3, 7 + n), *span) for n, span in enumerate(spans[1:], start=1)]
    start = local("America/New_York", 2026, 3, 6)
    hours = start + np.arange(0, 96, 1 / 12)
    t, h = Pattern(usual, ahead, "America/New_York", start, start + 96).at(hours)
    low, high = min(s[0] for s in spans), max(s[1] for s in spans)
    assert t.min() >= low - 1e-9
    assert t.max() <= high + 1e-9
    assert h.min() >= min(damp_low, damp_high) - 1e-9
    assert h.max() <= max(damp_low, damp_high) + 1e-9
    # Half a cosine over no less than 8 h (clocks put forward) is never steeper than swing * pi / 2 / 8 an hour.
    assert np.abs(np.diff(t)).max() <= (high - low) * np.pi / 16 / 12 + 1e-9


def readings(days: int, seed: int = 3, zone: str = "America/New_York"):  # type: ignore[no-untyped-def]
    """Every half hour, a wave between a low and a high that differ from day to day; returns them and the days' ends."""
    random = np.random.default_rng(seed)
    start = local(zone, 2026, 1, 5)
    lows, highs = random.uniform(8, 12, days), random.uniform(17, 22, days)
    hours = start + np.arange(0, 24 * days, 0.5)
    day, of_day = ((hours - start) // 24).astype(int), (hours - start) % 24
    wave = (1 - np.cos(2 * np.pi * (of_day - LOW_AT) / 24)) / 2  # 0 at six, 1 at eighteen
    t = lows[day] + wave * (highs[day] - lows[day])
    return series(hours, t, 80 - 3 * (t - 8)), lows, highs


def test_usual_day_is_the_median_of_the_last_fortnight() -> None:
    read, lows, highs = readings(20)
    fitted = fit_usual_day(read, "America/New_York")
    assert fitted is not None
    # Fourteen days before the last reading, half an hour short of midnight, the seventh day has just begun.
    assert fitted.low_c == pytest.approx(float(np.median(lows[6:])), abs=1e-9)
    assert fitted.high_c == pytest.approx(float(np.median(highs[6:])), abs=1e-9)
    assert fitted.humidity_at_low > fitted.humidity_at_high


def test_a_day_read_only_in_part_says_nothing() -> None:
    read, _, _ = readings(1)
    assert fit_usual_day(series(read.hours[:30], read.temperature_c[:30]), "America/New_York") is None
    assert fit_usual_day(series(read.hours[::20], read.temperature_c[::20]), "America/New_York") is None


def test_a_log_without_humidity_gives_a_usual_day_all_the_same() -> None:
    read, lows, _ = readings(5)
    dry = series(read.hours, read.temperature_c, np.full(len(read.hours), np.nan))
    fitted = fit_usual_day(dry, "America/New_York", humidity_pct=55.0)
    assert fitted is not None
    assert (fitted.humidity_at_low, fitted.humidity_at_high) == (55.0, 55.0)
    assert fitted.low_c == pytest.approx(float(np.median(lows)))


def test_some_humidity_missing_leaves_the_rest() -> None:
    read, _, _ = readings(5)
    patchy = read.humidity_pct.copy()
    patchy[:48] = np.nan
    fitted = fit_usual_day(series(read.hours, read.temperature_c, patchy), "America/New_York")
    assert fitted is not None
    assert 40 < fitted.humidity_at_high < fitted.humidity_at_low < 85


@pytest.mark.parametrize(
    "bad",
    [(20.0, 12.0, 50.0, 50.0), (float("nan"), 20.0, 50.0, 50.0), (12.0, 20.0, -1.0, 50.0), (12.0, 61.0, 5.0, 5.0)],
)
def test_nonsense_days_are_refused(bad: tuple[float, float, float, float]) -> None:
    with pytest.raises(BadInput):
        UsualDay(*bad)
    with pytest.raises(BadInput):
        DayAhead(dt.date(2026, 1, 1), *bad[:2], 120.0)
