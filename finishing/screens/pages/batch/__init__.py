"""One batch: its coats against the air, its steps, and its whole record."""

from finishing.screens.pages.batch.page import BatchPage

__all__ = ["BatchPage"]
