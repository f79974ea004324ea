"""Short flights in rotorpy, a flight simulator by others, against what the product says they take.

Its quads are given by constants: thrust k_η ω², torque k_m ω², drag of body and rotors. Mechanical power is the sum of
k_m ω³. Its torque knows no air through the disc: neither forward flight nor climb changes it but by the rotor speed
that is needed. It has no motor, no losses and no pack, so shafts are held against shafts.
"""

from __future__ import annotations

import csv
import math
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray
from rotorpy.vehicles.hummingbird_params import quad_params
from rotorpy.vehicles.multirotor import Multirotor

from turnback.physics.rotor import flight_power

Array = NDArray[np.float64]

DENSITY: Final = 1.225
SETTLE_S, SEGMENT_S, STEP_S = 4.0, 15.0, 0.01
QUADS: Final = 24
SEED: Final = 31
WIND_MPS: Final = 4.0
MERIT: Final = (0.52, 0.39, 0.62)
"""What a brief takes where nobody measured: middle and ends of 90 % (docs, typical values of a 5-inch)."""
DRAG_SHARE, CURRENT_SHARE = 0.25, 0.06
"""Ends of 90 % of an entered drag area and of a measured hover current (docs, typical values)."""
DRAWS: Final = 400
COLUMNS: Final = (
    "quad", "segment", "airspeed_mps", "climb_mps", "joules", "typical", "typical_low", "typical_high", "measured",
    "measured_low", "measured_high",
)  # fmt: skip


@dataclass(frozen=True)
class Quad:
    """A quad of rotorpy's, and what a pilot would know of it."""

    params: Mapping[str, Any]
    size: float
    merit: float

    @property
    def mass_kg(self) -> float:
        """Mass by which the product's gravity gives rotorpy's weight (its g is 9.81)."""
        return float(self.params["mass"]) * 9.81 / 9.80665

    @property
    def disc_m2(self) -> float:
        """Area of all discs."""
        return 4.0 * math.pi * float(self.params["rotor_radius"]) ** 2

    @property
    def hover_rad_s(self) -> float:
        """Rotor speed of hover."""
        return math.sqrt(float(self.params["mass"]) * 9.81 / (4.0 * float(self.params["k_eta"])))

    @property
    def thrust_coefficient(self) -> float:
        """T / (ρ n² D⁴)."""
        diameter = 2.0 * float(self.params["rotor_radius"])
        return float(self.params["k_eta"]) * (2.0 * math.pi) ** 2 / (DENSITY * diameter**4)

    def drag_area_m2(self, airspeed_mps: float) -> float:
        """Return the drag area that one flight at a speed would show: body and rotors together."""
        body = float(self.params["c_Dx"]) * airspeed_mps**2
        rotors = 4.0 * self.hover_rad_s * float(self.params["k_d"]) * airspeed_mps
        return 2.0 * (body + rotors) / (DENSITY * airspeed_mps**2)


@dataclass(frozen=True)
class Flown:
    """One segment of 15 s: energy in rotorpy, and what the product says, by what was known."""

    quad: int
    segment: str
    airspeed_mps: float
    climb_mps: float
    joules: float
    typical_j: tuple[float, float, float]
    """Middle and ends where nothing but mass, discs and drag is known."""
    measured_j: tuple[float, float, float]
    """Middle and ends where a hover was measured too."""


def quad_of(size: float, merit: float | None, drag: float) -> Quad:
    """Return rotorpy's small quad in another size (of lengths), with a figure of merit and drag of its own.

    Mass goes with the cube, thrust per ω² with the fourth power, torque per ω² with the fifth (similarity).
    """
    of: dict[str, Any] = dict(quad_params)
    powers = {
        "mass": 3,
        "rotor_radius": 1,
        "k_eta": 4,
        "k_m": 5,
        "k_d": 3,
        "k_z": 3,
        "k_h": 2,
        "c_Dx": 2,
        "c_Dy": 2,
        "c_Dz": 2,
    }
    powers |= dict.fromkeys(("Ixx", "Iyy", "Izz", "Ixy", "Iyz", "Ixz"), 5)
    for key, power in powers.items():
        of[key] = float(quad_params[key]) * size**power * (drag if key.startswith("c_D") else 1.0)
    of["rotor_pos"] = {key: size * np.asarray(place) for key, place in quad_params["rotor_pos"].items()}
    of["rotor_speed_max"] = 1500.0 / math.sqrt(size)
    quad = Quad(of, size, 0.0)
    weight = float(of["mass"]) * 9.81
    ideal = weight * math.sqrt(weight / (2.0 * DENSITY * quad.disc_m2))
    if merit is None:
        merit = ideal / (4.0 * float(of["k_m"]) * quad.hover_rad_s**3)
    else:
        of["k_m"] = ideal / merit / (4.0 * quad.hover_rad_s**3)
    return Quad(of, size, merit)


def quads() -> list[Quad]:
    """Return the quad as it comes, and 23 of other sizes whose figures of merit spread as in a wind tunnel.

    Brandt and others measured 0.35 to 0.63 (10 to 90 %) with a median of 0.52 on 42 propellers of 2.2 to 7 inches.
    """
    chance = np.random.default_rng(SEED)
    made = [quad_of(1.0, None, 1.0)]
    while len(made) < QUADS:
        merit = float(np.clip(chance.normal(0.50, 0.10), 0.30, 0.70))
        made.append(
            quad_of(
                float(np.exp(chance.uniform(np.log(0.5), np.log(1.4)))), merit, float(np.exp(chance.normal(0.3, 0.35)))
            )
        )
    return made


