"""Quantities as people read them, and read back."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from finishing.units import (
    counted,
    parse_hours,
    parse_length,
    parse_temperature,
    parse_volume,
    show_area,
    show_between,
    show_duration,
    show_length,
    show_temperature,
    show_volume,
    show_warmer,
    show_work,
    spoken,
)


@pytest.mark.parametrize(
    ("celsius", "metric", "imperial"),
    [(18.0, "18 °C", "64 °F"), (-0.4, "0 °C", "31 °F"), (-17.9, "-18 °C", "0 °F"), (21.1, "21 °C", "70 °F")],
)
def test_temperature(celsius: float, metric: str, imperial: str) -> None:
    assert show_temperature(celsius, "metric") == metric
    assert show_temperature(celsius, "imperial") == imperial


@pytest.mark.parametrize(
    ("mm", "metric", "imperial"),
    [
        (300.0, "300 mm", "11 13/16 in"),
        (19.05, "19 mm", "3/4 in"),
        (304.8, "305 mm", "12 in"),
        (6.35, "6.3 mm", "1/4 in"),
        (0.5, "0.5 mm", "0 in"),
    ],
)
def test_length(mm: float, metric: str, imperial: str) -> None:
    assert show_length(mm, "metric") == metric
    assert show_length(mm, "imperial") == imperial


@pytest.mark.parametrize(
    ("ml", "metric", "imperial"),
    [(120.0, "120 mL", "4.1 fl oz"), (999.6, "1.0 L", "33.8 fl oz"), (1500.0, "1.5 L", "50.7 fl oz")],
)
def test_volume(ml: float, metric: str, imperial: str) -> None:
    assert show_volume(ml, "metric") == metric
    assert show_volume(ml, "imperial") == imperial


@pytest.mark.parametrize(
    ("hours", "words"),
    [
        (0.0, "0 min"),
        (2 / 3, "40 min"),
        (0.999, "1 h"),
        (6 + 1 / 3, "6 h 20"),
        (8.0, "8 h"),
        (47.99, "47 h 59"),
        (48.0, "2 d"),
        (76.0, "3 d 4 h"),
        (14 * 24 + 5, "14 d"),
        (-2.0, "2 h"),
    ],
)
def test_duration(hours: float, words: str) -> None:
    assert show_duration(hours) == words


@given(st.floats(-39.0, 59.0), st.sampled_from(["metric", "imperial"]))
def test_temperature_reads_back_to_the_degree(celsius: float, system: str) -> None:
    assert parse_temperature(show_temperature(celsius, system)) == pytest.approx(celsius, abs=0.51)


@given(st.floats(1.0, 2990.0))
def test_length_reads_back_to_what_is_shown(mm: float) -> None:
    assert parse_length(show_length(mm, "metric")) == pytest.approx(mm, abs=0.51)
    assert parse_length(show_length(mm, "imperial")) == pytest.approx(mm, abs=25.4 / 32 + 1e-9)


@given(st.floats(2.0, 90_000.0), st.sampled_from(["metric", "imperial"]))
def test_volume_reads_back_to_what_is_shown(ml: float, system: str) -> None:
    slack = 51.0 if ml >= 999 else 0.51
    assert parse_volume(show_volume(ml, system)) == pytest.approx(ml, abs=1.5 if system == "imperial" else slack)


@given(st.integers(1, 59) | st.integers(1, 47).map(lambda h: 60 * h) | st.integers(2, 300).map(lambda d: 1440 * d))
def test_whole_minutes_hours_and_days_read_back(minutes: int) -> None:
    assert parse_hours(show_duration(minutes / 60)) == pytest.approx(minutes / 60)


def test_the_exact_foot_and_what_goes_on_them() -> None:
    """Areas by the international foot, 0.3048 m exactly (NIST SP 811, appendix B.8)."""
    assert show_area(0.3048**2 * 4, "imperial") == "4 ft²"
    assert show_area(0.5412, "metric") == "0.54 m²"
    assert show_warmer(5.0, "imperial") == "9 °F"
    assert show_between(10.0, 21.0, "imperial") == "50 to 70 °F"
    assert show_between(10.2, 9.8, "metric") == "10 °C"


@pytest.mark.parametrize("celsius", [-0.04, -0.0, 0.04])
def test_nought_has_no_sign(celsius: float) -> None:
    assert show_temperature(celsius, "metric", 1) == show_temperature(celsius, "metric") == "0 °C"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("down to 5 °C, below its minimum of 7.2 °C", "down to 41 °F, below its minimum of 45 °F"),
        ("the air is 2.5 °C above the dew point of 10 °C", "the air is 4.5 °F above the dew point of 50 °F"),
        ("less than 3 °C above it: moisture may form", "less than 5.4 °F above it: moisture may form"),
        ("-40 °C is cold", "-40 °F is cold"),
    ],
)
def test_a_sentence_in_the_makers_units(text: str, said: str) -> None:
    assert spoken(text, "imperial") == said
    assert spoken(text, "metric") == text


def test_one_and_several() -> None:
    assert [counted(n, "piece") for n in (0, 1, 1000)] == ["0 pieces", "1 piece", "1,000 pieces"]
    assert counted(2, "batch", "batches") == "2 batches"


@pytest.mark.parametrize(
    ("minutes", "words"),
    [(0, "0 min"), (40, "40 min"), (380, "6 h 20"), (2879, "47 h 59"), (2880, "48 h"), (4500, "75 h")],
)
def test_hands_work_is_told_in_hours(minutes: float, words: str) -> None:
    """Arithmetic; 75 hours of work are no three days and three hours."""
    assert show_work(minutes) == words
