"""Air: the standard atmosphere below 11 km, density of the day, density altitude (ISO 2533).

Every function takes arrays that broadcast, and raises `InputError` outside its ranges.
"""

from __future__ import annotations

from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from turnback.base.constants import DRY_AIR_GAS_CONSTANT_J_PER_KG_K, GRAVITY_MPS2, ZERO_CELSIUS_K
from turnback.base.ranges import within

Array = NDArray[np.float64]

SEA_LEVEL_TEMPERATURE_K: Final = 288.15  # ISO 2533, table 1
SEA_LEVEL_PRESSURE_PA: Final = 101_325.0  # ISO 2533, table 1
LAPSE_K_PER_M: Final = 0.0065  # ISO 2533, below 11 km
NOMINAL_EARTH_RADIUS_M: Final = 6_356_766.0  # ISO 2533, clause 2.3
EXPONENT: Final = GRAVITY_MPS2 / (DRY_AIR_GAS_CONSTANT_J_PER_KG_K * LAPSE_K_PER_M)  # 5.25588
WATER_TO_AIR_RATIO: Final = 0.621_98  # ratio of molar masses of water and dry air (WMO-No. 8)


def geopotential_m(height_m: Any) -> Array:
    """Return geopotential height of a height above sea level (ISO 2533, equation 8).

    Parameters
    ----------
    height_m : array_like
        Geometric height, -500 to 11,000 m.
    """
    height = within("height_m", height_m, -500.0, 11_000.0, "m", "enter metres above sea level")
    return np.asarray(NOMINAL_EARTH_RADIUS_M * height / (NOMINAL_EARTH_RADIUS_M + height))


def standard_temperature_k(height_m: Any) -> Array:
    """Return the standard atmosphere's temperature at a height above sea level (ISO 2533, equation 11)."""
    return np.asarray(SEA_LEVEL_TEMPERATURE_K - LAPSE_K_PER_M * geopotential_m(height_m))


def standard_pressure_pa(height_m: Any) -> Array:
    """Return the standard atmosphere's pressure at a height above sea level (ISO 2533, equation 12)."""
    return np.asarray(SEA_LEVEL_PRESSURE_PA * (standard_temperature_k(height_m) / SEA_LEVEL_TEMPERATURE_K) ** EXPONENT)


def pressure_from_qnh_pa(qnh_pa: Any, height_m: Any) -> Array:
    """Return the pressure at a height, from the pressure reduced to sea level.

    QNH is, by definition, the sea-level pressure at which the standard atmosphere gives the field's pressure at the
    field's height: the standard ratio is inverted (ICAO Doc 7488, the altimeter's law).

    Parameters
    ----------
    qnh_pa : array_like
        85,000 to 110,000 Pa.
    height_m : array_like
        Above sea level.
    """
    qnh = within("qnh_pa", qnh_pa, 85_000.0, 110_000.0, "Pa", "enter pascals reduced to sea level: 1013 hPa is 101300")
    lifted_m = SEA_LEVEL_TEMPERATURE_K / LAPSE_K_PER_M * (1.0 - (qnh / SEA_LEVEL_PRESSURE_PA) ** (1.0 / EXPONENT))
    ratio = 1.0 - LAPSE_K_PER_M * (geopotential_m(height_m) + lifted_m) / SEA_LEVEL_TEMPERATURE_K
    return np.asarray(SEA_LEVEL_PRESSURE_PA * ratio**EXPONENT)


def saturation_vapour_pa(temperature_k: Any) -> Array:
    """Return the vapour pressure of air saturated over water.

    Parameters
    ----------
    temperature_k : array_like
        228 to 333 K (-45 to 60 °C).

    Notes
    -----
    611.2 exp(17.62 t / (243.12 + t)) Pa with t in °C: Magnus's formula, WMO-No. 8, annex 4.B (from memory).
    """
    temperature = within("temperature_k", temperature_k, 228.0, 333.2, "K", "enter kelvin, not degrees Celsius")
    celsius = temperature - ZERO_CELSIUS_K
    return np.asarray(611.2 * np.exp(17.62 * celsius / (243.12 + celsius)))


def density_kg_m3(temperature_k: Any, pressure_pa: Any, relative_humidity: Any = 0.0) -> Array:
    """Return the density of air.

    Parameters
    ----------
    temperature_k : array_like
        200 to 340 K; 228 to 333 K where the air is not dry.
    pressure_pa : array_like
        20,000 to 115,000 Pa.
    relative_humidity : array_like
        0 (dry) to 1 (saturated). At 30 °C saturated air is 1.6 % lighter than dry air.

    Notes
    -----
    (p - (1 - 0.62198) e) / (R T) with vapour pressure e: ISO 2533, equation 1, and Dalton's law.
    """
    temperature = within("temperature_k", temperature_k, 200.0, 340.0, "K", "enter kelvin, not degrees Celsius")
    pressure = within("pressure_pa", pressure_pa, 20_000.0, 115_000.0, "Pa", "enter pascals, not hectopascals")
    humidity = within("relative_humidity", relative_humidity, 0.0, 1.0, "", "enter a share: 60 % is 0.6")
    if humidity.any():
        vapour = humidity * saturation_vapour_pa(temperature)
        pressure = pressure - (1.0 - WATER_TO_AIR_RATIO) * vapour
    return np.asarray(pressure / (DRY_AIR_GAS_CONSTANT_J_PER_KG_K * temperature))


def density_altitude_m(density_kg_m3: Any) -> Array:
    """Return the height at which the standard atmosphere has this density (ISO 2533, equations 11 to 13 inverted).

    Parameters
    ----------
    density_kg_m3 : array_like
        0.36 to 1.6 kg/m³; above 1.225 the answer lies below sea level.
    """
    density = within("density_kg_m3", density_kg_m3, 0.36, 1.6, "kg/m³")
    at_sea_level = SEA_LEVEL_PRESSURE_PA / (DRY_AIR_GAS_CONSTANT_J_PER_KG_K * SEA_LEVEL_TEMPERATURE_K)
    ratio = (density / at_sea_level) ** (1.0 / (EXPONENT - 1.0))
    potential_m = SEA_LEVEL_TEMPERATURE_K / LAPSE_K_PER_M * (1.0 - ratio)
    return np.asarray(NOMINAL_EARTH_RADIUS_M * potential_m / (NOMINAL_EARTH_RADIUS_M - potential_m))
