"""Diffraction over a smooth spherical Earth: ITU-R P.526-15, sections 3.1 and 3.2, compiled.

These kernels trust their input; `turnback.physics.diffraction` verifies it.
"""

from __future__ import annotations

import math

from turnback.base.kernels import kernel


@kernel
def surface_admittance(
    frequency_mhz: float, radius_km: float, vertical: bool, permittivity: float, conductivity: float
) -> float:  # pragma: no cover - compiled
    """Return the normalised surface admittance K, section 3.1.1."""
    loss_term = 18000.0 * conductivity / frequency_mhz
    horizontal = 0.36 / (
        math.pow(radius_km * frequency_mhz, 1.0 / 3.0) * math.sqrt(math.hypot(permittivity - 1.0, loss_term))
    )
    if vertical:
        return horizontal * math.hypot(permittivity, loss_term)
    return horizontal


@kernel
def height_gain_db(height_m: float, scale: float, admittance: float, beta: float) -> float:  # pragma: no cover
    """Return the height gain G(Y) with its lower limit, section 3.1.2; `scale` is Y per metre."""
    b = beta * scale * height_m
    if b > 2.0:
        gain_db = 17.6 * math.sqrt(b - 1.1) - 5.0 * math.log10(b - 1.1) - 8.0
    else:
        gain_db = 20.0 * math.log10(b + 0.1 * b**3)
    return max(gain_db, 2.0 + 20.0 * math.log10(admittance))


@kernel
def first_term_db(
    path_km: float,
    from_m: float,
    to_m: float,
    frequency_mhz: float,
    radius_km: float,
    vertical: bool,
    permittivity: float,
    conductivity: float,
) -> float:  # pragma: no cover - compiled
    """Return the loss of the first term of the residue series, section 3.1; negative means none."""
    k = surface_admittance(frequency_mhz, radius_km, vertical, permittivity, conductivity)
    beta = (1.0 + 1.6 * k**2 + 0.67 * k**4) / (1.0 + 4.5 * k**2 + 1.53 * k**4)
    x = 2.188 * beta * math.pow(frequency_mhz, 1.0 / 3.0) * math.pow(radius_km, -2.0 / 3.0) * path_km
    distance_db = -20.0 * math.log10(x) - 5.6488 * math.pow(x, 1.425)
    if x >= 1.6:
        distance_db = 11.0 + 10.0 * math.log10(x) - 17.6 * x
    scale = 9.575e-3 * beta * math.pow(frequency_mhz, 2.0 / 3.0) * math.pow(radius_km, -1.0 / 3.0)
    return -distance_db - height_gain_db(from_m, scale, k, beta) - height_gain_db(to_m, scale, k, beta)


@kernel
def least_clearance_m(
    path_km: float, from_m: float, to_m: float, radius_km: float
) -> tuple[float, float]:  # pragma: no cover - compiled
    """Return the least clearance of the ray over the smooth Earth, and its distance in km from the start.

    Section 3.2. Both heights are above the smooth Earth and positive.
    """
    m = 250.0 * path_km * path_km / (radius_km * (from_m + to_m))
    c = (from_m - to_m) / (from_m + to_m)
    angle = 1.5 * c * math.sqrt(3.0 * m / (m + 1.0) ** 3)
    angle = math.acos(min(1.0, max(-1.0, angle)))
    b = 2.0 * math.sqrt((m + 1.0) / (3.0 * m)) * math.cos(math.pi / 3.0 + angle / 3.0)
    near = 0.5 * path_km * (1.0 + b)
    far = path_km - near
    clear_m = (
        (from_m - 500.0 * near * near / radius_km) * far + (to_m - 500.0 * far * far / radius_km) * near
    ) / path_km
    return clear_m, near


@kernel
def spherical_earth_db(
    path_km: float,
    from_m: float,
    to_m: float,
    frequency_mhz: float,
    wavelength: float,
    radius_km: float,
    vertical: bool,
    permittivity: float,
    conductivity: float,
) -> float:  # pragma: no cover - compiled
    """Return the diffraction loss of a path of any length over the smooth Earth, section 3.2 step by step.

    Beyond the marginal line-of-sight distance the first term holds; nearer, it is scaled by what is missing of the
    clearance of zero loss. `wavelength` in metres.
    """
    root_sum = math.sqrt(from_m) + math.sqrt(to_m)
    marginal_km = math.sqrt(2.0 * radius_km) * math.sqrt(0.001) * root_sum
    if path_km >= marginal_km:
        full_db = first_term_db(path_km, from_m, to_m, frequency_mhz, radius_km, vertical, permittivity, conductivity)
        return max(full_db, 0.0)
    clear_m, near = least_clearance_m(path_km, from_m, to_m, radius_km)
    needed_m = 17.456 * math.sqrt(max(near * (path_km - near), 0.0) * wavelength / path_km)
    if clear_m > needed_m or needed_m <= 0.0:
        return 0.0
    grazing_radius_km = 500.0 * (path_km / root_sum) ** 2
    grazing_db = first_term_db(
        path_km, from_m, to_m, frequency_mhz, grazing_radius_km, vertical, permittivity, conductivity
    )
    if grazing_db <= 0.0:
        return 0.0
    return (1.0 - clear_m / needed_m) * grazing_db
