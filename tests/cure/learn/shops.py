"""Invented shops with a factor that nobody but the simulation knows, and the looks their makers take.

Each coat's true time is stated · F · e^ε with ε ~ N(0, 0.25²), as the model has it, but looks come as people take them:
at odd hours of days that have a night, some coats once, some until they are dry, some not after the first "tacky".
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from finishing.cure.learn import Lessons, Observation, Rules, learn

from .seen import INF, seen

SMALLEST, LARGEST = 0.5, 3.0
SPREAD = 0.5
"""Of a finish's factor before any test."""

NEVER_AGES = Rules(half_life_days=INF)


@dataclass(frozen=True)
class Shop:
    """A hidden ln(factor), and the coats felt in it, in order."""

    theta: float
    coats: tuple[Observation, ...]

    def after(self, tests: int, rules: Rules = NEVER_AGES) -> Lessons:
        """What is learned from the first so many coats."""
        return learn(self.coats[:tests], 0.0, rules).lessons("varnish")


def shop(random: np.random.Generator, coats: int, stray: float = 0.0) -> Shop:
    """A shop whose factor is anywhere from a half to three, evenly in its logarithm.

    stray: share of looks that are of something else: dry or tacky at any time.
    """
    theta = float(random.uniform(math.log(SMALLEST), math.log(LARGEST)))
    return Shop(theta, tuple(_coat(random, theta, i, stray) for i in range(coats)))


def _coat(random: np.random.Generator, theta: float, entry: int, stray: float) -> Observation:
    stated = float(random.choice([2.0, 6.0, 12.0, 24.0]))
    spread = 1.0 if random.random() < stray else 0.25
    middle = 0.0 if spread == 1.0 else theta
    dry_at = stated * math.exp(middle + random.normal(0.0, spread))
    hour, found_short = 0.0, 0.0
    for _ in range(8):
        hour += float(random.uniform(0.2, 0.7)) * stated
        if dry_at <= hour:
            return seen(found_short, hour, stated, entry=entry)
        found_short = hour
        if random.random() < 0.25:
            break
    return seen(found_short, INF, stated, entry=entry)


@dataclass(frozen=True)
class Row:
    """Of many shops after so many coats: share whose factor lies in the 90 % interval, mean and typical error of
    ln(factor), typical width of the interval as a ratio of its ends, and share of "count on it" hours that held."""

    tests: int
    covered: float
    bias: float
    error: float
    width: float
    held: float


def measure(seed: int, runs: int, counts: tuple[int, ...], stray: float = 0.0) -> list[Row]:
    """Learn in so many shops and compare with what was hidden."""
    random = np.random.default_rng(seed)
    shops = [shop(random, max(counts), stray) for _ in range(runs)]
    rows = []
    for count in counts:
        lessons = [s.after(count) for s in shops]
        found = [(s.theta, one.theta()) for s, one in zip(shops, lessons, strict=True)]
        ends = [d.interval(0.9) for _, d in found]
        inside = [low <= theta <= high for (theta, _), (low, high) in zip(found, ends, strict=True)]
        errors = np.array([d.mean - theta for theta, d in found])
        # The next coat of each shop against what could be counted on by what is in use.
        used = [one.shop_factor() for one in lessons]
        promised = np.array([f.ln_mean + 1.2815515655 * math.hypot(f.ln_sd or SPREAD, 0.25) for f in used])
        next_coat = np.array([theta for theta, _ in found]) + random.normal(0.0, 0.25, runs)
        rows.append(
            Row(
                count,
                float(np.mean(inside)),
                float(errors.mean()),
                float(np.sqrt((errors**2).mean())),
                float(np.exp(np.median([high - low for low, high in ends]))),
                float(np.mean(next_coat <= promised)),
            )
        )
    return rows


def table(rows: list[Row]) -> str:
    """As DEVELOPERS.md has it."""
    lines = [
        "| coats felt | 90 % interval holds the truth | mean error of ln F | typical error | interval, high : low"
        " | 90 % promises held |",
        "|---|---|---|---|---|---|",
    ]
    for r in rows:
        lines.append(
            f"| {r.tests} | {r.covered * 100:.1f} % | {r.bias:+.3f} | {r.error:.3f} | {r.width:.2f}"
            f" | {r.held * 100:.1f} % |"
        )
    return "\n".join(lines)
