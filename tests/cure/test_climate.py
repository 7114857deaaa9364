"""One series of a place's air out of readings, bridged and filled gaps, and the outlook."""

from __future__ import annotations

import datetime as dt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from finishing.cure.climate import BRIDGE_HOURS, HORIZON_HOURS, Gap, PlaceAir, build, steady
from finishing.cure.integral import EquivalentTime, Series
from finishing.cure.outlook import DayAhead, Pattern, UsualDay

from .factory import START, law, series

USUAL = UsualDay(14.0, 20.0, 60.0, 45.0)
AS_USUAL = Pattern(USUAL, (), "UTC", START - 300, START + 300)


def read(hours: np.ndarray, above: float = 0.0, rh: float = 50.0) -> Series:
    """Readings that lie so far above the usual day."""
    usual = AS_USUAL.at(hours)[0]
    return series(hours, usual + above, rh)


def made(readings: Series | None, now: float = START, start: float = START - 100) -> PlaceAir:
    return build(readings, USUAL, (), zone="UTC", start=start, now=now)


def at(air: PlaceAir, hour: float) -> float:
    return air.at(hour)[0]


def usual_at(hour: float) -> float:
    return float(AS_USUAL.at(np.array([hour]))[0][0])


def test_without_readings_it_is_the_usual_day() -> None:
    air = made(None)
    for hour in START + np.arange(-100, 500, 7.5):
        assert at(air, hour) == pytest.approx(usual_at(hour) if hour < START + 300 else at(air, hour - 240), abs=1e-9)
    assert not air.measured_at(START)
    assert air.measured is None


def test_readings_are_kept_as_they_are() -> None:
    hours = START - 48 + np.arange(0, 40, 0.25)
    air = made(read(hours, above=3.0))
    for hour in hours[::11]:
        assert at(air, hour) == pytest.approx(usual_at(hour) + 3.0)
        assert air.measured_at(hour)
    assert air.gaps == ()
    assert air.measured == (hours[0], hours[-1])


def test_a_short_gap_is_a_straight_line() -> None:
    hours = np.array([START - 10, START - 10 + BRIDGE_HOURS, START - 6])
    air = made(series(hours, [10.0, 16.0, 16.0]))
    assert at(air, START - 8.5) == pytest.approx(13.0)
    assert air.gaps == ()
    assert air.measured_at(START - 8.5)


def test_a_long_gap_takes_the_usual_day_and_is_told() -> None:
    hours = np.concatenate([START - 90 + np.arange(0, 10, 0.5), START - 20 + np.arange(0, 10, 0.5)])
    air = made(read(hours, above=4.0))
    assert air.gaps == (Gap(START - 80.5, START - 20.0),)
    middle = START - 50
    assert at(air, middle) == pytest.approx(usual_at(middle), abs=0.2), "30 h from any reading the departure is gone"
    assert not air.measured_at(middle)
    assert air.measured_at(START - 85)
    assert air.measured_at(START - 15)


@given(st.floats(BRIDGE_HOURS + 0.1, 60.0), st.floats(-12.0, 12.0), st.floats(-12.0, 12.0))
def test_a_filled_gap_lies_between_its_two_ends_departures(length: float, before: float, after: float) -> None:
    one, two = START - 100 + np.arange(0, 5, 0.5), START - 95.5 + length + np.arange(0, 5, 0.5)
    known = series(
        np.concatenate([one, two]),
        np.concatenate([read(one, before).temperature_c, read(two, after).temperature_c]),
    )
    air = made(known)
    for hour in np.linspace(one[-1] + 0.5, two[0] - 0.01, 23):
        departure = at(air, hour) - usual_at(hour)
        # The series is linear between points half an hour apart, the usual day is not: 0.03 K of slack.
        assert min(before, after, 0.0) - 0.03 <= departure <= max(before, after, 0.0) + 0.03


@pytest.mark.parametrize("above", [-6.0, 6.0])
def test_no_jump_where_readings_end_begin_or_break_off(above: float) -> None:
    hours = np.concatenate([START - 60 + np.arange(0, 20, 0.5), START - 36 + np.arange(0, 20, 0.5)])
    air = made(read(hours, above=above, rh=80.0), start=START - 90)
    minutes = np.arange(START - 89, START + 60, 1 / 60)
    t, rh = np.array([air.at(m) for m in minutes]).T
    # The usual day itself moves by no more than 6 K * pi / 2 / 9 h = 1.05 K/h; a departure of 6 K fades over 8 h.
    # The first filled point lies up to half an hour after the last reading.
    assert np.abs(np.diff(t)).max() < (1.05 + 6 / 8 + 0.05) / 60
    assert np.abs(np.diff(rh)).max() < 0.15


