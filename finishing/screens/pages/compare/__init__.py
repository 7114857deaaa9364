"""The compare page: the same pieces under every schedule, side by side."""

from __future__ import annotations

from finishing.screens.pages.compare.page import ComparePage

__all__ = ["ComparePage"]
