"""Falling with the motors stopped: straight down by a closed form, with speed and wind by marching to the ground.

A point mass with quadratic drag, the same from every side: m dv/dt = -½ ρ CdA |v - w| (v - w) - m g, w the wind at its
height. A real aircraft tumbles, and so lifts a little to and fro; the wide band of its drag area stands for that. Its
propellers stand still or turn by themselves: neither brakes it as a wing of a helicopter does.
"""

from __future__ import annotations

import math
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from turnback.base.constants import GRAVITY_MPS2
from turnback.base.ranges import within
from turnback.physics.fall_kernel import falls_kernel
from turnback.physics.terrain_grid import TerrainGrid
from turnback.physics.wind import FASTEST_MPS

Array = NDArray[np.float64]

HIGHEST_FALL_M = 5000.0
STEP_SHARE = 0.025
SLOWEST_MPS = 1.0
"""Least terminal speed taken: what falls more slowly is a leaf, not an aircraft."""


def _mass(value: Any) -> Array:
    return within("mass_kg", value, 0.005, 50.0, "kg", "enter kilograms, not grams")


def _height(value: Any) -> Array:
    return within("height_m", value, 0.0, HIGHEST_FALL_M, "m", "enter metres above the ground")


def _density(value: Any) -> Array:
    return within("density_kg_m3", value, 0.3, 1.7, "kg/m³", "enter kilograms per cubic metre, near 1.2 at sea level")


def _velocity(name: str, value: Any) -> Array:
    return within(name, value, -FASTEST_MPS, FASTEST_MPS, "m/s", "enter metres per second, not km/h")


def terminal_mps(mass_kg: Any, drag_area_m2: Any, density_kg_m3: Any) -> Array:
    """Return the speed at which drag carries the weight, v_t = sqrt(2 m g / (ρ CdA)) (balance of forces).

    Parameters
    ----------
    mass_kg : array_like
        With the pack, 0.005 to 50 kg.
    drag_area_m2 : array_like
        Drag coefficient times area, 0.00001 to 5 m².
    density_kg_m3 : array_like
        Of the air, 0.3 to 1.7 kg/m³.

    Raises
    ------
    InputError
        Outside those ranges.
    """
    drag_area = within("drag_area_m2", drag_area_m2, 1e-5, 5.0, "m²", "enter square metres, not square centimetres")
    return np.asarray(np.sqrt(2.0 * _mass(mass_kg) * GRAVITY_MPS2 / (_density(density_kg_m3) * drag_area)))


def drop_speed_mps(height_m: Any, terminal_mps: Any) -> Array:
    """Return the speed after a drop from rest in still air.

    Parameters
    ----------
    height_m : array_like
        Dropped, 0 to 5000 m.
    terminal_mps : array_like
        See `terminal_mps`, 0.1 to 10,000 m/s.

    Notes
    -----
    v = v_t sqrt(1 - exp(-2 g h / v_t²)): the equation of motion with quadratic drag, integrated over height.
    """
    end = within("terminal_mps", terminal_mps, 0.1, 1e4, "m/s")
    return np.asarray(end * np.sqrt(-np.expm1(-2.0 * GRAVITY_MPS2 * _height(height_m) / end**2)))


def drop_s(height_m: Any, terminal_mps: Any) -> Array:
    """Return the time of a drop from rest in still air.

    Parameters
    ----------
    height_m : array_like
        Dropped, 0 to 5000 m.
    terminal_mps : array_like
        See `terminal_mps`, 0.1 to 10,000 m/s.

    Notes
    -----
    t = (v_t / g) acosh(exp(q)), q = g h / v_t²; written as q + ln(1 + sqrt(1 - exp(-2 q))), which neither overflows nor
    loses digits.
    """
    end = within("terminal_mps", terminal_mps, 0.1, 1e4, "m/s")
    depth = GRAVITY_MPS2 * _height(height_m) / end**2
    return np.asarray(end / GRAVITY_MPS2 * (depth + np.log1p(np.sqrt(-np.expm1(-2.0 * depth)))))


def kinetic_energy_j(mass_kg: Any, speed_mps: Any) -> Array:
    """Return the energy of motion, ½ m v².

    Parameters
    ----------
    mass_kg : array_like
        0.005 to 50 kg.
    speed_mps : array_like
        0 to 400 m/s.
    """
    speed = within("speed_mps", speed_mps, 0.0, 4.0 * FASTEST_MPS, "m/s", "enter metres per second, not km/h")
    return np.asarray(0.5 * _mass(mass_kg) * speed**2)


