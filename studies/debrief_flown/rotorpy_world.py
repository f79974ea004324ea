"""What the second generator flies: a made-up aircraft, where it is sent, and what is wrong with it.

Axes of rotorpy: x forward, y left, z up; the world x north, y west, z up. Corners in the order front-left, front-right,
rear-left, rear-right.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Rng = np.random.Generator
NEVER: Final = 1e9
G: Final = 9.81
AIR: Final = 1.225
CHARGES: Final = (-0.1, -0.03, 0.0, 0.05, 0.1, 0.2, 0.35, 0.5, 0.65, 0.8, 0.9, 0.96, 1.0)
RESTS: Final = (2.1, 2.85, 3.27, 3.52, 3.64, 3.71, 3.77, 3.82, 3.90, 4.00, 4.07, 4.13, 4.19)
"""Rest volts of one cell by charge, of a made-up pack (shape: common practice)."""


@dataclass(slots=True)
class Build:
    """The aircraft; SI units, charge in Ah."""

    inch: float
    mass: float
    ixx: float
    iyy: float
    izz: float
    arm: float
    force_most: float  # of one corner, full pack, sea level
    speed_most: float  # rad/s
    linear: float  # share of thrust that goes with output, the rest with its square
    lag_s: float
    turn_m: float  # yaw moment over thrust
    drag: float  # N per (m/s)²
    scheme: float  # +1: front-left clockwise seen from above
    blades: int
    cells: int
    capacity: float
    ohm: float
    slow_ohm: float
    slow_s: float
    charge: float
    watt_hover: float
    watt_board: float
    tilt_most: float
    rate_most: float
    gain: float
    wobble: float  # of the rates, rad/s
    felt: float  # noise of acceleration
    shake: tuple[float, float, float, float]  # unbalance of each corner
    level_dbm: float  # at 10 m
    needs_dbm: float
    temperature_c: float
    ground_m: float


@dataclass(slots=True)
class Way:
    """Where it is sent: times in s, lengths in m, angles in rad clockwise from north."""

    arm_s: float
    off_s: float
    out_s: float
    back_s: float
    home_s: float
    down_s: float
    end_s: float
    height: float
    speed: float
    course: float
    wind: float
    wind_to: float
    gust: float
    rate_mode: bool
    nose_turns: bool
    """It yaws while it flies out."""


@dataclass(slots=True)
class Wrong:
    """What is wrong; nothing where it stands as it is."""

    at_s: float = NEVER
    notes: dict[str, Any] = field(default_factory=dict)
    # corners
    lift: list[float] = field(default_factory=lambda: [1.0] * 4)  # thrust; below 0 it pushes down
    twist: list[float] = field(default_factory=lambda: [1.0] * 4)  # yaw moment, below 0 the other way
    swift: list[float] = field(default_factory=lambda: [1.0] * 4)  # speed over what the output gives
    thirst: list[float] = field(default_factory=lambda: [1.0] * 4)  # power over what the speed takes
    later: dict[str, list[float]] = field(default_factory=dict)  # the same four from `at_s` on
    stops: tuple[int, float, float] | None = None  # corner, from, until
    stop_needs: str = ""  # "punch", "current": when the pilot asks for much
    order: tuple[int, int, int, int] = (0, 1, 2, 3)  # whose output a corner gets
    board_turn: float = 0.0  # rad about the upright axis
    board_over: bool = False
    shift: tuple[float, float] = (0.0, 0.0)  # of the centre of mass, forward and right
    shift_at_s: float = 0.0
    gain: float = 1.0
    yaw_backward: bool = False
    level: tuple[float, float] = (0.0, 0.0)  # what the board takes for level is tilted by
    idle_stalls: bool = False
    # pack
    ohm: float = 1.0
    ohm_cold: float = 0.0  # share on top that goes as the pack warms
    cell_low: float = 0.0  # charge that one cell lacks
    lead_ohm: float = 0.0
    volts_scale: float = 1.0
    volts_noise: float = 0.0
    capacity: float = 1.0
    # hands
    hands: str = ""
    stick_swap: tuple[int, int] | None = None
    stick_sign: tuple[float, float, float] = (1.0, 1.0, 1.0)
    stick_off: tuple[float, float, float] = (0.0, 0.0, 0.0)
    never_arms: bool = False
    disarms_s: float = NEVER
    dies_s: float = NEVER
    # link
    link: str = ""
    lost_s: float = NEVER
    lost_until_s: float = NEVER
    action: str = "return"
    frozen: tuple[tuple[float, float], ...] = ()
    # return
    returns_s: float = NEVER
    over_s: float = NEVER  # the pilot takes over
    return_speed: float = 7.0
    return_height: float = NEVER
    launch: tuple[float, float] = (0.0, 0.0)
    heading_off: float = 0.0
    heading_by_current: float = 0.0
    heading_near_ground: float = 0.0
    lands: bool = True
    obstacle_m: float = NEVER  # from the launch point on the way home
    strikes_s: float = NEVER
    jumps: bool = False
    shakes_all: float = 1.0
    shakes_at: tuple[float, float, float, float] = (1.0, 1.0, 1.0, 1.0)
    rough: float = 0.0  # broad vibration
    density: float = 1.0
    wash: bool = False


def draw_build(rng: Rng) -> Build:
    """Draw an aircraft of 4 to 8 inch propellers; no real one is meant."""
    u = rng.uniform
    inch = float(rng.choice([4.0, 5.0, 5.0, 5.5, 6.0, 7.0, 8.0]))
    size = inch / 5.0
    mass = 0.58 * size**2.2 * u(0.85, 1.25)
    arm = 0.0254 * inch * u(0.54, 0.68)
    ixx = 0.42 * mass * arm**2 * u(0.8, 1.2)
    margin = u(2.8, 6.0)
    capacity = 1.25 * size**1.7 * u(0.85, 1.3)
    cells = int(rng.choice([4, 6])) if inch < 7.5 else 6
    thrust = mass * G / 4.0
    disc = math.pi / 4.0 * (0.0254 * inch) ** 2
    watt = 4.0 * thrust**1.5 / math.sqrt(2.0 * AIR * disc) / u(0.34, 0.46)
    volts = 3.85 * cells
    return Build(
        inch=inch, mass=mass, ixx=ixx, iyy=ixx * u(1.0, 1.35), izz=ixx * u(1.6, 1.9), arm=arm,
        force_most=margin * thrust, speed_most=2.0 * math.pi * 430.0 / size * u(0.85, 1.05), linear=u(0.2, 0.5),
        lag_s=0.022 * size**0.5 * u(0.85, 1.3), turn_m=0.015 * size * u(0.8, 1.2), drag=0.010 * size**1.8 * u(0.7, 1.4),
        scheme=float(rng.choice([-1.0, 1.0])), blades=int(rng.choice([2, 3])), cells=cells, capacity=capacity,
        ohm=cells * 0.0085 / capacity * u(0.7, 1.4), slow_ohm=cells * 0.003 / capacity, slow_s=u(4.0, 10.0),
        charge=u(0.93, 1.0), watt_hover=watt, watt_board=u(5.0, 11.0) * volts / 16.0,
        tilt_most=math.radians(u(38.0, 55.0)), rate_most=math.radians(u(350.0, 800.0)), gain=u(0.85, 1.1),
        wobble=u(0.008, 0.03), felt=u(0.1, 0.35),
        shake=(u(0.5, 1.0), u(0.5, 1.0), u(0.5, 1.0), u(0.5, 1.0)), level_dbm=u(-50.0, -40.0),
        needs_dbm=u(-112.0, -104.0), temperature_c=u(14.0, 27.0), ground_m=u(5.0, 600.0),
    )  # fmt: skip


def draw_way(rng: Rng) -> Way:
    """Draw a flight out and back of 30 to 45 s."""
    u = rng.uniform
    arm = u(1.2, 2.2)
    off = arm + u(0.8, 1.6)
    height = u(9.0, 22.0)
    out = off + height / 2.6 + u(3.0, 4.5)
    leg = u(6.0, 8.5)
    back = out + leg + 0.8
    home = back + leg
    down = home + u(2.5, 4.0)
    wind = float(u(0.3, 4.5))
    return Way(
        arm_s=arm, off_s=off, out_s=out, back_s=back, home_s=home, down_s=down, end_s=down + height / 2.4 + 4.5,
        height=height, speed=u(6.0, 11.0), course=u(-math.pi, math.pi), wind=wind, wind_to=u(-math.pi, math.pi),
        gust=0.12 * wind + u(0.05, 0.2), rate_mode=bool(rng.random() < 0.25), nose_turns=bool(rng.random() < 0.5),
    )  # fmt: skip


def rest_v(charge: float) -> float:
    """Return the rest volts of one cell."""
    return float(np.interp(charge, CHARGES, RESTS))
