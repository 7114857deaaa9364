"""What the words over a column say: what it measures, in which unit, and how near it is to the air of the room.

Word lists are common practice, no source: English and the nearest European languages, and a few others.
"""

from __future__ import annotations

import re
import unicodedata

from finishing.exchange.readings.times import offset_seconds

_TEMPERATURE_STEMS = ("temp", "lampotila", "lampo", "температур", "温度", "気温", "气温", "室温")
_NOT_TEMPERATURE = frozenset({"tempo", "temps", "attempt", "template", "temporary", "attempts"})
_HUMIDITY_STEMS = (
    "humid", "humed", "umidit", "feucht", "vocht", "fukt", "fugt", "kosteus", "wilgot", "vlhk", "влажн", "湿度",
)  # fmt: skip
_HUMIDITY_TOKENS = frozenset({"rh", "hum", "hr", "rf", "ur"})
_TIME_STEMS = (
    "time", "date", "datum", "fecha", "hora", "heure", "zeit", "tijd", "stamp", "clock", "paiva", "epoch", "unix",
    "logged", "dato", "дата", "время", "日期", "时间", "時刻", "日時",
)  # fmt: skip
_TIME_TOKENS = frozenset({"day", "when", "tid", "ora", "data", "utc", "gmt", "jour", "at"})
_ELAPSED = ("elapsed", "duration", "uptime", "since", "interval", "runtime")

_NEVER_STEMS = (
    "dew", "taupunkt", "rosee", "rocio", "rugiada", "dauwpunt", "daggpunkt", "frost", "wetbulb", "heatindex",
    "humidex", "feels", "apparent", "windchill", "batter", "akku", "alarm", "limit", "sollwert", "setpoint", "target",
    "delta", "offset", "error", "status", "vpd", "absolut", "specific", "mixing", "threshold", "count", "moisture",
)  # fmt: skip
_NEVER_TOKENS = frozenset({
    "min", "max", "minimum", "maximum", "hi", "lo", "high", "low", "std", "stdev", "dev", "set", "diff", "cpu",
    "board", "chip", "mcu", "wet", "chill", "rate", "tp", "td", "bat",
})  # fmt: skip
_FARTHER_STEMS = ("probe", "surface", "extern", "outdoor", "outside", "soil", "sonde", "fuhler", "aussen", "exteri")
_FARTHER_TOKENS = frozenset({"ext", "out", "water", "wood", "panel", "wall", "glass", "object", "oven", "plate"})
_NEARER_STEMS = ("ambient", "ambiant", "indoor", "inside", "raum", "workshop", "interi", "intern", "innen", "lufttemp")
_NEARER_TOKENS = frozenset({"air", "room", "shop", "loft", "luft", "bench", "int"})

_UNIT_SURE = re.compile(r"[°º�]\s*([cfk])\b|\bdeg(?:rees?)?[\s._]*([cfk])\b|\b(c)elsius|\b(f)ahrenheit|\b(k)elvin")
_UNIT_LETTER = re.compile(r"(?:[\W_]|^)([cfk])\W*$")
_FRACTION = re.compile(r"\bfraction\b|\bratio\b|\b0(?:\.0)?\s*(?:-|–|to|\.\.)\s*1(?:\.0)?\b")
_ZONE = re.compile(r"\b(?:utc|gmt)\b(?:\s*([+-]\s?\d{1,2}(?::?\d{2})?)(?!\d))?")
_CAMEL = re.compile(r"(?<=[a-z])(?=[A-Z])")


def fold(text: str) -> str:
    """The text without case, accents and odd degree signs, camel case parted, for comparing."""
    text = _CAMEL.sub(" ", text.replace("º", "°"))
    text = unicodedata.normalize("NFKD", text).casefold()
    return "".join(c for c in text if not unicodedata.combining(c))


def _tokens(text: str) -> list[str]:
    return re.findall(r"[^\W\d_]+", fold(text))


def _has(tokens: list[str], stems: tuple[str, ...], exact: frozenset[str] = frozenset()) -> bool:
    joined = "".join(tokens)
    return any(t in exact for t in tokens) or any(s in joined for s in stems)


def says_temperature(header: str) -> bool:
    """Whether the header names a temperature of some kind."""
    return any(t not in _NOT_TEMPERATURE and any(s in t for s in _TEMPERATURE_STEMS) for t in _tokens(header))


def says_humidity(header: str) -> bool:
    """Whether the header names a humidity of some kind."""
    tokens = _tokens(header)
    return _has(tokens, _HUMIDITY_STEMS, _HUMIDITY_TOKENS) or bool(re.search(r"\br\W?h\b", fold(header)))


def says_time(header: str) -> bool:
    """Whether the header names a date or a time."""
    return _has(_tokens(header), _TIME_STEMS, _TIME_TOKENS)


def says_elapsed(header: str) -> bool:
    """Whether the header names a length of time rather than an instant."""
    return _has(_tokens(header), _ELAPSED)


def nearness(header: str) -> int:
    """How near to the room's air: 3 named so, 2 plain, 1 a probe or surface, 0 something else (dew point, battery)."""
    tokens = _tokens(header)
    if _has(tokens, _NEVER_STEMS, _NEVER_TOKENS):
        return 0
    if _has(tokens, _FARTHER_STEMS, _FARTHER_TOKENS):
        return 1
    return 3 if _has(tokens, _NEARER_STEMS, _NEARER_TOKENS) else 2


def temperature_unit(header: str) -> str:
    """ "C", "F" or "K" as the header says, "" when it does not. A bare letter counts only at the end."""
    text = fold(header)
    found = _UNIT_SURE.search(text)
    if found is None and (says_temperature(header) or len(text.strip(" ()[]")) == 1):
        found = _UNIT_LETTER.search(text)
    return next((g for g in found.groups() if g), "").upper() if found else ""


def says_percent(header: str) -> bool:
    """Whether the header has a per cent sign or word."""
    text = fold(header)
    return "%" in text or "percent" in text or "pct" in text


def says_fraction(header: str) -> bool:
    """Whether the header says that a share from 0 to 1 is meant."""
    return bool(_FRACTION.search(fold(header)))


def header_offset(header: str) -> int | None:
    """Seconds east of UTC that a time's header states ("Time (UTC)", "Date Time, GMT+01:00"), None if it doesn't."""
    match = _ZONE.search(fold(header).replace("−", "-"))
    if match is None:
        return None
    return offset_seconds((match[1] or "").replace(" ", ""))


def bare_name(header: str) -> str:
    """The header's words without its unit: "Temperature (°F)" and "Temperature (°C)" have the same."""
    text = re.sub(r"\(.*?\)|\[.*?\]", " ", fold(header))
    return " ".join(re.findall(r"[^\W_]+", _UNIT_SURE.sub(" ", text)))


def is_unit(text: str) -> bool:
    """Whether a cell holds nothing but a unit or a date pattern, as in the second line of a two-line header."""
    folded = fold(text).strip(" ()[]")
    return bool(
        re.fullmatch(r"°?\s*[cfk]|deg\.?\s*[cfk]|celsius|fahrenheit|kelvin|%?\s*r\.?\s*[hf]\.?|%|pct|percent", folded)
        or re.fullmatch(r"[dmyhst]+(?:[-/.: ]+[dmyhst]+)+|v|mv|hpa|mbar|kpa|g/m3|lux|ppm|s|ms|utc|local", folded)
        or _FRACTION.fullmatch(folded)
    )


def known(header: str) -> bool:
    """Whether the header has any word of a log in it."""
    return says_temperature(header) or says_humidity(header) or says_time(header) or bool(temperature_unit(header))
