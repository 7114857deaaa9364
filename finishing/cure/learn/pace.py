"""Hands-on minutes learned from sessions: how many times the stated minutes they took, a median that few can't sway."""

from __future__ import annotations

import math
from collections.abc import Sequence
from statistics import median

STATED_WORTH = 2
"""The stated minutes count as so many sessions that took just as long as stated. A judgement."""

LEAST, MOST = 0.25, 4.0
"""A session outside these was interrupted, or counted something else. A judgement."""


def pace(ratios: Sequence[float], stated_worth: int = STATED_WORTH) -> float:
    """Minutes taken over minutes stated, as the median of the sessions and the stated minutes, in logarithms."""
    told = [math.log(ratio) for ratio in ratios if LEAST <= ratio <= MOST]
    return math.exp(median([*told, *[0.0] * stated_worth])) if told else 1.0
