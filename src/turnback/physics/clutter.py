"""What stands on the ground and no bare-earth grid shows: trees (ITU-R P.833) and walls (ITU-R P.2109).

Either the trees' loss here or the canopy added to the terrain, never both: the caller decides.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from turnback.base.constants import EFFECTIVE_EARTH_RADIUS_KM
from turnback.base.kernels import kernel
from turnback.base.ranges import within
from turnback.physics.normal import normal_quantile
from turnback.physics.profile import horizon_slopes, ruling_edge, valid_ends, valid_profile, valid_radius_km

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class WoodlandRow:
    """One measured frequency of the woodland table of ITU-R P.833."""

    frequency_mhz: float
    specific_db_per_m: float
    greatest_db: float


WOODLAND: Final = (
    WoodlandRow(105.9, 0.04, 9.4),
    WoodlandRow(466.475, 0.12, 18.0),
    WoodlandRow(949.0, 0.17, 26.5),
    WoodlandRow(1852.2, 0.30, 29.0),
    WoodlandRow(2117.5, 0.34, 34.1),
)
"""Mixed woodland of one region, as tabled in ITU-R P.833 (read second-hand, the same five rows in two places)."""


@dataclass(frozen=True, slots=True)
class Woodland:
    """What a wood does at some frequencies; arrays have the shape of the frequency.

    Attributes
    ----------
    specific_db_per_m, greatest_db : ndarray
        Loss of the first metres, and the loss that no depth exceeds.
    specific_low_db_per_m, specific_high_db_per_m, greatest_low_db, greatest_high_db : ndarray
        Band of both. Inside the table it has no width: the scatter of woods is in the caller's sigma.
    extrapolated : ndarray of bool
        True outside the table.
    """

    specific_db_per_m: Array
    greatest_db: Array
    specific_low_db_per_m: Array
    specific_high_db_per_m: Array
    greatest_low_db: Array
    greatest_high_db: Array
    extrapolated: NDArray[np.bool_]


def woodland(frequency_mhz: Any, table: tuple[WoodlandRow, ...] = WOODLAND) -> Woodland:
    """Return both woodland parameters at some frequencies, with their band.

    Parameters
    ----------
    frequency_mhz : array_like
        30 to 30,000 MHz, any shape.
    table : tuple of WoodlandRow
        At least two rows, ascending in frequency.

    Returns
    -------
    Woodland

    Raises
    ------
    InputError
        If a frequency is outside that range.

    Notes
    -----
    Between rows: straight lines of the logarithms. Outside, from the nearest row by the power law that joins the
    first row to the last (exponents 0.71 and 0.43); the band there runs from the nearest row held constant to
    twice that exponent (our choice; at 5.8 GHz 0.34 to 1.4 dB/m, 34 to 81 dB).

    ITU-R P.833 also gives Am = A1 f^alpha with two sites' fits: 0.18 f^0.752 for a park of tropical trees, 900 to
    1800 MHz, and 1.15 f^0.43 for a European forest, 900 to 2200 MHz (which belongs to which: from memory, not
    verified). Neither is used: at 949 MHz they give 31.2 and 21.9 dB around the table's 26.5, and the table's own
    end-to-end exponent is that of the second.
    """
    frequency = within("frequency_mhz", frequency_mhz, 30.0, 30_000.0, "MHz", "enter MHz: 2.4 GHz is 2400")
    rows_mhz = np.array([row.frequency_mhz for row in table])
    specific = np.array([row.specific_db_per_m for row in table])
    greatest = np.array([row.greatest_db for row in table])
    outside = (frequency < rows_mhz[0]) | (frequency > rows_mhz[-1])
    mid_specific, low_specific, high_specific = _power_law(frequency, rows_mhz, specific)
    mid_greatest, low_greatest, high_greatest = _power_law(frequency, rows_mhz, greatest)
    return Woodland(mid_specific, mid_greatest, low_specific, high_specific, low_greatest, high_greatest, outside)


def _power_law(frequency_mhz: Array, rows_mhz: Array, values: Array) -> tuple[Array, Array, Array]:
    """Return value, low and high, interpolated between rows and extrapolated by the table's overall exponent."""
    inside = np.exp(np.interp(np.log(frequency_mhz), np.log(rows_mhz), np.log(values)))
    ratio = frequency_mhz / np.clip(frequency_mhz, rows_mhz[0], rows_mhz[-1])
    exponent = math.log(values[-1] / values[0]) / math.log(rows_mhz[-1] / rows_mhz[0])
    mid = inside * ratio**exponent
    far = inside * ratio ** (2.0 * exponent)
    return np.asarray(mid), np.minimum(inside, far), np.maximum(inside, far)


def vegetation_db(depth_m: Any, specific_db_per_m: Any, greatest_db: Any) -> Array:
    """Return the loss of a path through trees.

    Parameters
    ----------
    depth_m : array_like
        Metres of path among the trees, 0 to 1e6.
    specific_db_per_m : array_like
        Loss of the first metres, 0 to 20 dB/m.
    greatest_db : array_like
        Loss that no depth exceeds, 0.1 to 200 dB; shapes broadcast.

    Returns
    -------
    ndarray
        Loss in dB, broadcast shape, 0 or positive.

    Raises
    ------
    InputError
        Outside those ranges.

    Notes
    -----
    A = Am (1 - exp(-d gamma / Am)), ITU-R P.833, one terminal in woodland (section 2.1).
    """
    depth = within("depth_m", depth_m, 0.0, 1e6, "m")
    specific = within("specific_db_per_m", specific_db_per_m, 0.0, 20.0, "dB/m")
    greatest = within("greatest_db", greatest_db, 0.1, 200.0, "dB")
    return np.asarray(-greatest * np.expm1(-depth * specific / greatest))


