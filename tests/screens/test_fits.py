"""On the smallest terminal that is promised, 80 by 24, nothing is cut.

The rule. A key at the foot stands there whole. Each word of a line of fixed words (a Static) is drawn: it is neither
cut by the line's own width or height nor by what is around it, save where a parent scrolls to it.
"""

from __future__ import annotations

import re
from collections import Counter
from itertools import pairwise

import numpy as np
import pytest
from rich.cells import cell_len
from textual.geometry import Region
from textual.screen import Screen
from textual.visual import Visual
from textual.widget import Widget
from textual.widgets import Footer, Static
from textual.widgets._footer import FooterKey

from finishing.screens.widgets.axis import Axis
from finishing.screens.widgets.plot import Chart, Curve, Level, Manner, paint, scale_of
from finishing.shop.shop import Shop
from tests.shop.built import NOW, ZONE, begin

WIDE = 1000
"""Cells in which every line is whole."""

DRAWING = re.compile(r"\W*|[0-9]+[hdwm]")
"""No words: marks, and the ticks of a scale of hours, days, weeks or months. They follow the width."""


def cut_keys(screen: Screen[object]) -> list[str]:
    """Keys at the foot that are not drawn whole."""
    found = []
    for foot in screen.query(Footer):
        for key in foot.query(FooterKey):
            words = str(key.render())
            if key.region.width < cell_len(words) or not foot.region.contains_region(key.region):
                found.append(f"key {words.strip()!r}")
    return found


def cut_words(screen: Screen[object]) -> list[str]:
    """Words of Statics that are not drawn, or stand out of sight where nothing scrolls."""
    found = []
    for line in screen.query(Static):
        whole = Visual.to_strips(line, line.visual, WIDE, None, line.visual_style)
        said = " ".join(strip.text for strip in whole).split()
        if not said or not displayed(line):
            continue
        if not in_sight(line):
            found.append(f"#{line.id} is out of sight: {' '.join(said)[:60]!r}")
            continue
        drawn = " ".join(strip.text for strip in line.render_lines(Region(0, 0, *line.outer_size))).split()
        lost = [word for word in Counter(said) - Counter(drawn) if not DRAWING.fullmatch(word)]
        if lost:
            found.append(f"#{line.id} {line.size} loses {lost} of {' '.join(said)[:60]!r}")
    return found


def displayed(widget: Widget) -> bool:
    """Whether it is meant to be seen."""
    return all(node.display and node.visible for node in widget.ancestors_with_self if isinstance(node, Widget))


def in_sight(widget: Widget) -> bool:
    """Whether it is wholly within what is around it, or what is around it scrolls there."""
    for parent in widget.ancestors:
        if not isinstance(parent, Widget):
            continue
        if parent.max_scroll_y > 0 and parent.allow_vertical_scroll:
            return True
        if not parent.region.contains_region(widget.region):
            return False
    return widget.region.area > 0


@pytest.mark.parametrize("rows", range(5, 16))
@pytest.mark.parametrize("degrees", [(4.0, 5.0), (4.0, 5.0, 7.0), (5.0, 12.0)])
def test_names_of_levels_near_to_each_other_can_be_told_apart(rows: int, degrees: tuple[float, ...]) -> None:
    air = Curve(np.array([0.0, 48.0]), np.array([15.0, 2.0]), np.array([True, True]), Manner.LINE, "air")
    levels = tuple(Level(value, f"least {value:g} °C") for value in degrees)
    chart = Chart(0.0, 48.0, 12.0, ZONE, "°C", (air,), levels)
    painted = paint(chart, scale_of(chart, rows), Axis(0.0, 48.0, 71, ZONE))
    lines = ["".join(glyph for glyph, _ in row) for row in painted]
    for value in degrees:
        assert re.search(rf"(least|and) {value:g} °C", "\n".join(lines))
    for above, below in pairwise(lines):
        columns = [{n for n, glyph in enumerate(line) if glyph.isalnum()} for line in (above, below)]
        assert not columns[0] & columns[1]


def test_codes_stand_in_the_order_a_person_counts(shop: Shop) -> None:
    for code in ("T-10", "T-2", "S-3", "T-2b", "T-02"):
        begin(shop, code)
    assert [row.code for row in shop.bench(NOW).rows] == ["S-3", "T-02", "T-2", "T-2b", "T-10"]
