"""The colours: one dark, one light. No meaning rests on them; every mark has its own glyph and word."""

from __future__ import annotations

from textual.theme import Theme

NIGHT_SHOP = Theme(
    name="night-shop",
    primary="#d9a05b",
    secondary="#8fa7a0",
    accent="#e3c08a",
    foreground="#e8e0d4",
    background="#1b1815",
    surface="#231f1b",
    panel="#2e2822",
    success="#93b77c",
    warning="#e0b04c",
    error="#d9705a",
    dark=True,
    variables={
        "night": "#15130f",
        "text-muted": "#b9ad9c",
        "text-disabled": "#cbc0b0",
        "input-selection-background": "#6b5230",
        "footer-key-foreground": "#e3c08a",
        "block-cursor-background": "#4a3a28",
        "block-cursor-foreground": "#fff6e6",
        "border": "#7f6c54",
        "border-blurred": "#3d352b",
    },
)

DAY_SHOP = Theme(
    name="day-shop",
    primary="#8a5a1c",
    secondary="#47655c",
    accent="#633f0d",
    foreground="#1e1911",
    background="#f6f1e7",
    surface="#efe7d8",
    panel="#eadfcc",
    success="#41691f",
    warning="#6f4e00",
    error="#a63a24",
    dark=False,
    variables={
        "night": "#e2dccf",
        "text-muted": "#5a4f40",
        "text-disabled": "#43372a",
        "footer-key-foreground": "#633f0d",
        "block-cursor-background": "#dcc197",
        "block-cursor-foreground": "#120c04",
        "border": "#7a6647",
        "border-blurred": "#cdbfa6",
    },
)

THEMES = (NIGHT_SHOP, DAY_SHOP)
