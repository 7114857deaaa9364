"""The library page: finishes, schedules and woods, the maker's own among them."""

from __future__ import annotations

from finishing.screens.pages.library.page import LibraryPage

__all__ = ["LibraryPage"]
