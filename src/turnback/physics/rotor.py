"""Rotor: what it costs to hold, move and lift an aircraft through the air.

Momentum theory of all discs together, with Glauert's induced velocity in forward flight, the body's drag, the blades'
own drag, and a figure of merit that ties the whole to a measured hover.

How power is split. A figure of merit FM says that hover takes P_h = P_i / FM, with P_i = T^1.5 / sqrt(2 ρ A). Of that,
κ P_i is induced (κ = 1.15 for uneven inflow and swirl: Leishman, section 2.6, typical) and the rest,
P_0 = (1 / FM - κ) P_i, turns the blades against their own drag. In flight

    P = κ T v_i + T (V sin α + V_c cos α) + P_0 (1 + 4.65 μ²)

with v_i by Glauert, the middle term drag and climb, and 4.65 the rise of profile power with advance ratio μ (Bennett
1940, as in Leishman, section 5.4; it holds the in-plane drag of the blades). At rest this is P_i / FM, exactly. Where
FM exceeds 1 / κ no profile power is left and κ is 1 / FM.

What it leaves out: rotors shade each other, blades stall, propellers of fixed pitch slow their gain of thrust with
inflow (see `turnback.physics.propeller`), wakes near the ground. A hover and a cruise measured on the aircraft beat it.
"""

from __future__ import annotations

import math
from typing import Any, Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from turnback.base.constants import GRAVITY_MPS2
from turnback.base.ranges import within
from turnback.physics.rotor_kernel import flight_kernel, induced_kernel

Array = NDArray[np.float64]

INDUCED_FACTOR: Final = 1.15
"""κ, Leishman, Principles of Helicopter Aerodynamics, section 2.6 (typical)."""
DESCENT_FLOOR: Final = 0.8
"""Least power of a descent over hover power (our choice, see `flight_power`)."""


def _density(value: Any) -> Array:
    return within("density_kg_m3", value, 0.3, 1.7, "kg/m³", "enter kilograms per cubic metre, near 1.2 at sea level")


def _disc(value: Any) -> Array:
    return within("disc_area_m2", value, 1e-4, 20.0, "m²", "enter the area of all discs together, in square metres")


def _thrust(value: Any) -> Array:
    return within("thrust_n", value, 0.0, 5000.0, "N", "enter newtons, not grams")


def disc_area_m2(diameter_m: Any, rotors: Any) -> Array:
    """Return the area of the discs of all rotors together, n π D² / 4 (geometry)."""
    diameter = within("diameter_m", diameter_m, 0.01, 2.0, "m", "enter metres, not inches")
    return np.asarray(within("rotors", rotors, 1, 16, "") * np.pi * diameter**2 / 4.0)


def hover_induced_mps(thrust_n: Any, density_kg_m3: Any, disc_area_m2: Any) -> Array:
    """Return the induced velocity of still hover, sqrt(T / (2 ρ A)) (Leishman, equation 2.15).

    Parameters
    ----------
    thrust_n : array_like
        Of all rotors together, 0 to 5000 N.
    density_kg_m3 : array_like
        0.3 to 1.7 kg/m³.
    disc_area_m2 : array_like
        Of all discs together, 0.0001 to 20 m².
    """
    return np.asarray(np.sqrt(_thrust(thrust_n) / (2.0 * _density(density_kg_m3) * _disc(disc_area_m2))))


def induced_mps(thrust_n: Any, density_kg_m3: Any, disc_area_m2: Any, through_mps: Any, in_plane_mps: Any) -> Array:
    """Return the induced velocity of a disc moving through air.

    Parameters
    ----------
    thrust_n, density_kg_m3, disc_area_m2 : array_like
        As for `hover_induced_mps`.
    through_mps : array_like
        Air through the disc from above: positive in climb, -60 to 100 m/s.
    in_plane_mps : array_like
        Air along the disc, 0 to 100 m/s.

    Notes
    -----
    v_i = v_h² / sqrt(V_t² + (V_n + v_i)²), solved by Newton's method from above to the greatest root (Glauert;
    Leishman, section 2.14). In steep descent the equation has no physical answer (vortex ring); the root returned then
    continues that of climb, which is too small: see the floor of `flight_power`.
    """
    through = within("through_mps", through_mps, -60.0, 100.0, "m/s")
    in_plane = within("in_plane_mps", in_plane_mps, 0.0, 100.0, "m/s")
    hover = hover_induced_mps(thrust_n, density_kg_m3, disc_area_m2)
    return _over(induced_kernel, 1, hover, through, in_plane)[0]


def hover_power_w(thrust_n: Any, density_kg_m3: Any, disc_area_m2: Any, figure_of_merit: Any = 1.0) -> Array:
    """Return shaft power of still hover, T^1.5 / (FM sqrt(2 ρ A)) (Leishman, equations 2.17 and 2.43).

    A figure of merit of 1 gives the ideal power.
    """
    merit = within("figure_of_merit", figure_of_merit, 0.05, 1.0, "", "enter a share: 52 % is 0.52")
    return np.asarray(_thrust(thrust_n) * hover_induced_mps(thrust_n, density_kg_m3, disc_area_m2) / merit)


class FlightPower(NamedTuple):
    """What a steady flight takes; every array has the inputs' broadcast shape."""

    shaft_w: Array
    """Of all motors together."""
    electrical_w: Array
    """Shaft power over electrical efficiency; without board, camera and radios."""
    thrust_n: Array
    """Of all rotors together."""
    tilt_rad: Array
    """Of the discs from the horizontal, nose down positive."""
    through_mps: Array
    """Air through the discs from above, without the induced velocity."""
    induced_mps: Array


