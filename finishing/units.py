"""Quantities as people type and read them: °C or °F, millimetres or inches with fractions, millilitres or fl oz.

Inside the program: °C, mm, mL, hours. Every parser raises BadInput naming the field, the value and what it takes.
"""

from __future__ import annotations

import math
import re
from fractions import Fraction

from finishing.errors import BadInput

MM_PER_INCH = 25.4
ML_PER_FL_OZ = 29.5735295625
"""US fluid ounce (exact: 231 in³ / 128)."""
M2_PER_FT2 = 0.09290304

# A decimal comma is read, but not one before just three digits: 1,200 is twelve hundred to some, 1.2 to others.
_PLAIN = r"(?:\d+(?:\.\d+|,(?!\d{3}(?!\d))\d+)?|0,\d+|[.,]\d+)"
_NUMBER = rf"[-+]?{_PLAIN}"
_TEMPERATURE = re.compile(rf"({_NUMBER})\s*°?\s*([CFK]?)", re.IGNORECASE)
_LENGTH = re.compile(rf"(?:(\d{{1,4}})[\s-]+)?(\d{{1,4}})\s*/\s*(\d{{1,4}})|({_PLAIN})")
_UNIT_MM = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": MM_PER_INCH, '"': MM_PER_INCH, "″": MM_PER_INCH}
_UNIT_ML = {
    "ml": 1.0,
    "l": 1000.0,
    "cl": 10.0,
    "floz": ML_PER_FL_OZ,
    "oz": ML_PER_FL_OZ,
    "qt": 946.352946,
    "gal": 3785.411784,
}
_UNIT_HOURS = {"min": 1 / 60, "m": 1 / 60, "h": 1.0, "hr": 1.0, "d": 24.0, "w": 168.0}


def to_celsius(value: float, unit: str) -> float:
    """°C from a value in "C", "F" or "K"."""
    return {"C": value, "F": (value - 32.0) / 1.8, "K": value - 273.15}[unit.upper()]


def to_fahrenheit(celsius: float) -> float:
    """°F."""
    return celsius * 1.8 + 32.0


def _number(text: str) -> float:
    return float(text.replace(",", "."))


def parse_temperature(text: str, field: str = "temperature", *, unit: str = "C") -> float:
    """°C from "18", "18C", "64 °F". Without a unit, `unit`. BadInput outside -40..60 °C."""
    match = _TEMPERATURE.fullmatch(text.strip())
    expected = "a temperature from -40 to 60 °C, such as 18, 18C or 64F"
    if match is None:
        raise BadInput(field, text, expected)
    celsius = to_celsius(_number(match[1]), match[2] or unit)
    if not -40.0 <= celsius <= 60.0:
        raise BadInput(field, text, expected)
    return celsius


def parse_humidity(text: str, field: str = "humidity") -> float:
    """% RH from "55" or "55%". BadInput outside 0..100."""
    match = re.fullmatch(rf"({_NUMBER})\s*%?(?:\s*RH)?", text.strip(), re.IGNORECASE)
    value = math.nan if match is None else _number(match[1])
    if not 0.0 <= value <= 100.0:
        raise BadInput(field, text, "a relative humidity from 0 to 100 %, such as 55")
    return value


def parse_length(text: str, field: str = "length", *, unit: str = "mm") -> float:
    """Millimetres from "300", "30cm", "11 3/4in", '3/4"'. Without a unit, `unit`."""
    stripped = text.strip().lower()
    name = next((u for u in sorted(_UNIT_MM, key=len, reverse=True) if stripped.endswith(u)), "")
    body = stripped[: len(stripped) - len(name)].strip() if name else stripped
    match = _LENGTH.fullmatch(body)
    expected = "a length from 0.5 to 3,000 mm, such as 300, 30cm, 11 3/4in"
    if match is None or (match[3] is not None and int(match[3]) == 0):
        raise BadInput(field, text, expected)
    value = _number(match[4]) if match[4] else float(int(match[1] or 0) + Fraction(int(match[2]), int(match[3])))
    mm = value * _UNIT_MM[name or unit]
    if not 0.5 <= mm <= 3000.0:
        raise BadInput(field, text, expected)
    return mm


def parse_size(text: str, *, unit: str = "mm") -> tuple[float, float, float, bool]:
    """Length, width, thickness [mm] and whether it is round, from "300x200x18", "12 x 8 x 3/4in", "round 100x9".

    A unit at the end, or else the only one written, holds for every part that has none of its own.
    """
    body = text.strip().lower().replace("×", "x").replace("ø", "round ")
    is_round = body.startswith("round")
    parts = [p.strip() for p in body.removeprefix("round").split("x")]
    if len(parts) != (2 if is_round else 3):
        raise BadInput("size", text, "length x width x thickness, such as 300x200x18 or 12x8x3/4in, or round 100x9")
    last = _shared_unit(text, parts, unit)
    names = ("diameter", "thickness") if is_round else ("length", "width", "thickness")
    values = [parse_length(p, f"size ({n})", unit=last) for p, n in zip(parts, names, strict=True)]
    return (values[0], values[0], values[1], True) if is_round else (values[0], values[1], values[2], False)


