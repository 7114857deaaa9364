"""One reading as a message, such as a sensor sends: a JSON object."""

from __future__ import annotations

import json
import math
from dataclasses import dataclass

import pendulum

from finishing.errors import BadInput

EXPECTED = 'an object such as {"temperature_c": 20.4, "humidity_pct": 51, "at": "2026-11-29T19:40:00Z"}'

LONGEST = 4096
"""Bytes; no reading is longer."""

WARMTH = (-60.0, 100.0)
"""°C that a shop's sensor may mean."""


@dataclass(frozen=True, slots=True)
class Message:
    """second: since 1970 UTC. temperature_c; humidity_pct: NaN where none was sent."""

    second: int
    temperature_c: float
    humidity_pct: float


def read_message(body: bytes, now_second: float) -> Message:
    """A reading from a message; without a time of its own it was read now. BadInput for anything else.

    >>> read_message(b'{"temperature_c": 20.5, "humidity_pct": 50, "at": "1970-01-01T00:01:00Z"}', 0.0)
    Message(second=60, temperature_c=20.5, humidity_pct=50.0)
    """
    shown = body[:60].decode("utf-8", "replace")
    if len(body) > LONGEST:
        raise BadInput("message", f"{len(body):,} bytes", EXPECTED)
    try:
        found = json.loads(body)
    except (ValueError, RecursionError) as error:
        raise BadInput("message", shown, EXPECTED) from error
    if not isinstance(found, dict):
        raise BadInput("message", shown, EXPECTED)
    temperature = _number(found, "temperature_c", shown, *WARMTH)
    humidity = math.nan if found.get("humidity_pct") is None else _number(found, "humidity_pct", shown, 0.0, 100.0)
    return Message(_second(found.get("at"), now_second), temperature, humidity)


def _number(found: dict[str, object], key: str, shown: str, least: float, most: float) -> float:
    value = found.get(key)
    if isinstance(value, bool) or not isinstance(value, int | float) or not least <= value <= most:
        raise BadInput(key, shown if value is None else value, f"a number from {least:g} to {most:g} in {EXPECTED}")
    return float(value)


def _second(at: object, now_second: float) -> int:
    if at is None:
        return int(now_second)
    try:
        moment = pendulum.parse(at) if isinstance(at, str) else None
    except ValueError:
        moment = None
    if not isinstance(moment, pendulum.DateTime) or not 0 <= moment.timestamp() <= now_second + 86_400:
        raise BadInput("at", at, "an ISO 8601 time with its offset, no more than a day ahead")
    return int(moment.timestamp())
