"""What flying takes: momentum theory with blade-element losses, written anew for this study."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

GRAVITY_MPS2: Final = 9.80665
STEEPEST_RAD: Final = math.radians(50.0)
"""Self-levelling aircraft lean no farther."""


@dataclass(frozen=True)
class Craft:
    """One aircraft, true values, SI; `disc_m2` is one disc's of four."""

    mass_kg: float
    disc_m2: float
    radius_m: float
    solidity: float
    blade_drag: float
    induced_factor: float
    rotor_drag_ratio: float
    drag_area_m2: float
    drag_exponent: float
    efficiency: float
    auxiliary_w: float
    thrust_coefficient: float
    """T = C ρ A (Ω R)²."""
    descent_share: float
    duct_share: float


def hover_ideal_w(thrust_n: float, density_kg_m3: float, disc_m2: float) -> float:
    """Return T sqrt(T / 2ρA), the ideal power of hover (Rankine and Froude)."""
    return thrust_n * math.sqrt(thrust_n / (2.0 * density_kg_m3 * disc_m2))


def _tip_mps(craft: Craft, thrust_n: float, density: float) -> float:
    return math.sqrt(thrust_n / (craft.thrust_coefficient * density * 4.0 * craft.disc_m2))


def lean(craft: Craft, airspeed_mps: float, density: float) -> tuple[float, float]:
    """Return thrust (N) and lean (rad) in level flight: weight, body drag, rotors' drag and, ducted, the air turned."""
    weight = craft.mass_kg * GRAVITY_MPS2
    tip = _tip_mps(craft, weight, density)
    body = 0.5 * density * craft.drag_area_m2 * 100.0 * (airspeed_mps / 10.0) ** craft.drag_exponent
    rotors = craft.rotor_drag_ratio * weight * airspeed_mps / tip
    hover_mps = math.sqrt(weight / (8.0 * density * craft.disc_m2))
    turned = craft.duct_share * density * 4.0 * craft.disc_m2 * hover_mps * airspeed_mps
    drag = body + rotors + turned
    angle = min(math.atan2(drag, weight), STEEPEST_RAD)
    return math.hypot(weight, drag), angle


def shaft_w(craft: Craft, airspeed_mps: float, climb_mps: float, density: float) -> float:
    """Return shaft power of all four rotors.

    Induced velocity in edgewise flow in closed form, v = v_h sqrt(sqrt(1 + x⁴/4) - x²/2), x = V / v_h, as rotary-wing
    energy papers write it; blades' own drag σ c_d / 8 ρ A (ΩR)³ (1 + 3 μ²); drag and climb as force times speed.
    """
    thrust, angle = lean(craft, airspeed_mps, density)
    hover_mps = math.sqrt(thrust / (8.0 * density * craft.disc_m2))
    x = (1.0 - craft.duct_share) * airspeed_mps / hover_mps
    induced = hover_mps * math.sqrt(math.sqrt(1.0 + x**4 / 4.0) - x * x / 2.0)
    if climb_mps > 0.0:  # axial inflow thins the wake's own: v (v + V_c) = v_0²
        induced = -0.5 * climb_mps + math.sqrt(0.25 * climb_mps**2 + induced**2)
    tip = _tip_mps(craft, thrust, density)
    blades = craft.solidity * craft.blade_drag / 8.0 * density * 4.0 * craft.disc_m2 * tip**3
    blades *= 1.0 + 3.0 * (airspeed_mps / tip) ** 2
    level = craft.induced_factor * thrust * induced + blades + thrust * math.sin(angle) * airspeed_mps
    if climb_mps >= 0.0:
        return level + craft.mass_kg * GRAVITY_MPS2 * climb_mps
    return level * craft.descent_share


def pack_w(craft: Craft, airspeed_mps: float, climb_mps: float, density: float) -> float:
    """Return power from the pack, board and radios included."""
    return shaft_w(craft, airspeed_mps, climb_mps, density) / craft.efficiency + craft.auxiliary_w


def figure_of_merit(craft: Craft, density: float) -> float:
    """Return ideal over shaft power in hover."""
    weight = craft.mass_kg * GRAVITY_MPS2
    return hover_ideal_w(weight, density, 4.0 * craft.disc_m2) / shaft_w(craft, 0.0, 0.0, density)


def fastest_mps(craft: Craft, density: float) -> float:
    """Return the airspeed at which the lean reaches its most, by halving."""
    low, high = 1.0, 60.0
    for _ in range(40):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if lean(craft, middle, density)[1] < STEEPEST_RAD - 1e-9 else (low, middle)
    return low


def density_kg_m3(air_c: float, height_m: float) -> float:
    """Return the density of dry air in a standard pressure at a height, at the day's temperature."""
    pressure = 101_325.0 * (1.0 - 2.25577e-5 * height_m) ** 5.25588
    return float(pressure / (287.058 * (air_c + 273.15)))
