"""How much is learned from a touch test, and how fast it is forgotten."""

from __future__ import annotations

from dataclasses import dataclass

from finishing.cure.learn.likelihood import STRAY

SHARED = 0.25
"""Share of a finish's prior variance that it has in common with others of its mechanism. A judgement: weakly."""

HALF_LIFE_DAYS = 180.0
"""Usual half-life of a test's weight: about the time an opened can keeps (common practice, no source)."""

LEAST_COATS = 2
"""No date moves on the word of a single coat."""

FEW_COATS = 8
"""Where a finish has no more on a class of woods each is left out in turn: dates move the way that still holds
whichever coat is left out, or not at all. Of more, one outweighs the others only where they say next to nothing."""

LEAST_MOVE = 0.02
"""What is left without a coat must be this much in ln(factor) to hold: a finger tells no finer than that."""

LEAST_FACTOR, MOST_FACTOR = 0.4, 3.0
"""A factor outside these is more likely a mistake than a shop. A judgement."""

LEAST_SPREAD = 0.02


@dataclass(frozen=True, slots=True)
class Rules:
    """How to learn. half_life_days: of a test's weight, inf: none ages. stray, shared: see STRAY, SHARED."""

    half_life_days: float = HALF_LIFE_DAYS
    stray: float = STRAY
    shared: float = SHARED


USUAL_RULES = Rules()
