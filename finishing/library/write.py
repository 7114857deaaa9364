"""Writing library files a person can read, and adding them to the maker's own."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from finishing.cure.schedule import Schedule
from finishing.errors import BadInput
from finishing.library.build import build, read_item
from finishing.library.files import label, read_text, write_text
from finishing.library.kinds import Item, Kind, slug
from finishing.library.library import Library, check_finishes
from finishing.library.toml import parse


def to_toml(item: Item) -> str:
    """A finish, schedule or wood as TOML; what is at its default is left out."""
    import tomli_w

    from finishing.library.adapters import adapter

    cls: type[Item] = type(item)
    plain = adapter(cls).dump_python(item, mode="json", exclude_defaults=True, exclude_none=True)
    return tomli_w.dumps(_tidy(plain))


def _tidy(value: Any) -> Any:
    """Whole numbers without a decimal point, as people write them."""
    if isinstance(value, dict):
        return {k: _tidy(v) for k, v in value.items()}
    if isinstance(value, list | tuple):
        return [_tidy(v) for v in value]
    return int(value) if isinstance(value, float) and value.is_integer() else value


def add_own(kind: Kind, source: Path, home: Path, *, replace: bool = False) -> Path:
    """Copy a maker's file, as it is, to where the library at `home` finds it. Returns where it went.

    BadFile when it isn't a sound file of its kind (nothing is copied); BadInput when there is one of that name
    already and `replace` is not set.
    """
    item: Item = read_item(kind.holds, source)
    return _put(item, read_text(source), label(source), home, replace)


def save_own(item: Item, home: Path, *, replace: bool = False) -> Path:
    """Write a finish, schedule or wood as one of the maker's own, checked as a file would be. See `add_own`."""
    text = to_toml(item)
    where = Kind.of(item).value
    build(type(item), parse(text, where), where)
    return _put(item, text, where, home, replace)


def _put(item: Item, text: str, where: str, home: Path, replace: bool) -> Path:
    if isinstance(item, Schedule):
        check_finishes(item, Library(home).finish_names, where)
    kind = Kind.of(item)
    target = home / kind.folder / f"{slug(item.name)}.toml"
    if target.exists() and not replace:
        raise BadInput("name", item.name, f"a name none of your own {kind.folder} has", "replace it, or rename it")
    write_text(target, text)
    return target
