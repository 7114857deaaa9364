"""How fast a clock runs in given air, relative to the finish's own reference atmosphere.

rate = arrhenius(T; Ea) · humidity(RH), and 0 where the finish stands still.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from finishing.cure.air import saturation_kpa
from finishing.cure.finish import Finish
from finishing.cure.terms import ClockName, HumidityLaw

Array = npt.NDArray[np.float64]

GAS_CONSTANT = 8.314462618e-3
"""Molar gas constant [kJ/(mol K)], CODATA 2018 (exact)."""

KELVIN = 273.15

OXIDATION_SLOWED_PER_PCT = 0.010
"""Damp air slows oxidation: exp(0.010 · (RH - 50)) on the time from 50 to 85 % RH. An estimate: no figure is
published; ×1.16 at 65 %, ×1.35 at 80 %."""


@dataclass(frozen=True, slots=True)
class RateLaw:
    """Everything the rate of one clock depends on. Hashable, so that one integral serves all who share it."""

    activation_energy_kj_mol: float
    humidity: HumidityLaw
    reference_c: float
    reference_pct: float
    minimum_c: float
    cap_c: float
    stop_above_pct: float = math.inf
    stop_below_pct: float = -math.inf
    max_rate: float = math.inf

    @classmethod
    def of(cls, finish: Finish, clock: ClockName) -> RateLaw:
        """The law of one of a finish's clocks."""
        law, limits = finish.clocks[clock], finish.limits
        high, low = limits.maximum_humidity_pct, limits.minimum_humidity_pct
        return cls(
            law.activation_energy_kj_mol,
            law.humidity,
            finish.reference.temperature_c,
            finish.reference.humidity_pct,
            limits.minimum_c,
            limits.cap_c,
            math.inf if high is None or not limits.stops else high,
            -math.inf if low is None or not limits.stops else low,
            law.max_rate or math.inf,
        )


def arrhenius(temperature_c: float | Array, activation_energy_kj_mol: float, reference_c: float) -> Array:
    """Rate relative to the reference: exp(-Ea/R · (1/T - 1/Tref)), T in kelvin.

    The affinity ratio of ASTM C1074 (Carino 1984), there for concrete; for coatings it is our analogy. It suits
    oxidation and cross-linking; evaporation takes the latent heat of what leaves as its Ea.
    """
    return np.exp(_exponent(inverse_kelvin(temperature_c), activation_energy_kj_mol, reference_c))


def inverse_kelvin(temperature_c: float | Array) -> Array:
    """1/T, T in kelvin: what every rate law starts from, and dearer than what follows."""
    return np.asarray(1.0 / (np.asarray(temperature_c, dtype=float) + KELVIN))


def _exponent(inverse: Array, activation_energy_kj_mol: float, reference_c: float) -> Array:
    exponent = inverse - 1.0 / (reference_c + KELVIN)
    exponent *= -activation_energy_kj_mol / GAS_CONSTANT
    return exponent


def humidity_factor(law: RateLaw, temperature_c: Array, humidity_pct: Array) -> Array:
    """Factor on the rate for the humidity alone, 1 at the reference.

    WATER_LEAVES: (1-RH)/(1-RHref), the deficit's share of saturation; its temperature part is psat(T), which over
    10 to 30 °C is Arrhenius with water's latent heat (44 kJ/mol) to within 0.7 %.
    SLOWS_OXIDATION: see OXIDATION_SLOWED_PER_PCT. NEEDS_WATER: absolute humidity (from memory, moderate).
    """
    if law.humidity is HumidityLaw.WATER_LEAVES:
        return np.maximum(100.0 - humidity_pct, 0.0) / (100.0 - law.reference_pct)
    if law.humidity is HumidityLaw.SLOWS_OXIDATION:
        return np.exp(_slowed(law, humidity_pct))
    if law.humidity is HumidityLaw.NEEDS_WATER:
        here = np.asarray(saturation_kpa(np.minimum(temperature_c, law.cap_c))) * humidity_pct
        return here / (float(saturation_kpa(law.reference_c)) * law.reference_pct)
    return np.ones_like(temperature_c)


def _slowed(law: RateLaw, humidity_pct: Array) -> Array:
    """The exponent of SLOWS_OXIDATION."""
    over = np.clip(humidity_pct, 50.0, 85.0)
    over -= min(max(50.0, law.reference_pct), 85.0)
    over *= -OXIDATION_SLOWED_PER_PCT
    return over


def rate(law: RateLaw, temperature_c: Array, humidity_pct: Array, inverse: Array | None = None) -> Array:
    """Rate relative to the reference, before the stops: warmth above the cap earns nothing more.

    inverse: `inverse_kelvin` of the temperatures, where it is known already.
    """
    if inverse is None:
        inverse = inverse_kelvin(temperature_c)
    capped = np.maximum(inverse, 1.0 / (law.cap_c + KELVIN))
    exponent = _exponent(capped, law.activation_energy_kj_mol, law.reference_c)
    if law.humidity is HumidityLaw.SLOWS_OXIDATION:
        exponent += _slowed(law, humidity_pct)  # one exponential for both
        value = np.exp(exponent, out=exponent)
    else:
        value = np.exp(exponent, out=exponent)
        if law.humidity is not HumidityLaw.NONE:
            value *= humidity_factor(law, temperature_c, humidity_pct)
    return np.minimum(value, law.max_rate) if math.isfinite(law.max_rate) else value


TOO_COLD, TOO_DAMP, TOO_DRY = 1, 2, 4


def standstill(law: RateLaw, temperature_c: Array, humidity_pct: Array) -> npt.NDArray[np.uint8]:
    """Why the finish does not harden at all: TOO_COLD, TOO_DAMP and TOO_DRY added up, 0 where it does."""
    why = (temperature_c < law.minimum_c).view(np.uint8)
    if math.isfinite(law.stop_above_pct):
        why = why | TOO_DAMP * (humidity_pct > law.stop_above_pct).view(np.uint8)
    if math.isfinite(law.stop_below_pct):
        why = why | TOO_DRY * (humidity_pct < law.stop_below_pct).view(np.uint8)
    return why
