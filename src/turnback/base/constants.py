"""Physical constants, SI, exact where the SI makes them exact."""

from __future__ import annotations

from typing import Final

SPEED_OF_LIGHT_MPS: Final = 299_792_458.0  # exact (SI)
BOLTZMANN_J_PER_K: Final = 1.380649e-23  # exact (SI)
GRAVITY_MPS2: Final = 9.80665  # exact, standard gravity (ISO 80000-3)
GAS_CONSTANT_J_PER_MOL_K: Final = 8.31446261815324  # exact (SI)
DRY_AIR_GAS_CONSTANT_J_PER_KG_K: Final = 287.05287  # ISO 2533
ZERO_CELSIUS_K: Final = 273.15  # exact
EARTH_RADIUS_KM: Final = 6371.0  # ITU-R P.526
EFFECTIVE_EARTH_RADIUS_KM: Final = 8500.0  # ITU-R P.526, median, temperate
NOISE_REFERENCE_K: Final = 290.0  # ITU-R P.372
