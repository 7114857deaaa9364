"""Air and wood: vapour pressure, dew point, vapour pressure deficit and wood equilibrium moisture content.

Scalars or arrays alike. Temperatures in °C, humidities in % RH. Dew points are over water, also below 0 °C.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from finishing.cure.finish import between
from finishing.units import show_temperature

Values = float | npt.NDArray[np.float64]

# Magnus form over water, constants of Sonntag (1990) as adopted by the WMO; good to 0.03 K from 0 to 40 °C.
MAGNUS_A = 17.62
MAGNUS_B_C = 243.12
MAGNUS_KPA = 0.6112

DEW_MARGIN_C = 3.0
"""A surface should be this much above the dew point: 5 °F in UFC 3-190-06, 9.6.6; 3 °C is common practice."""


def saturation_kpa(temperature_c: Values) -> Values:
    """Saturation vapour pressure of water [kPa]."""
    t = np.asarray(temperature_c, dtype=float)
    return _plain(MAGNUS_KPA * np.exp(MAGNUS_A * t / (MAGNUS_B_C + t)))


def dew_point_c(temperature_c: Values, humidity_pct: Values) -> Values:
    """Dew point [°C]; -inf in perfectly dry air."""
    t = np.asarray(temperature_c, dtype=float)
    with np.errstate(divide="ignore", invalid="ignore"):
        g = np.log(np.asarray(humidity_pct, dtype=float) / 100.0) + MAGNUS_A * t / (MAGNUS_B_C + t)
        dew = np.where(np.isneginf(g), -np.inf, MAGNUS_B_C * g / (MAGNUS_A - g))
    return _plain(dew)


def vapour_pressure_deficit_kpa(temperature_c: Values, humidity_pct: Values) -> Values:
    """How far the air is from saturation [kPa]."""
    wet = np.asarray(saturation_kpa(temperature_c))
    return _plain(wet * (1.0 - np.asarray(humidity_pct, dtype=float) / 100.0))


def wood_moisture_pct(temperature_c: Values, humidity_pct: Values) -> Values:
    """Equilibrium moisture content of wood [% of dry mass], about.

    Hailwood and Horrobin's sorption equation with the constants of Simpson (1973, 1998), as in the USDA Wood
    Handbook, eq. 4-5. Meant for -1 to 54 °C and 5 to 95 % RH; individual woods differ by a point.
    """
    t = np.asarray(temperature_c, dtype=float)
    h = np.asarray(humidity_pct, dtype=float) / 100.0
    w = 349.0 + 1.29 * t + 0.0135 * t**2
    k = 0.805 + 0.000736 * t - 0.00000273 * t**2
    k1 = 6.27 - 0.00938 * t - 0.000303 * t**2
    k2 = 1.91 + 0.0407 * t - 0.000293 * t**2
    kh = k * h
    dissolved = kh / (1.0 - kh)
    hydrated = (k1 * kh + 2.0 * k1 * k2 * kh**2) / (1.0 + k1 * kh + k1 * k2 * kh**2)
    return _plain(1800.0 / w * (dissolved + hydrated))


def _plain(values: npt.NDArray[np.float64]) -> Values:
    return float(values) if np.ndim(values) == 0 else values


@dataclass(frozen=True, slots=True)
class Air:
    """What one reading of the air means for finishing."""

    temperature_c: float
    humidity_pct: float
    dew_point_c: float
    vapour_pressure_deficit_kpa: float
    wood_moisture_pct: float
    warnings: tuple[str, ...]


def air(temperature_c: float, humidity_pct: float, *, surface_c: float | None = None) -> Air:
    """Dew point, deficit, wood moisture and general warnings. BadInput outside -40..60 °C or 0..100 % RH."""
    between("temperature", temperature_c, -40.0, 60.0, "a temperature from -40 to 60 °C")
    between("humidity", humidity_pct, 0.0, 100.0, "a relative humidity from 0 to 100 %")
    if surface_c is not None:
        between("surface", surface_c, -40.0, 60.0, "a temperature from -40 to 60 °C")
    dew = float(dew_point_c(temperature_c, humidity_pct))
    moisture = float(wood_moisture_pct(temperature_c, humidity_pct))
    return Air(
        temperature_c,
        humidity_pct,
        dew,
        float(vapour_pressure_deficit_kpa(temperature_c, humidity_pct)),
        moisture,
        tuple(_warnings(temperature_c, humidity_pct, surface_c, dew, moisture)),
    )


def _degrees(celsius: float) -> str:
    return show_temperature(celsius, "metric", 1)


def _warnings(temperature: float, humidity: float, surface: float | None, dew: float, moisture: float) -> list[str]:
    said = []
    at = temperature if surface is None else surface
    if at - dew < DEW_MARGIN_C:
        what = "the air is" if surface is None else "the surface is"
        above = f"{what} {_degrees(at - dew)} above the dew point of {_degrees(dew)}"
        said.append(f"{above}, less than 3 °C above it: moisture may form")
    if humidity > 85.0:
        said.append(
            f"{humidity:.0f} % RH is above 85 %: waterborne finishes do not form a film, others blush or stay soft"
        )
    if temperature < 10.0:
        said.append(f"{_degrees(temperature)} is below 10 °C: too cold for waterborne, raw-oil and two-part finishes")
    if temperature > 32.2:
        said.append(f"{_degrees(temperature)} is above 32 °C: finishes skin over and trap solvent")
    if moisture > 12.0:
        said.append(f"wood kept in this air goes to about {moisture:.1f} % moisture: dry it to 8-10 % before finishing")
    elif moisture < 5.0:
        said.append(f"wood kept in this air goes to about {moisture:.1f} % moisture: it will swell in an ordinary room")
    return said
