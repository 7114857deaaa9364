"""The settings page."""

from finishing.screens.pages.settings.page import SettingsPage

__all__ = ["SettingsPage"]
