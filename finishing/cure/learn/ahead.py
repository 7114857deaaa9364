"""What a further look at a coat would tell: expected information on its factor (Lindley 1956), by the hour.

A look too early finds it tacky whatever the shop is like, one too late dry; in between the answer tells most.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from finishing.cure.learn.density import Density
from finishing.cure.learn.normal import cumulative

Array = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Prospect:
    """A look to come, an element for each hour thought of.

    dry: the chance of finding it dry. bits: expected information on the factor.
    """

    dry: Array
    bits: Array


def prospect(now: Density, sigma: float, ratios: Array, short_at: float = 0.0) -> Prospect:
    """now: ln(factor) of the coat but for its own looks. sigma: noise. ratios: multiples of its stated time to look at.

    short_at: the multiple at which it was last found short. Looks before that tell nothing.
    """
    theta, mass = now.at, now.mass
    short = math.log(short_at) if short_at > 0.0 else -math.inf
    left = 1.0 - cumulative((short - theta) / sigma) if short_at > 0.0 else np.ones(len(theta))
    mass = mass * left
    mass = mass / mass.sum()
    logs = np.log(np.maximum(ratios, 1e-9))
    by_then = cumulative((logs[:, None] - theta[None, :]) / sigma)
    dry = 1.0 - (1.0 - by_then) / np.maximum(left, 1e-12)[None, :]
    np.clip(dry, 0.0, 1.0, out=dry)
    chance = dry @ mass
    bits = np.maximum(_entropy(chance) - _entropy(dry) @ mass, 0.0)
    return Prospect(chance, bits)


def _entropy(chance: Array) -> Array:
    """Of a yes-or-no answer, in bits."""
    inside = np.clip(chance, 1e-12, 1.0 - 1e-12)
    return np.asarray(-(inside * np.log2(inside) + (1.0 - inside) * np.log2(1.0 - inside)))