@kernel
def canopy_kernel(
    distance_km: Array, height_m: Array, from_m: float, to_m: float, radius_km: float, canopy_m: float
) -> float:  # pragma: no cover - compiled
    """Return the metres of the ray below the canopy's top; antenna heights above sea level.

    A clear ray is straight. A blocked one runs from either end along its horizon slope to the Bullington point: the
    lower of the two tangents at each place.
    """
    last = distance_km.size - 1
    path_km: float = distance_km[last]
    direct, _ = ruling_edge(distance_km, height_m, from_m, to_m, radius_km)
    forward = (to_m - from_m) / path_km
    backward = -forward
    if direct > 0.0:
        forward, backward = horizon_slopes(distance_km, height_m, from_m, to_m, radius_km)
    total_m = 0.0
    ray_before = from_m
    gap_before = from_m - height_m[0]
    for i in range(1, last + 1):
        near = distance_km[i]
        far = path_km - near
        ray = min(from_m + forward * near, to_m + backward * far)
        gap = ray - height_m[i] - 500.0 * near * far / radius_km
        low = min(gap, gap_before)
        high = max(gap, gap_before)
        if low < canopy_m:
            length_m = math.hypot(1000.0 * (near - distance_km[i - 1]), ray - ray_before)
            total_m += length_m if high <= canopy_m else length_m * (canopy_m - low) / (high - low)
        ray_before = ray
        gap_before = gap
    return total_m


def canopy_path_m(
    distance_km: Any,
    height_m: Any,
    from_height_m: float,
    to_height_m: float,
    canopy_height_m: float,
    effective_earth_radius_km: float = EFFECTIVE_EARTH_RADIUS_KM,
) -> float:
    """Return how many metres of a path run below the top of a canopy that covers the whole profile.

    Parameters
    ----------
    distance_km, height_m : array_like
        Profile of the bare ground, shape ``(n,)``: distance ascending from 0, height above sea level.
    from_height_m, to_height_m : float
        Antenna heights above the ground of each end.
    canopy_height_m : float
        0 to 100 m above the ground.
    effective_earth_radius_km : float
        3000 to 100,000 km.

    Returns
    -------
    float
        Slant metres; multiply by the share of the ground that trees cover.

    Raises
    ------
    InputError
        Where an input is outside its range.

    Notes
    -----
    Geometry only: on flat ground (H - h) / sin(elevation), the slant path of ITU-R P.833 from an antenna at h.
    """
    distance, height = valid_profile(distance_km, height_m)
    start_m, end_m = valid_ends(height, from_height_m, to_height_m)
    canopy = float(within("canopy_height_m", canopy_height_m, 0.0, 100.0, "m"))
    return canopy_kernel(distance, height, start_m, end_m, valid_radius_km(effective_earth_radius_km), canopy)


class Building(Enum):
    """Kind of building, as ITU-R P.2109 divides them."""

    TRADITIONAL = "traditional"
    THERMALLY_EFFICIENT = "thermally efficient"


@dataclass(frozen=True, slots=True)
class BuildingRow:
    """The nine coefficients r to z of ITU-R P.2109, table 1."""

    r: float
    s: float
    t: float
    u: float
    v: float
    w: float
    x: float
    y: float
    z: float


BUILDINGS: Final = {
    Building.TRADITIONAL: BuildingRow(12.64, 3.72, 0.96, 9.6, 2.0, 9.1, -3.0, 4.5, -2.0),
    Building.THERMALLY_EFFICIENT: BuildingRow(28.19, -3.0, 8.48, 13.5, 3.8, 27.8, -2.9, 9.4, -2.1),
}
"""ITU-R P.2109, table 1."""


def building_entry_db(
    frequency_mhz: Any, building: Building, probability: Any = 0.5, elevation_rad: Any = 0.0
) -> Array:
    """Return the loss into a building that is not exceeded with a probability.

    Parameters
    ----------
    frequency_mhz : array_like
        80 to 100,000 MHz.
    building : Building
    probability : array_like
        Above 0 and below 1 (1e-9 to 1 - 1e-9); 0.5 is the median.
    elevation_rad : array_like
        Elevation of the path at the building, -π/2 to π/2; shapes broadcast.

    Returns
    -------
    ndarray
        Loss in dB, broadcast shape.

    Raises
    ------
    InputError
        Outside those ranges.

    Notes
    -----
    ITU-R P.2109-1, annex 1: L = 10 log10(10^(A/10) + 10^(B/10) + 10^(C/10)), C = -3, A and B normal variates of
    mean L_h + L_e with L_h = r + s log10 f + t log10² f (f in GHz) and L_e = 0.212 per degree of |elevation|.
    """
    frequency = within("frequency_mhz", frequency_mhz, 80.0, 100_000.0, "MHz", "enter MHz: 2.4 GHz is 2400")
    chance = within("probability", probability, 1e-9, 1.0 - 1e-9, "", "enter a fraction, 0.9 for 90 %")
    elevation = within("elevation_rad", elevation_rad, -math.pi / 2, math.pi / 2, "rad", "enter radians, not degrees")
    row = BUILDINGS[building]
    decade = np.log10(frequency / 1000.0)
    score = normal_quantile(chance).reshape(chance.shape)
    level_db = row.r + row.s * decade + row.t * decade**2 + 0.212 * np.degrees(np.abs(elevation))
    a_db = score * (row.u + row.v * decade) + level_db
    b_db = score * (row.y + row.z * decade) + row.w + row.x * decade
    return np.asarray(10.0 * np.log10(10.0 ** (a_db / 10.0) + 10.0 ** (b_db / 10.0) + 10.0**-0.3))
