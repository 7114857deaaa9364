"""Shops whose factor nobody told the program, in short; the long campaign has its own command (`campaign.py`)."""

from __future__ import annotations

import math

from .shops import measure

RUNS = 400


def test_intervals_hold_what_they_say_and_the_bias_is_gone_by_ten_coats() -> None:
    two, ten = measure(2, RUNS, (2, 10))
    margin = 3.0 * math.sqrt(0.9 * 0.1 / RUNS)
    for row in (two, ten):
        assert abs(row.covered - 0.9) < margin
        assert abs(row.held - 0.9) < margin + 0.03
    assert abs(ten.bias) < 3 * ten.error / math.sqrt(RUNS) + 0.012
    assert ten.error < 0.6 * two.error