def _drag_over_mass(mass_kg: Any, drag_area_m2: Array, density_kg_m3: Any) -> Array:
    """Return k = ρ CdA / (2 m), per metre, of what falls no more slowly than `SLOWEST_MPS`."""
    drag = 0.5 * _density(density_kg_m3) * drag_area_m2 / _mass(mass_kg)
    most = GRAVITY_MPS2 / SLOWEST_MPS**2
    return within("drag_area_m2", drag, 0.0, most, "1/m (over mass)", "it would float: give a smaller drag area")


class Fall(NamedTuple):
    """Where and how a fall ends; every array has the inputs' broadcast shape."""

    x_m: Array
    y_m: Array
    """Where it meets the ground, east and north of the origin of the start."""
    fall_s: Array
    speed_mps: Array
    """At the ground, over ground."""
    sink_mps: Array
    """The part of it straight down."""


def fall_to_ground(
    mass_kg: Any,
    drag_area_m2: Any,
    density_kg_m3: Any,
    height_m: Any,
    east_mps: Any,
    north_mps: Any,
    climb_mps: Any,
    wind_east_mps: Any,
    wind_north_mps: Any,
    roughness_m: float,
    x_m: Any = 0.0,
    y_m: Any = 0.0,
    ground: TerrainGrid | None = None,
    step_share: float = STEP_SHARE,
) -> Fall:
    """Let a point mass fall in wind, from a height and a velocity down to the ground.

    Parameters
    ----------
    mass_kg, density_kg_m3 : array_like
        As for `terminal_mps`.
    drag_area_m2 : array_like
        0 to 5 m², and no terminal speed below 1 m/s; 0 is a fall without drag.
    height_m : array_like
        Above the ground under the start, 0 to 5000 m. At 0 it is on the ground already, at the speed it has.
    east_mps, north_mps, climb_mps : array_like
        Velocity over ground at the start, -100 to 100 m/s, climb up positive.
    wind_east_mps, wind_north_mps : array_like
        Toward which the wind blows at 10 m above ground, -100 to 100 m/s.
    roughness_m : float
        Of the wind's growth with height (see `turnback.physics.wind.wind_at_height_mps`), 0.0001 to 1 m; 0 is the same
        wind at every height.
    x_m, y_m : array_like
        Start, east and north of the launch point.
    ground : TerrainGrid, optional
        Ground it falls onto; level everywhere where left out. Beyond its rim the rim's height goes on.
    step_share : float
        Step over the shortest of the fall's time scales, 0.001 to 0.5.

    Raises
    ------
    InputError
        Outside those ranges.

    Notes
    -----
    Runge-Kutta of order four; at the usual step to 1e-6 of path, time and speed over level ground, at 0.15 to 1e-4.
    Below 2 m the wind is that at 2 m. The wind's height counts from the ground under each step's
    start.
    """
    drag_area = within("drag_area_m2", drag_area_m2, 0.0, 5.0, "m²", "enter square metres, not square centimetres")
    fields = np.broadcast_arrays(
        within("x_m", x_m, -1e6, 1e6, "m"),
        within("y_m", y_m, -1e6, 1e6, "m"),
        _height(height_m),
        _velocity("east_mps", east_mps),
        _velocity("north_mps", north_mps),
        _velocity("climb_mps", climb_mps),
        _drag_over_mass(mass_kg, drag_area, density_kg_m3),
        _velocity("wind_east_mps", wind_east_mps),
        _velocity("wind_north_mps", wind_north_mps),
    )
    shape = fields[0].shape
    worlds = np.empty((math.prod(shape), len(fields)))
    for column, field in enumerate(fields):
        worlds[:, column] = field.reshape(-1)
    grid = ground or TerrainGrid(np.zeros((2, 2), dtype=np.float32), 0.0, 0.0, 1.0)
    roughness = float(within("roughness_m", roughness_m, 0.0, 1.0, "m", "enter a roughness length, not a height"))
    if 0.0 < roughness < 1e-4:
        within("roughness_m", roughness, 1e-4, 1.0, "m", "enter 0 for the same wind at every height")
    share = float(within("step_share", step_share, 1e-3, 0.5, ""))
    out = np.empty((worlds.shape[0], len(Fall._fields)))
    falls_kernel(worlds, grid.height_m, grid.x_west_m, grid.y_north_m, grid.cell_m, roughness, share, out)
    return Fall(*(np.ascontiguousarray(column).reshape(shape) for column in out.T))