def _shared_unit(text: str, parts: list[str], unit: str) -> str:
    """The unit of parts that have none: the last part's, else the only one there is, else the maker's."""
    written = [next((u for u in sorted(_UNIT_MM, key=len, reverse=True) if p.endswith(u)), "") for p in parts]
    if written[-1]:
        return written[-1]
    several = {_UNIT_MM[u]: u for u in written if u}
    if len(several) > 1:
        raise BadInput("size", text, "a unit on each part, or one at the end, such as 12x8x3/4in")
    return next(iter(several.values()), unit)


def _parse_unit(text: str, field: str, units: dict[str, float], unit: str, high: float, expected: str) -> float:
    match = re.fullmatch(rf"({_NUMBER})\s*([a-z .]*)", text.strip().lower())
    name = "" if match is None else match[2].replace(" ", "").replace(".", "") or unit
    if match is None or name not in units:
        raise BadInput(field, text, expected)
    value = _number(match[1]) * units[name]
    if not 0.0 < value <= high:
        raise BadInput(field, text, expected)
    return value


def parse_volume(text: str, field: str = "amount", *, unit: str = "ml") -> float:
    """Millilitres from "120", "120 mL", "1 L", "4 fl oz"."""
    expected = "an amount above 0 and up to 100 L, such as 120, 120mL or 4floz"
    return _parse_unit(text, field, _UNIT_ML, unit, 100_000.0, expected)


def parse_hours(text: str, field: str = "time", *, unit: str = "h") -> float:
    """Hours from "8", "8h", "20min", "3d"."""
    return _parse_unit(
        text, field, _UNIT_HOURS, unit, 24 * 366.0, "a time above 0 and up to a year, such as 20min, 8h or 3d"
    )


def show_temperature(celsius: float, system: str, digits: int = 0) -> str:
    """A temperature in the maker's units ("metric" or "imperial"), to the whole degree or so many digits at most."""
    value, unit = (to_fahrenheit(celsius), "°F") if system == "imperial" else (celsius, "°C")
    return f"{_trimmed(value, digits)} {unit}"


def show_warmer(kelvin: float, system: str, digits: int = 0) -> str:
    """A difference of temperatures in the maker's units."""
    value, unit = (kelvin * 1.8, "°F") if system == "imperial" else (kelvin, "°C")
    return f"{_trimmed(value, digits)} {unit}"


def show_between(low_c: float, high_c: float, system: str) -> str:
    """From one temperature to another, in whole degrees: "10 to 21 °C"."""
    low, high = show_temperature(low_c, system), show_temperature(high_c, system)
    return low if low == high else f"{low.split()[0]} to {high}"


def show_area(square_metres: float, system: str) -> str:
    """An area in m² or in square feet."""
    value, unit = (square_metres / M2_PER_FT2, "ft²") if system == "imperial" else (square_metres, "m²")
    return f"{_trimmed(value, 2 if value < 10 else 1)} {unit}"


_SPOKEN = re.compile(r"(-?\d+(?:\.\d+)?) °C( above (?:it|the dew point))?")


def spoken(text: str, system: str) -> str:
    """A sentence of the core, which speaks of °C, in the maker's units."""
    if system != "imperial":
        return text

    def said(match: re.Match[str]) -> str:
        value, digits = float(match[1]), len(match[1].partition(".")[2])
        if match[2]:
            return show_warmer(value, system, digits or 1) + match[2]
        return show_temperature(value, system, digits)

    return _SPOKEN.sub(said, text)


def _trimmed(value: float, digits: int) -> str:
    """Without zeros at its end, nor a minus before what rounds to nought."""
    text = f"{round(value, digits) + 0.0:.{digits}f}"
    return text.rstrip("0").rstrip(".") if digits else text


def counted(number: int, one: str, several: str = "") -> str:
    """So many of something: "1 piece", "2 pieces"; several where it is not its name and an s."""
    return f"{number:,} {one if number == 1 else several or f'{one}s'}"


def show_length(mm: float, system: str) -> str:
    """A length in mm, or in inches to the nearest 1/16."""
    if system != "imperial":
        return f"{mm:.0f} mm" if mm >= 10 else f"{mm:.1f} mm"
    sixteenths = round(mm / MM_PER_INCH * 16)
    whole, part = divmod(sixteenths, 16)
    fraction = f"{Fraction(part, 16)}" if part else ""
    return f"{' '.join(p for p in (str(whole) if whole or not part else '', fraction) if p)} in"


def show_volume(ml: float, system: str) -> str:
    """A volume in mL (litres from 1 L on), or in US fl oz."""
    if system == "imperial":
        return f"{ml / ML_PER_FL_OZ:.1f} fl oz"
    return f"{ml:.0f} mL" if round(ml) < 1000 else f"{ml / 1000:.1f} L"


def show_duration(hours: float) -> str:
    """A length of time in the two largest units that say something: "40 min", "6 h 20", "3 d 4 h"."""
    minutes = round(abs(hours) * 60)
    if minutes < 60:
        return f"{minutes} min"
    if minutes < 48 * 60:
        whole, rest = divmod(minutes, 60)
        return f"{whole} h {rest:02d}" if rest else f"{whole} h"
    days, rest = divmod(round(minutes / 60), 24)
    return f"{days} d {rest} h" if rest and days < 14 else f"{days} d"


def show_work(minutes: float) -> str:
    """Hands' work, in hours however much it is, as no pair of hands works days on end: "40 min", "6 h 20", "75 h"."""
    return f"{minutes / 60:.0f} h" if minutes >= 48 * 60 else show_duration(minutes / 60)
