"""Option types: what people type, turned into what the core takes. A bad value is one line naming the option."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import click

from finishing.errors import BadInput
from finishing.units import parse_humidity, parse_length, parse_temperature, parse_volume


def parsed(parser: Callable[[str, str], Any]) -> Callable[[click.Context, click.Parameter, str | None], Any]:
    """A click callback that parses an option's text, the option named as the field."""

    def callback(ctx: click.Context, param: click.Parameter, value: str | None) -> Any:
        return None if value is None else parser(value, f"--{(param.name or '').replace('_', '-')}")

    return callback


temperature = parsed(parse_temperature)
humidity = parsed(parse_humidity)
volume = parsed(parse_volume)
length = parsed(parse_length)


def _area(text: str, field: str) -> float:
    body = text.strip().lower().removesuffix("m²").removesuffix("m2").strip()
    try:
        value = float(body)
    except ValueError:
        value = -1.0
    if not 0.0 < value <= 10_000.0:
        raise BadInput(field, text, "an area above 0 and up to 10,000 m²")
    return value


area = parsed(_area)


def _level(text: str, field: str) -> float:
    try:
        value = float(text.strip().removesuffix("%"))
    except ValueError:
        value = 0.0
    if not 1.0 <= value <= 99.0:
        raise BadInput(field, text, "a level of certainty from 1 to 99 %")
    return value / 100.0


level = parsed(_level)
