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

    dry: the chance of finding it dry. bits: expected information on the factor. if_dry, if_tacky: the factor's median
    after either answer. sd: expected spread of ln(factor) after the look.
    """

    dry: Array
    bits: Array
    if_dry: Array
    if_tacky: Array
    sd: Array


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
    if_dry, var_dry = _moments(dry * mass, theta)
    if_tacky, var_tacky = _moments((1.0 - dry) * mass, theta)
    after = chance * var_dry + (1.0 - chance) * var_tacky
    return Prospect(chance, bits, np.exp(if_dry), np.exp(if_tacky), np.sqrt(after))


def _entropy(chance: Array) -> Array:
    """Of a yes-or-no answer, in bits."""
    inside = np.clip(chance, 1e-12, 1.0 - 1e-12)
    return np.asarray(-(inside * np.log2(inside) + (1.0 - inside) * np.log2(1.0 - inside)))


def _moments(weights: Array, theta: Array) -> tuple[Array, Array]:
    """Mean and variance of θ under each row of weights; those of no weight at all come out as 0 and 0."""
    whole = np.maximum(weights.sum(axis=1), 1e-300)
    mean = weights @ theta / whole
    return mean, np.maximum(weights @ theta**2 / whole - mean**2, 0.0)
