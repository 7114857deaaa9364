"""Two more palettes, for eyes and terminals that need them, and how a palette is put on."""

from __future__ import annotations

from typing import Any

from textual.app import App
from textual.theme import Theme

from finishing.screens.palette import DAY_SHOP, THEMES

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

DAY_SHOP_OF_16 = Theme(
    name="day-shop-16",
    primary="#800000",
    secondary=DAY_SHOP.secondary,
    accent="#000080",
    foreground=DAY_SHOP.foreground,
    background=DAY_SHOP.background,
    surface=DAY_SHOP.surface,
    panel=DAY_SHOP.panel,
    success=DAY_SHOP.success,
    warning="#800000",
    error="#800000",
    dark=False,
    variables=DAY_SHOP.variables | {"footer-key-foreground": "#000080"},
)
"""The light look where a terminal has 16 colours: all browns would become its yellow, which nobody reads on white."""

ALL_THEMES = (*THEMES, HIGH_CONTRAST, NO_COLOUR)

OF_16 = {DAY_SHOP.name: DAY_SHOP_OF_16}
"""What is worn instead where there are only 16 colours."""


def few_colours(app: App[Any]) -> bool:
    """Whether the terminal has 16 colours or none, so that shades of a ground all look alike."""
    return app.no_color or (not app.is_headless and app.console.color_system in (None, "standard"))


def wear(app: App[Any], name: str) -> None:
    """Put a palette on by the name the settings hold; a name this version doesn't know leaves things as they are."""
    for theme in (*ALL_THEMES, *OF_16.values()):
        app.register_theme(theme)
    if any(theme.name == name for theme in ALL_THEMES):
        instead = OF_16.get(name) if few_colours(app) else None
        app.theme = name if instead is None else instead.name
