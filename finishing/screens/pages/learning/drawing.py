"""Factors on a scale in text: a coat's interval as a bar, a curve of what is believed, and the scale itself."""

from __future__ import annotations

import math

import numpy as np

from finishing.cure.learn import Observation
from finishing.cure.learn.density import Density
from finishing.screens.widgets.figures import Scale
from finishing.shop.learning.sheet import curve

FACTORS = Scale(0.2, 5.0, ((0.25, "×¼"), (0.5, "×½"), (1.0, "×1"), (2.0, "×2"), (4.0, "×4")))
"""A fifth of the stated time to five times it."""

BLOCKS = " ▁▂▃▄▅▆▇█"
STATED, FOUND = "┆", "│"
"""Where the stated time lies, and where the factor that was found does."""


def ruler(width: int) -> str:
    """The scale."""
    return FACTORS.ruler(width)


def bar(seen: Observation, found: float, width: int) -> str:
    """An interval: "├──┤", an arrow where it is open or leaves the scale; behind it the stated time and the found."""
    line = [" "] * max(width, 1)
    line[FACTORS.column(1.0, width)] = STATED
    middle = FACTORS.column(found, width)
    line[middle] = FOUND
    low, high = max(seen.low, 1e-9), seen.high if math.isfinite(seen.high) else 1e9
    first, last = FACTORS.column(low, width), FACTORS.column(high, width)
    for column in range(first, last + 1):
        line[column] = "┼" if column == middle else "─"
    if first == last:
        line[first] = "◆"
        return "".join(line)
    line[first] = "├" if low >= FACTORS.first else "◂"
    line[last] = "┤" if high <= FACTORS.last else "▸"
    return "".join(line)


def hill(believed: Density, width: int) -> str:
    """How likely each factor is, as a row of blocks, as high as the row at the likeliest."""
    span = math.log(FACTORS.last / FACTORS.first)
    at = FACTORS.first * np.exp(span * np.arange(width) / max(width - 1, 1))
    heights = curve(believed, at)
    top = float(heights.max())
    if top <= 0.0:
        return " " * width
    return "".join(BLOCKS[round(float(h) / top * (len(BLOCKS) - 1))] for h in heights)
