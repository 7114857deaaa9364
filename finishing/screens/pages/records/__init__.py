"""The records page: a month's report, tracing, and everything that goes out on paper or as a file."""

from finishing.screens.pages.records.page import RecordsPage

__all__ = ["RecordsPage"]
