"""Propeller: thrust and torque from diameter, pitch and blades, when nobody measured them.

An estimate with a wide band, not a design method. Static C_T of ten two-blade propellers of 3 to 5 inches and pitch
ratios of 0.6 to 1 (University propeller database, Brandt et al., at their highest speed) follows C_T = 0.18 p / D with
ratios of 0.75 to 1.28, standard deviation 15 %: band ±30 %. The power follows from the figure of merit, whose band is
wider (0.35 to 0.67 among the same ten) and which is data, not computed here. The growth with the number of blades is
from blade-element momentum theory at the solidity of such propellers; the database has no small three-blade ones.
"""

from __future__ import annotations

from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from turnback.base.ranges import within

Array = NDArray[np.float64]

THRUST_PER_PITCH_RATIO: Final = 0.18
"""C_T over p / D, two blades (fit to the University propeller database; see the module)."""
BLADES_EXPONENT: Final = 0.7
"""C_T grows as (blades / 2)^0.7 (blade-element momentum theory at a solidity of 0.055 a blade; our choice)."""
ZERO_THRUST_PITCHES: Final = 0.95
"""Advance at which thrust is gone, over pitch (0.8 to 1.1 in the same database)."""
LAPSE_EXPONENT: Final = 1.3
"""How thrust falls with advance (1.2 to 1.4 for three of four propellers of the same database, 2 for the fourth)."""
RPM_PER_RAD_S: Final = 30.0 / np.pi


def _diameter(value: Any) -> Array:
    return within("diameter_m", value, 0.01, 2.0, "m", "enter metres, not inches")


def _density(value: Any) -> Array:
    return within("density_kg_m3", value, 0.3, 1.7, "kg/m³", "enter kilograms per cubic metre, near 1.2 at sea level")


def _speed(value: Any) -> Array:
    return within("rotor_speed_rad_s", value, 0.0, 12_000.0, "rad/s", "enter radians per second, not rpm")


def static_thrust_coefficient(diameter_m: Any, pitch_m: Any, blades: Any) -> Array:
    """Return the static thrust coefficient C_T = T / (ρ n² D⁴), n in revolutions per second; good to ±30 %.

    Parameters
    ----------
    diameter_m : array_like
        0.01 to 2 m.
    pitch_m : array_like
        0.2 to 1.5 diameters.
    blades : array_like
        2 to 8.

    Raises
    ------
    InputError
        Outside those ranges.

    Notes
    -----
    0.18 (p / D) (blades / 2)^0.7, see the module.
    """
    diameter = _diameter(diameter_m)
    pitch = within("pitch_m", pitch_m, 0.001, 3.0, "m", "enter metres, not inches")
    ratio = within("pitch_m / diameter_m", pitch / diameter, 0.2, 1.5, "", "pitch and diameter do not fit together")
    count = within("blades", blades, 2.0, 8.0, "")
    return np.asarray(THRUST_PER_PITCH_RATIO * ratio * (count / 2.0) ** BLADES_EXPONENT)


def static_power_coefficient(thrust_coefficient: Any, figure_of_merit: Any) -> Array:
    """Return the static power coefficient C_P = P / (ρ n³ D⁵) that a figure of merit means.

    Notes
    -----
    sqrt(2 / π) C_T^1.5 / FM: the definition of the figure of merit in propeller coefficients (Brandt and Selig 2011).
    """
    thrust = within("thrust_coefficient", thrust_coefficient, 0.005, 1.0, "")
    merit = within("figure_of_merit", figure_of_merit, 0.05, 1.0, "", "enter a share: 52 % is 0.52")
    return np.asarray(np.sqrt(2.0 / np.pi) * thrust**1.5 / merit)


