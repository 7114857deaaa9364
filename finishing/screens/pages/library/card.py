"""The card to fill in, where it stood before."""

from finishing.screens.pages.card import Card, Line

__all__ = ["Card", "Line"]
