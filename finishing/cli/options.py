"""Option types: what people type, turned into what the core takes. A bad value is one line naming the option."""

from __future__ import annotations

import errno
import os
from collections.abc import Callable
from enum import StrEnum
from pathlib import Path
from typing import Any

import click

from finishing.errors import BadInput
from finishing.units import parse_humidity, parse_length, parse_temperature, parse_volume

Callback = Callable[[click.Context, click.Parameter, str | None], Any]

MOST_NUMBER = 2**31 - 1
"""No entry or can has a number above this; larger ones would not fit the database."""


class Whole(click.IntRange):
    """A whole number between two. BadInput, as of everything else, for any other."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """The number."""
        try:
            return super().convert(value, param, ctx)
        except click.BadParameter:
            expected = f"a whole number from {self.min:,} to {self.max:,}"
            raise BadInput("number" if param is None else field_of(param), value, expected) from None


class Number(click.FloatRange):
    """A number between two. BadInput for any other."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """The number."""
        try:
            return super().convert(value, param, ctx)
        except click.BadParameter:
            expected = f"a number from {self.min:,g} to {self.max:,g}"
            raise BadInput("number" if param is None else field_of(param), value, expected) from None


class OneOf(click.Choice[str]):
    """One word of a closed set. BadInput for any other."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """The word."""
        try:
            return super().convert(value, param, ctx)
        except click.BadParameter:
            expected = f"one of {', '.join(self.choices)}"
            raise BadInput("word" if param is None else field_of(param), value, expected) from None


NUMBER = Whole(1, MOST_NUMBER)


class FilePath(click.Path):
    """A file or folder, there or not. BadInput for a name that nothing on this system can have."""

    def __init__(self) -> None:
        super().__init__(path_type=Path)

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """The path."""
        try:
            path = super().convert(value, param, ctx)
            os.stat(path)
        except UnicodeEncodeError as error:
            raise self._none(value, param, "it has a character of no alphabet") from error
        except OSError as error:
            if error.errno in (errno.ENAMETOOLONG, errno.ELOOP):
                raise self._none(value, param, str(error.strerror)) from error
        return path

    def _none(self, value: Any, param: click.Parameter | None, why: str) -> BadInput:
        field = "file" if param is None else field_of(param)
        return BadInput(field, f"{os.fspath(value)[:40]}…", f"a file that can be: {why}")


FILE = FilePath()


def parsed(parser: Callable[[str, str], Any]) -> Callback:
    """A click callback that parses an option's or argument's text, named as the field."""

    def callback(ctx: click.Context, param: click.Parameter, value: str | None) -> Any:
        return None if value is None else parser(value, field_of(param))

    return callback


def field_of(param: click.Parameter) -> str:
    """What a message calls an option or argument."""
    if isinstance(param, click.Option):
        return max(param.opts, key=len)
    return (param.name or "").replace("_", "-")


def _temperature(ctx: click.Context, param: click.Parameter, value: str | None) -> float | None:
    if value is not None and value.strip().upper().endswith("F"):
        ctx.meta[TYPED_UNITS] = "imperial"
    return None if value is None else parse_temperature(value, field_of(param))


temperature: Callback = _temperature

TYPED_UNITS = "finishing.typed_units"


def typed_units() -> str:
    """The units to answer in, for commands that know no shop: those that a temperature was typed in."""
    return str(click.get_current_context().meta.get(TYPED_UNITS, "metric"))


humidity = parsed(parse_humidity)
volume = parsed(parse_volume)
length = parsed(parse_length)


def one_of(words: type[StrEnum], *leave_out: StrEnum) -> Callback:
    """A callback that takes one word of a closed set; spaces and hyphens count as underscores."""
    known = [word for word in words if word not in leave_out]

    def parse(text: str, field: str) -> StrEnum:
        body = text.strip().lower().replace(" ", "_").replace("-", "_")
        for word in known:
            if body == word.value:
                return word
        raise BadInput(field, text, f"one of {', '.join(word.value for word in known)}")

    return parsed(parse)


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


as_json = click.option("--json", "as_json", is_flag=True, help="print JSON")
at = click.option("--at", "at", metavar="TIME", help="when it was done: 18:30, \"yesterday 18:30\", 2026-03-14 18:30, "
                  "or with an offset, 02:30+01:00; just now without it")  # fmt: skip
note = click.option("--note", default="", help="a note kept beside it")
