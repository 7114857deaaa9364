"""The plan page: every remaining step in the hours there are hands, by day."""

from __future__ import annotations

from finishing.screens.pages.plan.page import PlanPage

__all__ = ["PlanPage"]
