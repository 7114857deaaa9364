"""The climate page: the air of each place, as read and as expected."""

from finishing.screens.pages.climate.page import ClimatePage

__all__ = ["ClimatePage"]
