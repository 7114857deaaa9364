"""What people type: temperatures, humidities, lengths, sizes, volumes, times."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from finishing.errors import BadInput
from finishing.units import (
    ML_PER_FL_OZ,
    parse_hours,
    parse_humidity,
    parse_length,
    parse_size,
    parse_temperature,
    parse_volume,
    to_celsius,
    to_fahrenheit,
)


# NIST SP 811, appendix B: t/°C = (t/°F - 32) / 1.8, t/°C = T/K - 273.15; in = 25.4 mm, US fl oz = 29.573 53 mL,
# US qt = 946.3529 mL and gal = 3785.412 mL.
def test_fixed_points_of_the_scales() -> None:
    for celsius, fahrenheit, kelvin in ((0.0, 32.0, 273.15), (100.0, 212.0, 373.15), (-40.0, -40.0, 233.15)):
        assert to_celsius(fahrenheit, "F") == pytest.approx(celsius)
        assert to_celsius(kelvin, "k") == pytest.approx(celsius)
        assert to_fahrenheit(celsius) == pytest.approx(fahrenheit)
    assert pytest.approx(3785.411784 / 128, rel=1e-12) == ML_PER_FL_OZ


@pytest.mark.parametrize(
    ("text", "celsius"),
    [
        ("18", 18.0),
        ("18C", 18.0),
        (" 18 °c ", 18.0),
        ("18°", 18.0),
        ("64.4F", 18.0),
        ("64,4 °F", 18.0),
        ("291.15K", 18.0),
        ("-5", -5.0),
        ("+7.5", 7.5),
        (".5", 0.5),
    ],
)
def test_temperature(text: str, celsius: float) -> None:
    assert parse_temperature(text) == pytest.approx(celsius)


def test_temperature_without_a_unit_takes_the_makers() -> None:
    assert parse_temperature("50", unit="F") == pytest.approx(10.0)
    assert parse_temperature("10C", unit="F") == pytest.approx(10.0)


@pytest.mark.parametrize(("text", "pct"), [("55", 55), ("55%", 55), ("55 % RH", 55), ("55,5%rh", 55.5), ("0", 0)])
def test_humidity(text: str, pct: float) -> None:
    assert parse_humidity(text) == pytest.approx(pct)


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("300", 300),
        ("300 mm", 300),
        ("30cm", 300),
        ("0.3 m", 300),
        ("0,3m", 300),
        ("12in", 304.8),
        ('3/4"', 19.05),
        ("11 3/4in", 298.45),
        ("11-3/4 in", 298.45),
        ("3/4″", 19.05),
        (".75IN", 19.05),
    ],
)
def test_length(text: str, mm: float) -> None:
    assert parse_length(text) == pytest.approx(mm)


@pytest.mark.parametrize(
    ("text", "size"),
    [
        ("300x200x18", (300, 200, 18, False)),
        ("300 × 200 × 18 mm", (300, 200, 18, False)),
        ("12 x 8 x 3/4in", (304.8, 203.2, 19.05, False)),
        ("12in x 8 x 3/4", (304.8, 203.2, 19.05, False)),
        ('12 x 8" x 3/4', (304.8, 203.2, 19.05, False)),
        ("12in x 8″ x 3/4", (304.8, 203.2, 19.05, False)),
        ("30cm x 200mm x 18mm", (300.0, 200.0, 18.0, False)),
        ("round 4in x 3/8", (101.6, 101.6, 9.525, True)),
        ("30cm x 20cm x 18mm", (300, 200, 18, False)),
        ('12 X 8 1/2 X 3/4"', (304.8, 215.9, 19.05, False)),
        ("round 100x9", (100, 100, 9, True)),
        ("Ø 10 x 0.9 cm", (100, 100, 9, True)),
    ],
)
def test_size(text: str, size: tuple[float, float, float, bool]) -> None:
    found = parse_size(text)
    assert found[:3] == pytest.approx(size[:3])
    assert found[3] is size[3]


def test_size_in_the_makers_unit() -> None:
    assert parse_size("12x8x3/4", unit="in")[:3] == pytest.approx((304.8, 203.2, 19.05))


@pytest.mark.parametrize(
    ("text", "ml"),
    [
        ("120", 120),
        ("120 mL", 120),
        ("1 L", 1000),
        ("2.5cl", 25),
        ("4floz", 118.294),
        ("4 fl. oz.", 118.294),
        ("4oz", 118.294),
        ("1qt", 946.353),
        ("1 gal", 3785.412),
    ],
)
def test_volume(text: str, ml: float) -> None:
    assert parse_volume(text) == pytest.approx(ml, rel=1e-5)


@pytest.mark.parametrize(
    ("text", "hours"),
    [("8", 8), ("8h", 8), ("20min", 1 / 3), ("20 m", 1 / 3), ("3d", 72), ("1.5 hr", 1.5), ("2w", 336)],
)
def test_hours(text: str, hours: float) -> None:
    assert parse_hours(text) == pytest.approx(hours)


def test_units_left_out_take_the_one_offered() -> None:
    assert parse_volume("4", unit="floz") == pytest.approx(118.294, rel=1e-5)
    assert parse_hours("20", unit="min") == pytest.approx(1 / 3)
    assert parse_length("3/4", unit="in") == pytest.approx(19.05)


PARSERS = {
    "temperature": parse_temperature,
    "humidity": parse_humidity,
    "length": parse_length,
    "size": parse_size,
    "amount": parse_volume,
    "time": parse_hours,
}
HUGE = "9" * 400
EMPTY = ["", " ", "\t"]
NOT_NUMBERS = ["nan", "NaN", "inf", "-inf", "1e3", "0x10", "²", "12..5", "--3", "1 2 3", "x", "axbxc", "five", "12;5"]
HUGE_ONES = [HUGE, f"1/{HUGE}", f"{HUGE}/1", f"{'9' * 6000}/7", f"{HUGE} 1/2"]
ZEROED = ["1/0in", "3 1/0"]
HOSTILE = ["\x1b[31m5", "5[b]", "=5", "5\n6"]


@pytest.mark.parametrize("text", EMPTY + NOT_NUMBERS + HUGE_ONES + ZEROED + HOSTILE)
@pytest.mark.parametrize("field", PARSERS)
def test_nonsense_is_refused_in_one_line(field: str, text: str) -> None:
    with pytest.raises(BadInput) as refused:
        PARSERS[field](text)
    assert refused.value.field.startswith(field)
    assert refused.value.expected
    line = str(refused.value)
    assert "\n" not in line
    assert "\x1b" not in line


@pytest.mark.parametrize(
    ("field", "text"),
    [
        ("temperature", "-40.1"),
        ("temperature", "60.1C"),
        ("temperature", "141F"),
        ("humidity", "-1"),
        ("humidity", "100.1"),
        ("length", "0"),
        ("length", "0.4"),
        ("length", "3001"),
        ("length", "-5"),
        ("size", "300x200"),
        ("size", "30cm x 8in x 18"),
        ("size", "round 300x200x18"),
        ("size", "300x200x18x2"),
        ("size", "300x0x18"),
        ("amount", "0"),
        ("amount", "-5"),
        ("amount", "101L"),
        ("amount", "5 pints"),
        ("time", "0h"),
        ("time", "-2h"),
        ("time", "367d"),
        ("time", "3 fortnights"),
    ],
)
def test_out_of_range_is_refused(field: str, text: str) -> None:
    with pytest.raises(BadInput):
        PARSERS[field](text)


@pytest.mark.parametrize("text", ["1,200", "1,200 mm", "12,000", "-3,000"])
def test_a_comma_before_three_digits_is_not_guessed_at(text: str) -> None:
    """1,200 is twelve hundred to some and one and a fifth to others; either way a thousandfold."""
    for parse in (parse_length, parse_volume, parse_hours, parse_temperature, parse_humidity):
        with pytest.raises(BadInput):
            parse(text)


def test_a_decimal_comma_is_read() -> None:
    assert parse_length("12,5cm") == pytest.approx(125)
    assert parse_volume("0,125 L") == pytest.approx(125)


@given(st.text(max_size=30), st.sampled_from(list(PARSERS)))
def test_any_text_is_read_or_refused(text: str, field: str) -> None:
    try:
        found = PARSERS[field](text)
    except BadInput:
        return
    values = found[:3] if isinstance(found, tuple) else (found,)
    assert all(math.isfinite(v) for v in values)


@given(st.text(alphabet='0123456789.,/ -+xCFKminclodhqtgarz%"°', max_size=16), st.sampled_from(list(PARSERS)))
def test_text_that_looks_the_part_is_read_or_refused(text: str, field: str) -> None:
    test_any_text_is_read_or_refused.hypothesis.inner_test(text, field)  # type: ignore[attr-defined]


@given(st.integers(0, 100), st.integers(0, 63), st.sampled_from([2, 4, 8, 16, 32, 64]))
def test_fractions_of_an_inch_are_exact(whole: int, top: int, bottom: int) -> None:
    exact = float((whole + Fraction(top, bottom)) * Fraction(254, 10))
    if 0.5 <= exact <= 3000:
        assert parse_length(f"{whole} {top}/{bottom}in") == pytest.approx(exact, rel=1e-12)
