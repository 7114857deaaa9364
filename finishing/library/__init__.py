"""The library: finishes, woods and finishing schedules, shipped and the maker's own, read from files people edit."""

from __future__ import annotations

from finishing.library.frozen import Frozen, freeze, key, thaw
from finishing.library.kinds import Kind
from finishing.library.library import Library
from finishing.library.write import add_own, save_own, to_toml

__all__ = ["Frozen", "Kind", "Library", "add_own", "freeze", "key", "save_own", "thaw", "to_toml"]
