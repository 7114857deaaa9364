"""The frozen copy a batch keeps of the schedule, finishes and woods it began with, as one canonical text."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, ClassVar

from finishing.cure.finish import Finish
from finishing.cure.schedule import Schedule
from finishing.cure.species import ClassTable, Species
from finishing.library.problems import bad_file


@dataclass(frozen=True, slots=True)
class Frozen:
    """What a batch began with."""

    __pydantic_config__: ClassVar[dict[str, Any]] = {"extra": "forbid", "strict": True}

    schedule: Schedule
    finishes: dict[str, Finish]
    woods: tuple[Species, ...]
    classes: ClassTable


def freeze(schedule: Schedule, finishes: Mapping[str, Finish], woods: Iterable[Species], classes: ClassTable) -> str:
    """Canonical JSON: equal things give equal text. Defaults are written out, so that a later one changes nothing."""
    from finishing.library.adapters import adapter

    whole = adapter(Frozen)
    # Once through the validator, so that 16 and 16.0 come out alike.
    normal = whole.validate_json(whole.dump_json(Frozen(schedule, dict(finishes), tuple(woods), classes)))
    plain = whole.dump_python(normal, mode="json")
    return json.dumps(plain, sort_keys=True, separators=(",", ":"), ensure_ascii=False)


def thaw(text: str) -> Frozen:
    """What was frozen. BadFile when the text isn't such a copy."""
    from pydantic import ValidationError

    from finishing.library.adapters import adapter

    try:
        return adapter(Frozen).validate_json(text)
    except ValidationError as error:
        raise bad_file(error, Frozen, "frozen copy") from error


def key(text: str) -> str:
    """The frozen text's name: its SHA-256, in hexadecimal."""
    return hashlib.sha256(text.encode("utf-8")).hexdigest()
