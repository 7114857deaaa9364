"""A density over ln(factor) on even points: its mean, spread and quantiles, by the trapezoid rule."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Density:
    """Values at even points, adding up to 1 under the trapezoid rule (both ends are as good as 0)."""

    at: Array
    value: Array

    @classmethod
    def of_logs(cls, at: Array, logs: Array) -> Density:
        """From logarithms known up to a constant."""
        value = np.exp(logs - logs.max())
        step = float(at[1] - at[0])
        return cls(at, value / (step * (value.sum() - (value[0] + value[-1]) / 2.0)))

    @property
    def step(self) -> float:
        """Distance of the points."""
        return float(self.at[1] - self.at[0])

    @property
    def mass(self) -> Array:
        """What each point stands for; adds up to 1."""
        mass = self.value * self.step
        mass[0] /= 2.0
        mass[-1] /= 2.0
        return mass

    @property
    def mean(self) -> float:
        """The mean."""
        return float(self.mass @ self.at)

    @property
    def sd(self) -> float:
        """The standard deviation."""
        mass = self.mass
        mean = float(mass @ self.at)
        return math.sqrt(max(float(mass @ (self.at - mean) ** 2), 0.0))

    @property
    def mode(self) -> float:
        """Where it is highest: the vertex of the parabola through the logarithms of the highest point and its two
        neighbours."""
        i = int(self.value.argmax())
        if i in (0, len(self.at) - 1):
            return float(self.at[i])
        a, b, c = np.log(np.maximum(self.value[i - 1 : i + 2], 1e-300))
        bend = a - 2.0 * b + c
        return float(self.at[i] + (0.0 if bend == 0.0 else 0.5 * self.step * (a - c) / bend))

    def quantile(self, chance: float) -> float:
        """Where so much of it lies below."""
        below = self._below()
        i = min(max(int(np.searchsorted(below, chance, side="right")) - 1, 0), len(below) - 2)
        first, slope = float(self.value[i]), float(self.value[i + 1] - self.value[i])
        # Inside a step the density is taken as linear, scaled to what the step holds.
        whole = (first + slope / 2.0) * self.step
        held = float(below[i + 1] - below[i])
        rest = (chance - float(below[i])) / self.step * (whole / held if held > 0.0 else 1.0)
        # rest = first·x + slope·x²/2, in the form that keeps its digits for any slope
        root = math.sqrt(max(first * first + 2.0 * slope * rest, 0.0))
        share = 2.0 * rest / (first + root) if first + root > 0.0 else 0.5
        return float(self.at[i]) + min(max(share, 0.0), 1.0) * self.step

    def _below(self) -> Array:
        """Distribution function at the points: the trapezoid rule with Euler and Maclaurin's first correction."""
        gained = (self.value[1:] + self.value[:-1]) * (self.step / 2.0)
        slopes = np.gradient(self.value, self.step)
        gained -= self.step**2 / 12.0 * np.diff(slopes)
        return np.concatenate([[0.0], np.cumsum(gained)])

    def interval(self, share: float = 0.9) -> tuple[float, float]:
        """The middle of it."""
        return self.quantile((1.0 - share) / 2.0), self.quantile((1.0 + share) / 2.0)


def even(low: float, high: float, count: int) -> Array:
    """So many even points."""
    return np.linspace(low, high, count)


def means(at: Array, logs: Array) -> Array:
    """The mean of each density in rows of logarithms, each known up to a constant."""
    mass = np.exp(logs - logs.max(axis=1, keepdims=True))
    mass[:, [0, -1]] /= 2.0
    return np.asarray(mass @ at / mass.sum(axis=1))


def log_blurred(at: Array, value_logs: Array, onto: Array, sd: float) -> Array:
    """ln ∫ exp(f(u)) N(x - u; 0, sd²) du at each x of `onto`, f at even points `at`, by the trapezoid rule; of rows of
    such f a row each."""
    top = value_logs.max(axis=-1, keepdims=True)
    step = float(at[1] - at[0])
    ends = float(at[0]), float(at[-1]), len(at), float(onto[0]), float(onto[-1]), len(onto)
    blurred = np.exp(value_logs - top) @ _kernel(*ends, sd).T * (step / (sd * math.sqrt(2.0 * math.pi)))
    return np.asarray(np.log(np.maximum(blurred, 1e-300)) + top)


@lru_cache(maxsize=24)
def _kernel(
    low: float, high: float, count: int, onto_low: float, onto_high: float, onto_count: int, sd: float
) -> Array:
    """exp(-(x - u)²/2sd²), a row for each even point x, kept: while each coat is left out in turn it is the same."""
    kernel = even(onto_low, onto_high, onto_count)[:, None] - even(low, high, count)[None, :]
    kernel *= kernel
    kernel *= -0.5 / (sd * sd)
    np.exp(kernel, out=kernel)
    kernel.setflags(write=False)
    return kernel


def log_normal_at(at: Array, sd: float) -> Array:
    """ln of a normal density about 0, up to a constant."""
    return np.asarray(-0.5 * (at / sd) ** 2)
