"""Two more palettes, for eyes and terminals that need them, and how a palette is put on."""

from __future__ import annotations

from typing import Any

from textual.app import App
from textual.theme import Theme

from finishing.screens.palette import THEMES

HIGH_CONTRAST = Theme(
    name="high-contrast",
    primary="#ffd84d",
    secondary="#8fe6ff",
    accent="#ffee99",
    foreground="#ffffff",
    background="#000000",
    surface="#000000",
    panel="#101010",
    success="#8dff8d",
    warning="#ffbf40",
    error="#ff9c8f",
    dark=True,
    variables={
        "night": "#24242c",
        "text-muted": "#e0e0e0",
        "text-disabled": "#c8c8c8",
        "input-selection-background": "#00307a",
        "footer-key-foreground": "#ffd84d",
        "footer-description-foreground": "#ffffff",
        "block-cursor-background": "#00204f",
        "block-cursor-foreground": "#ffffff",
        "border": "#ffffff",
        "border-blurred": "#b0b0b0",
    },
)
"""White and a few light colours on black: text at 7:1 or more (WCAG 2.2, success criterion 1.4.6)."""

NO_COLOUR = Theme(
    name="no-colour",
    primary="#ffffff",
    secondary="#cfcfcf",
    accent="#f0f0f0",
    foreground="#e4e4e4",
    background="#121212",
    surface="#1a1a1a",
    panel="#262626",
    success="#e4e4e4",
    warning="#ffffff",
    error="#ffffff",
    dark=True,
    variables={
        "night": "#000000",
        "text-muted": "#b8b8b8",
        "text-disabled": "#cccccc",
        "footer-key-foreground": "#ffffff",
        "block-cursor-background": "#4a4a4a",
        "block-cursor-foreground": "#ffffff",
        "border": "#9a9a9a",
        "border-blurred": "#5c5c5c",
        "input-cursor-background": "#ffffff",
        "input-selection-background": "#565656",
        "screen-selection-background": "#6a6a6a",
    },
)
"""Greys alone. Where the terminal's own two colours are wanted, the variable NO_COLOR does that."""

ALL_THEMES = (*THEMES, HIGH_CONTRAST, NO_COLOUR)


def wear(app: App[Any], name: str) -> None:
    """Put a palette on by the name the settings hold; a name this version doesn't know leaves things as they are."""
    for theme in ALL_THEMES:
        app.register_theme(theme)
    if any(theme.name == name for theme in ALL_THEMES):
        app.theme = name
