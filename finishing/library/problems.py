"""Turning what a validator found into one line for the maker: file, key, value, what was expected."""

from __future__ import annotations

import re
import types
import typing
from collections.abc import Sequence
from dataclasses import fields, is_dataclass
from typing import TYPE_CHECKING, Any

from finishing.errors import BadFile, BadInput, nearest

if TYPE_CHECKING:
    from pydantic_core import ErrorDetails, ValidationError

_EXPECTED = {
    "string_type": "text",
    "int_type": "a whole number",
    "int_from_float": "a whole number",
    "float_type": "a number",
    "bool_type": "true or false",
    "tuple_type": "a list",
    "list_type": "a list",
    "dict_type": "a table",
    "dataclass_type": "a table",
}


def shown(value: object) -> str:
    """A value as a message shows it: escaped, and cut when long. Big numbers are not spelt out."""
    if isinstance(value, int) and value.bit_length() > 200:
        return "a number of over 60 digits"
    if isinstance(value, dict | list):
        return "a table" if isinstance(value, dict) else "a list"
    text = repr(value)
    return text if len(text) <= 60 else f"{text[:57]}..."


def key_path(parts: Sequence[str | int]) -> str:
    """A key as TOML users write it; a step also by its number: steps[3].grit (step 4)."""
    path = ""
    for part in parts:
        if isinstance(part, int):
            path += f"[{part}]"
        else:
            plain = part if re.fullmatch(r"[A-Za-z0-9_-]{1,40}", part) else shown(part)
            path += f".{plain}" if path else plain
    if len(parts) > 1 and parts[0] == "steps" and isinstance(parts[1], int):
        path += f" (step {parts[1] + 1})"
    return path


def at(where: str, path: str) -> str:
    """A file and, if there is one, the key in it."""
    return f"{where}, {path}" if path else where


def bad_value(where: str, parts: Sequence[str | int], problem: BadInput) -> BadFile:
    """A value the core refused, as a fault of its file."""
    return BadFile(
        at(where, key_path([*parts, *problem.field.split(".")])),
        f"got {shown(problem.value)}, expected {problem.expected}",
        problem.hint,
    )


def bad_file(error: ValidationError, cls: type, where: str) -> BadFile:
    """The first of a validator's findings, and how many more there are."""
    found = error.errors(include_url=False)
    # A value of the wrong type in a table hides its cross-checks; unknown keys explain missing ones, so they lead.
    first = min(found, key=lambda e: _RANK.get(e["type"], 1))
    loc = tuple(part for part in first["loc"] if part != "[key]")
    path, problem, hint = _worded(first, cls, loc)
    if len(found) > 1:
        problem += f" (and {len(found) - 1} more)"
    return BadFile(at(where, path), problem, hint)


_RANK = {"unexpected_keyword_argument": 0, "missing": 2}


def _worded(error: ErrorDetails, cls: type, loc: tuple[str | int, ...]) -> tuple[str, str, str]:
    kind, context = error["type"], error.get("ctx", {})
    if kind == "unexpected_keyword_argument":
        known = [f.name for f in fields(_class_at(cls, loc[:-1]))]
        near = nearest(str(loc[-1]), known)
        hint = f"nearest: {', '.join(near)}" if near else f"known: {', '.join(known)}"
        return key_path(loc), "is no key of this table", hint
    if kind == "missing":
        return key_path(loc), "is missing", ""
    if kind == "json_invalid":
        return "", "is damaged: it is not JSON", ""
    if kind == "bad_value":
        inner = _class_at(cls, loc)
        own = context["field"] in {f.name for f in fields(inner)}
        path = key_path((*loc, context["field"]) if own else loc)
        said = "" if own else f"{context['field']}: "
        return path, f"{said}got {shown(context['value'])}, expected {context['expected']}", ""
    expected = context.get("expected") or _EXPECTED.get(kind) or error["msg"]
    return key_path(loc), f"got {shown(error['input'])}, expected {expected}", ""


def _class_at(cls: type, loc: Sequence[str | int]) -> Any:
    """The dataclass whose fields stand at a place."""
    here: Any = cls
    for part in loc:
        if is_dataclass(here) and isinstance(here, type):
            here = typing.get_type_hints(here)[str(part)]
        else:
            here = typing.get_args(here)[1 if typing.get_origin(here) is dict else 0]
        if isinstance(here, types.UnionType):
            here = typing.get_args(here)[0]
    return here
