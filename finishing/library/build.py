"""Plain tables into the core's values, with every fault as one line."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any, TypeVar

from finishing.errors import BadInput
from finishing.library.files import label, read_text
from finishing.library.kinds import Item
from finishing.library.problems import bad_file, bad_value
from finishing.library.rules import obey
from finishing.library.toml import parse

T = TypeVar("T", bound=Item)


def build(cls: type[T], tables: Mapping[str, Any], where: str) -> T:
    """One value from its tables. BadFile naming `where`, the key, the value and what was expected."""
    from pydantic import ValidationError

    from finishing.library.adapters import adapter

    try:
        # As JSON, so that lists and words become tuples and enums while numbers and text stay strict.
        item = adapter(cls).validate_json(json.dumps(tables))
    except ValidationError as error:
        raise bad_file(error, cls, where) from error
    try:
        obey(item)
    except BadInput as problem:
        raise bad_value(where, (), problem) from problem
    return item


def read_item(cls: type[T], path: Path) -> T:
    """One value from its TOML file."""
    where = label(path)
    return build(cls, parse(read_text(path), where), where)