def test_a_departure_fades_into_the_outlook() -> None:
    hours = START - 20 + np.arange(0, 20.1, 0.5)
    air = made(read(hours, above=5.0))
    for ahead, left in ((8.0, 5 / np.e), (24.0, 5 / np.e**3)):  # by e every DRIFT_HOURS = 8 h
        assert at(air, START + ahead) - usual_at(START + ahead) == pytest.approx(left, abs=0.02)


def test_missing_humidity_takes_the_usual_days() -> None:
    hours = START - 20 + np.arange(0, 20, 0.5)
    readings = read(hours)
    damp = readings.humidity_pct.copy()
    damp[5:9] = np.nan
    air = made(Series(hours, readings.temperature_c, damp))
    assert np.isfinite(air.series.humidity_pct).all()
    assert air.at(hours[2])[1] == 50.0
    usual = Pattern(USUAL, (), "UTC", START - 50, START).at(hours[6:7])[1][0]
    assert air.at(hours[6])[1] == pytest.approx(usual)


def test_typed_days_lie_ahead_of_the_readings() -> None:
    # START is 2025-11-24T16:00Z; the 27th is far enough from the last reading.
    day = DayAhead(dt.date(2025, 11, 27), 2.0, 6.0)
    hours = START - 20 + np.arange(0, 20, 0.5)
    air = build(read(hours), USUAL, [day], zone="UTC", start=START - 100, now=START)
    assert at(air, START + 2 * 24 + 14) == pytest.approx(2.0, abs=0.05)
    assert at(air, START + 2 * 24 + 23) == pytest.approx(6.0, abs=0.05)


def test_a_logger_ahead_of_the_clock_counts() -> None:
    hours = START + np.arange(0, 6, 0.5)
    air = made(read(hours, above=5.0), now=START)
    assert at(air, START + 4) == pytest.approx(usual_at(START + 4) + 5.0)
    assert float(air.series.hours[-1]) >= START + 5.5 + HORIZON_HOURS - 0.5


def test_the_series_never_turns_back_and_begins_where_it_should() -> None:
    hours = np.concatenate([START - 60 + np.arange(0, 20, 0.5), [START - 20.0, START - 20.0]])
    air = made(read(hours), start=START - 90)
    assert (np.diff(air.series.hours) >= 0).all()
    assert float(air.series.hours[0]) == START - 90
    assert float(made(read(hours), start=START - 30).series.hours[0]) == START - 60


@pytest.mark.parametrize("length", [5.0, 24.0, 60.0])
def test_beyond_its_end_the_air_shown_is_the_air_reckoned_with(length: float) -> None:
    hours = np.arange(0, length + 0.1, 0.25)
    air = PlaceAir(series(hours, 15 + 10 * np.sin(hours)))
    clock = air.clock(law(50.0, 20.0))
    written = np.arange(0, length + 50, 1 / 60)
    shown = np.array([air.at(h) for h in written])
    summed = EquivalentTime(law(50.0, 20.0), series(written, shown[:, 0]))
    assert float(clock.at(length + 49)) == pytest.approx(float(summed.at(length + 49)), rel=1e-3)


def test_window_has_points_at_both_ends() -> None:
    air = made(read(START - 20 + np.arange(0, 20, 0.5), above=2.0))
    cut = air.window(START - 10.2, START + 30.7)
    assert (cut.hours[0], cut.hours[-1]) == (START - 10.2, START + 30.7)
    assert cut.temperature_c[0] == pytest.approx(at(air, START - 10.2))
    assert (np.diff(cut.hours) > 0).all()


def test_steady_air_never_changes() -> None:
    air = steady(17.0, 62.0, START)
    assert air.at(START + 1e5) == (17.0, 62.0)
    assert float(air.clock(law(50.0, 17.0)).reached(START, 1e4)) == pytest.approx(START + 1e4)


def test_one_integral_serves_all_who_share_a_law() -> None:
    air = made(None)
    assert air.clock(law(50.0, 20.0)) is air.clock(law(50.0, 20.0))
    assert air.clock(law(50.0, 20.0)) is not air.clock(law(50.0, 21.0))
