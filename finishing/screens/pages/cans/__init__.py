"""The cans page: what is on the shelf against what the open batches still need."""

from __future__ import annotations

from finishing.screens.pages.cans.page import CansPage

__all__ = ["CansPage"]
