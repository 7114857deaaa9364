"""The learning page: what touch tests taught of each finish."""

from __future__ import annotations

from finishing.screens.pages.learning.page import LearningPage

__all__ = ["LearningPage"]