def segments(quad: Quad) -> dict[str, tuple[tuple[float, float, float], float]]:
    """Return each segment's velocity over ground and the wind along x; speeds go with the root of size."""
    pace = math.sqrt(quad.size)
    return {
        "hover": ((0.0, 0.0, 0.0), 0.0),
        "cruise": ((8.0 * pace, 0.0, 0.0), 0.0),
        "climb": ((0.0, 0.0, 2.5 * pace), 0.0),
        "into the wind": ((5.0 * pace, 0.0, 0.0), -WIND_MPS * pace),
        "with the wind": ((9.0 * pace, 0.0, 0.0), WIND_MPS * pace),
    }


def flown(quad: Quad, velocity: tuple[float, float, float], wind_mps: float) -> tuple[float, float, float]:
    """Fly rotorpy: settle, then 15 s; return mechanical energy, mean airspeed and mean climb."""
    craft = Multirotor(dict(quad.params), control_abstraction="cmd_vel")
    wind = np.array([wind_mps, 0.0, 0.0])
    state = {
        "x": np.zeros(3), "v": np.asarray(velocity), "q": np.array([0.0, 0.0, 0.0, 1.0]), "w": np.zeros(3),
        "wind": wind, "rotor_speeds": np.full(4, quad.hover_rad_s),
    }  # fmt: skip
    joules, airspeed, climb = 0.0, [], []
    for step in range(int((SETTLE_S + SEGMENT_S) / STEP_S)):
        state = craft.step(state, {"cmd_v": np.asarray(velocity)}, STEP_S)
        state["wind"] = wind
        if step * STEP_S >= SETTLE_S:
            joules += float(quad.params["k_m"]) * float(np.sum(state["rotor_speeds"] ** 3)) * STEP_S
            airspeed.append(float(np.hypot(*(state["v"] - wind)[:2])))
            climb.append(float(state["v"][2]))
    return joules, float(np.mean(airspeed)), float(np.mean(climb))


def said(
    quad: Quad, airspeed_mps: float, climb_mps: float, hover_w: float | None, seed: int
) -> tuple[float, float, float]:
    """Return what the product says a segment takes at the shafts: median and ends of 90 % over what is not known."""
    chance = np.random.default_rng(seed)
    merit = _two_sided(MERIT, chance)
    area = quad.drag_area_m2(8.0 * math.sqrt(quad.size)) * (1.0 + DRAG_SHARE / 1.645 * chance.normal(size=DRAWS))

    def shaft(airspeed: float, climb: float) -> Array:
        return np.asarray(flight_power(
            quad.mass_kg, airspeed, climb, DENSITY, quad.disc_m2, np.maximum(area, 1e-5), merit, 1.0,
            quad.thrust_coefficient,
        ).shaft_w)  # fmt: skip

    watts = shaft(airspeed_mps, climb_mps)
    if hover_w is not None:
        meter = 1.0 + CURRENT_SHARE / 1.645 * chance.normal(size=DRAWS)
        watts = watts * hover_w * meter / shaft(0.0, 0.0)
    low, mid, high = np.quantile(watts, [0.05, 0.5, 0.95]) * SEGMENT_S
    return float(mid), float(low), float(high)


def _two_sided(band: tuple[float, float, float], chance: np.random.Generator) -> Array:
    z = np.clip(chance.normal(size=DRAWS), -2.5, 2.5) / 1.645
    return band[0] + z * np.where(z > 0.0, band[2] - band[0], band[0] - band[1])


def flights() -> list[Flown]:
    """Fly every segment of every quad; the measured hover is read with a meter's error, as in a brief."""
    chance = np.random.default_rng(SEED + 1)
    rows = []
    for number, quad in enumerate(quads()):
        hover_w = 4.0 * float(quad.params["k_m"]) * quad.hover_rad_s**3
        hover_w *= 1.0 + CURRENT_SHARE / 1.645 * float(chance.normal())
        for which, (segment, (velocity, wind_mps)) in enumerate(segments(quad).items()):
            joules, airspeed, climb = flown(quad, velocity, wind_mps)
            seed = 100 * number + which
            rows.append(Flown(
                number, segment, airspeed, climb, joules,
                said(quad, airspeed, climb, None, seed), said(quad, airspeed, climb, hover_w, seed),
            ))  # fmt: skip
    return rows


def kept_flights(path: Path) -> list[Flown]:
    """Return the flights kept in a file, or fly them and keep them."""
    if path.exists():
        with path.open(newline="") as file:
            return [_read(row) for row in csv.DictReader(file)]
    rows = flights()
    with path.open("w", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(COLUMNS)
        for row in rows:
            fixed = (row.quad, row.segment, row.airspeed_mps, row.climb_mps, row.joules)
            writer.writerow([*fixed, *row.typical_j, *row.measured_j])
    return rows


def _read(row: Mapping[str, str]) -> Flown:
    typical = (float(row["typical"]), float(row["typical_low"]), float(row["typical_high"]))
    measured = (float(row["measured"]), float(row["measured_low"]), float(row["measured_high"]))
    airspeed_mps, climb_mps, joules = (float(row[name]) for name in COLUMNS[2:5])
    return Flown(int(row["quad"]), row["segment"], airspeed_mps, climb_mps, joules, typical, measured)
