"""Validators of the core's values. Importing this module imports pydantic; only `build` and `frozen` do, when used.

The core does not know pydantic, so its classes are prepared from here: unknown keys are refused, types are taken
strictly, and a BadInput raised by a class's own checks keeps the key it stands under.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

from pydantic import ConfigDict, GetCoreSchemaHandler, TypeAdapter
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from finishing.cure.finish import (
    Atmosphere,
    Care,
    ClockLaw,
    Film,
    Finish,
    Limits,
    RecoatLimit,
    StageTime,
    WipeWindow,
)
from finishing.cure.schedule import Schedule, Step
from finishing.cure.species import ClassFigures, ClassTable, Species
from finishing.errors import BadInput

T = TypeVar("T")

STRICT = ConfigDict(extra="forbid", strict=True)

CHECKED: tuple[Any, ...] = (
    Atmosphere,
    ClockLaw,
    StageTime,
    RecoatLimit,
    Film,
    WipeWindow,
    Limits,
    Finish,
    Step,
    Schedule,
    Species,
    ClassTable,
)
"""Classes with checks of their own (`__post_init__`)."""

PLAIN: tuple[Any, ...] = (Care, ClassFigures)


def _own_checks(value: Any) -> Any:
    try:
        value.__post_init__()
    except BadInput as problem:
        context = {"field": problem.field, "value": problem.value, "expected": problem.expected}
        raise PydanticCustomError("bad_value", "{field}: expected {expected}", context) from problem
    return value


def _schema_with_checks(_cls: type, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
    """A dataclass's schema whose own checks run last and report where they failed."""
    schema = handler(source)
    inner: dict[str, Any] = handler.resolve_ref_schema(schema)  # type: ignore[assignment]
    inner["post_init"] = False
    return core_schema.no_info_after_validator_function(_own_checks, schema)


def _prepare() -> None:
    hook: Callable[..., CoreSchema] = _schema_with_checks
    for cls in (*CHECKED, *PLAIN):
        cls.__pydantic_config__ = STRICT
    for cls in CHECKED:
        cls.__get_pydantic_core_schema__ = classmethod(hook)


_prepare()


_made: dict[type, TypeAdapter[Any]] = {}


def adapter(cls: type[T]) -> TypeAdapter[T]:
    """The validator of one class, made once."""
    if cls not in _made:
        _made[cls] = TypeAdapter(cls)
    return _made[cls]