def flight_power(
    mass_kg: Any,
    airspeed_mps: Any,
    climb_mps: Any,
    density_kg_m3: Any,
    disc_area_m2: Any,
    drag_area_m2: Any,
    figure_of_merit: Any,
    electrical_efficiency: Any,
    thrust_coefficient: Any,
    duct_share: Any = 0.0,
    induced_factor: Any = INDUCED_FACTOR,
    descent_floor: Any = DESCENT_FLOOR,
) -> FlightPower:
    """Return what a steady flight takes, by momentum theory with losses (see the module).

    Parameters
    ----------
    mass_kg : array_like
        With the pack, 0.005 to 50 kg.
    airspeed_mps : array_like
        Horizontal airspeed, 0 to 60 m/s.
    climb_mps : array_like
        -30 to 30 m/s, up positive.
    density_kg_m3, disc_area_m2 : array_like
        As for `hover_induced_mps`.
    drag_area_m2 : array_like
        Drag coefficient times area of the body, 0 to 5 m², taken the same from every side.
    figure_of_merit : array_like
        Hover, open discs, 0.1 to 1: ideal over shaft power. What a duct gains in hover is part of it.
    electrical_efficiency : array_like
        Shaft power over power at the pack, 0.1 to 1.
    thrust_coefficient : array_like
        Static C_T = T / (ρ n² D⁴) of one propeller, 0.02 to 0.6; sets the tip speed, hence μ.
    duct_share : array_like
        0 open, 1 a duct deep enough to turn all its air along its axis; a short ring about 0.5 (our choice). The turned
        share brings momentum drag ρ A (V_n + v_i) V_t in the discs' plane, and does not gain from forward flight.
    induced_factor : array_like
        κ, 1 to 1.5.
    descent_floor : array_like
        0 to 1, a share of hover power.

    Raises
    ------
    InputError
        Outside those ranges.

    Notes
    -----
    Descent: momentum theory gives back energy that rotors do not. Measured in vertical descent (Castles and Gray 1951,
    Leishman's fit, section 2.13), power stays at 0.8 to 1 of hover up to a descent of v_h. So power falls in descent
    only to `descent_floor` of hover power, or to level power where that is less; it never falls below.
    """
    fields = (
        within("mass_kg", mass_kg, 0.005, 50.0, "kg", "enter kilograms, not grams"),
        within("airspeed_mps", airspeed_mps, 0.0, 60.0, "m/s", "enter metres per second, not km/h"),
        within("climb_mps", climb_mps, -30.0, 30.0, "m/s"),
        _density(density_kg_m3),
        _disc(disc_area_m2),
        within("drag_area_m2", drag_area_m2, 0.0, 5.0, "m²", "enter square metres, not square centimetres"),
        within("figure_of_merit", figure_of_merit, 0.1, 1.0, "", "enter a share: 52 % is 0.52"),
        within("electrical_efficiency", electrical_efficiency, 0.1, 1.0, "", "enter a share: 75 % is 0.75"),
        within("thrust_coefficient", thrust_coefficient, 0.02, 0.6, ""),
        within("duct_share", duct_share, 0.0, 1.0, ""),
        within("induced_factor", induced_factor, 1.0, 1.5, ""),
        within("descent_floor", descent_floor, 0.0, 1.0, ""),
    )
    return FlightPower(*_over(flight_kernel, 6, *fields))


def _over(kernel: Any, outputs: int, *fields: Array) -> tuple[Array, ...]:
    """Run an elementwise kernel over broadcast inputs."""
    shape = np.broadcast_shapes(*(field.shape for field in fields))
    out = np.empty((outputs, math.prod(shape)))
    kernel(*(_flat(field, shape) for field in fields), out)
    return tuple(row.reshape(shape) for row in out)


def _flat(field: Array, shape: tuple[int, ...]) -> Array:
    """Return an input as the kernel takes it: one element, or as many as the answer, copied only where it must be."""
    if field.size == 1:
        flat = field.reshape(1)
    elif field.shape == shape:
        flat = np.ascontiguousarray(field).reshape(-1)
    else:
        flat = np.broadcast_to(field, shape).reshape(-1)
    return flat if flat.flags.writeable else flat.copy()  # a read-only array would be compiled for anew


def level_speed_limit_mps(thrust_n: Any, mass_kg: Any, density_kg_m3: Any, drag_area_m2: Any) -> Array:
    """Return the level airspeed at which drag and weight take all the thrust there is; 0 where it cannot hover.

    Parameters
    ----------
    thrust_n : array_like
        Greatest thrust of all rotors at that speed, 0 to 5000 N.
    mass_kg, density_kg_m3, drag_area_m2 : array_like
        As for `flight_power`; drag area above 0.00001 m².

    Notes
    -----
    T² = (m g)² + (½ ρ CdA V²)², solved for V: the balance of forces, open propellers.
    """
    mass = within("mass_kg", mass_kg, 0.005, 50.0, "kg", "enter kilograms, not grams")
    drag_area = within("drag_area_m2", drag_area_m2, 1e-5, 5.0, "m²", "enter square metres, not square centimetres")
    spare = np.sqrt(np.maximum(_thrust(thrust_n) ** 2 - (mass * GRAVITY_MPS2) ** 2, 0.0))
    return np.asarray(np.sqrt(2.0 * spare / (_density(density_kg_m3) * drag_area)))