def thrust_constant_n_s2(thrust_coefficient: Any, density_kg_m3: Any, diameter_m: Any) -> Array:
    """Return k of T = k ω² in N s²/rad²: ρ D⁴ C_T / 4 π² (definition of C_T).

    Shapes broadcast; coefficient 0.005 to 1, density 0.3 to 1.7 kg/m³, diameter 0.01 to 2 m.
    """
    thrust = within("thrust_coefficient", thrust_coefficient, 0.005, 1.0, "")
    return np.asarray(_density(density_kg_m3) * _diameter(diameter_m) ** 4 * thrust / (4.0 * np.pi**2))


def torque_constant_nm_s2(power_coefficient: Any, density_kg_m3: Any, diameter_m: Any) -> Array:
    """Return k of Q = k ω² in N m s²/rad²: ρ D⁵ C_P / 8 π³ (definition of C_P, C_Q = C_P / 2 π).

    Shapes broadcast; coefficient 0.001 to 1, density 0.3 to 1.7 kg/m³, diameter 0.01 to 2 m.
    """
    power = within("power_coefficient", power_coefficient, 0.001, 1.0, "")
    return np.asarray(_density(density_kg_m3) * _diameter(diameter_m) ** 5 * power / (8.0 * np.pi**3))


def thrust_n(thrust_constant_n_s2: Any, rotor_speed_rad_s: Any) -> Array:
    """Return static thrust of one propeller, k ω² (definition of `thrust_constant_n_s2`)."""
    constant = within("thrust_constant_n_s2", thrust_constant_n_s2, 1e-12, 1.0, "N s²/rad²")
    return np.asarray(constant * _speed(rotor_speed_rad_s) ** 2)


def torque_nm(torque_constant_nm_s2: Any, rotor_speed_rad_s: Any) -> Array:
    """Return static torque of one propeller, k ω² (definition of `torque_constant_nm_s2`)."""
    constant = within("torque_constant_nm_s2", torque_constant_nm_s2, 1e-14, 1.0, "N m s²/rad²")
    return np.asarray(constant * _speed(rotor_speed_rad_s) ** 2)


def rotor_speed_for_thrust_rad_s(thrust_n: Any, thrust_constant_n_s2: Any) -> Array:
    """Return the rotor speed at which one propeller at rest gives a thrust, sqrt(T / k).

    Parameters
    ----------
    thrust_n : array_like
        Of one propeller, 0 to 1000 N.
    thrust_constant_n_s2 : array_like
        See `thrust_constant_n_s2`.
    """
    thrust = within("thrust_n", thrust_n, 0.0, 1000.0, "N", "enter newtons, not grams")
    constant = within("thrust_constant_n_s2", thrust_constant_n_s2, 1e-12, 1.0, "N s²/rad²")
    return np.asarray(np.sqrt(thrust / constant))


def thrust_lapse(through_mps: Any, rotor_speed_rad_s: Any, pitch_m: Any) -> Array:
    """Return the share of static thrust left when air flows through the disc at the same rotor speed.

    Parameters
    ----------
    through_mps : array_like
        Air through the disc from above, -60 to 100 m/s; below 0 the share stays 1.
    rotor_speed_rad_s : array_like
        Above 0 to 12,000 rad/s.
    pitch_m : array_like
        0.001 to 3 m.

    Notes
    -----
    1 - (J / J₀)^1.3 with J₀ = 0.95 p / D, no less than 0: fit to advance sweeps of the University propeller database
    (Brandt et al.), within 0.19 of static thrust for four two-blade propellers of 3 to 5 inches.
    """
    through = within("through_mps", through_mps, -60.0, 100.0, "m/s")
    pitch = within("pitch_m", pitch_m, 0.001, 3.0, "m", "enter metres, not inches")
    speed = within("rotor_speed_rad_s", rotor_speed_rad_s, 1e-3, 12_000.0, "rad/s", "enter radians per second, not rpm")
    share = 2.0 * np.pi * np.maximum(through, 0.0) / (speed * ZERO_THRUST_PITCHES * pitch)
    return np.asarray(np.maximum(1.0 - share**LAPSE_EXPONENT, 0.0))
