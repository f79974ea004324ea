"""What is drawn at random when a plan's truth is made: the frozen perturbations, each with its reason.

None of it is read from the product. These numbers were set and committed before the first run of two thousand plans,
and are not moved to make a run look better; see docs/calibration.md.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np

Z90: Final = 1.645
WIDER: Final = 1.15
"""Every population is this much wider than its own 90 % band says: nobody's table of typical values is wide enough."""
SHIFT_SD: Final = 0.35
"""A table of typical values is itself off, each value by so many of its own standard deviations. Nobody knows which
way, so each plan draws an error of the table of its own: docs/decisions/0015-each-plan-errs-by-itself.md."""


@dataclass(frozen=True)
class Quantity:
    """A population: median and the ends that hold 90 % of it."""

    median: float
    low: float
    high: float
    why: str
    log: bool = True

    def draw(self, chance: np.random.Generator, shift: float = 0.0) -> float:
        """Return one member; `shift` moves the whole population by standard deviations. Cut at 2.8 of them."""
        return self.at(float(np.clip(chance.normal(), -2.8, 2.8)) * WIDER + shift)

    def at(self, z: float) -> float:
        """Return the member so many standard deviations from the middle."""
        if self.log:
            side = math.log(self.high / self.median) if z > 0.0 else math.log(self.median / self.low)
            return self.median * math.exp(side * z / Z90)
        side = self.high - self.median if z > 0.0 else self.median - self.low
        return self.median + side * z / Z90


@dataclass(frozen=True)
class ClassOf:
    """A class of aircraft: what stands on the box, and the populations behind it."""

    diameter_in: float
    blades: int
    cells: int
    labels_mah: tuple[int, ...]
    thumb_current_a: float
    """What a plain rule of thumb says it draws."""
    quantities: Mapping[str, Quantity]


def _class(
    mass_g: tuple[float, float, float],
    drag_cm2: tuple[float, float, float],
    cruise_mps: tuple[float, float, float],
    auxiliary_w: tuple[float, float, float],
    efficiency: tuple[float, float, float],
    blade_drag: tuple[float, float, float],
    chord_ratio: float,
) -> dict[str, Quantity]:
    return {
        "mass_g": Quantity(*mass_g, "ready to fly without its pack: kitchen-scale weights of builds differ by a third"),
        "drag_area_cm2": Quantity(
            *drag_cm2, "frames, cameras and how they sit in the wind: a factor of 1.7 either way"
        ),
        "cruise_mps": Quantity(*cruise_mps, "unhurried forward flight, by pilot"),
        "auxiliary_w": Quantity(*auxiliary_w, "board, camera and radios"),
        "efficiency": Quantity(*efficiency, "motor and its control together, in hover", log=False),
        "blade_drag": Quantity(*blade_drag, "section drag of the blades at Reynolds numbers of 20 to 80 thousand"),
        "chord_ratio": Quantity(chord_ratio, 0.85 * chord_ratio, 1.15 * chord_ratio, "mean chord over radius"),
    }


CLASSES: Final[dict[str, ClassOf]] = {
    "ducted micro": ClassOf(
        1.6, 4, 1, (300, 450), 4.5,
        _class(
            (29, 21, 44), (48, 26, 85), (4.2, 3.0, 6.0), (2.4, 1.4, 4.3), (0.60, 0.50, 0.70),
            (0.065, 0.042, 0.105), 0.25,
        ),
    ),
    "3-inch": ClassOf(
        3.0, 3, 4, (450, 650), 6.0,
        _class(
            (160, 118, 225), (88, 50, 155), (9.0, 6.8, 12.0), (5.5, 3.0, 10.0), (0.71, 0.62, 0.79),
            (0.072, 0.042, 0.115), 0.22,
        ),
    ),
    "5-inch, 4 cells": ClassOf(
        5.1, 3, 4, (1300, 1500), 16.0,
        _class(
            (450, 375, 550), (170, 95, 290), (12.0, 9.0, 16.0), (8.0, 4.0, 14.0), (0.74, 0.66, 0.82),
            (0.066, 0.04, 0.105), 0.21,
        ),
    ),
    "5-inch, 6 cells": ClassOf(
        5.1, 3, 6, (1050, 1300), 11.0,
        _class(
            (470, 390, 570), (175, 95, 290), (13.0, 10.0, 17.0), (8.0, 4.0, 15.0), (0.75, 0.67, 0.83),
            (0.066, 0.04, 0.105), 0.21,
        ),
    ),
    "7-inch": ClassOf(
        7.0, 3, 6, (1800, 3000), 11.0,
        _class(
            (640, 510, 790), (235, 130, 390), (14.0, 11.0, 18.0), (10.0, 5.0, 18.0), (0.76, 0.68, 0.84),
            (0.068, 0.042, 0.10), 0.19,
        ),
    ),
}  # fmt: skip

GENERAL: Final[dict[str, Quantity]] = {
    "induced_factor": Quantity(1.18, 1.10, 1.30, "uneven inflow and swirl; textbooks say 1.15, small rotors do worse"),
    "rotor_drag_ratio": Quantity(0.3, 0.05, 0.8, "in-plane force of the rotors, N per N of thrust and per V/V_tip"),
    "drag_exponent": Quantity(2.0, 1.9, 2.1, "drag against speed: not always a square", log=False),
    "descent_share": Quantity(0.9, 0.8, 1.0, "power in descent over hover: rotors give little back", log=False),
    "hand_mean": Quantity(1.03, 0.99, 1.08, "a pilot corrects all the time: mean power over steady flight"),
    "hand_flight": Quantity(1.0, 0.88, 1.14, "from flight to flight, other hand"),
    "speed_held": Quantity(1.0, 0.9, 1.1, "airspeed flown over airspeed meant", log=False),
    "climb_mps": Quantity(2.8, 2.0, 4.0, "climb and descent of a careful pilot"),
    "circuit_s": Quantity(14.0, 5.0, 32.0, "last seconds before the landing: looking, waiting, one go-around"),
    "capacity_share": Quantity(0.965, 0.88, 1.02, "true over label, new packs, at flight currents", log=False),
    "capacity_cycle": Quantity(0.0007, 0.0003, 0.0015, "capacity lost a cycle"),
    "resistance_ohm_ah": Quantity(0.0085, 0.0050, 0.0145, "resistance of a cell times capacity, 25 °C"),
    "resistance_cycle": Quantity(0.003, 0.001, 0.008, "resistance gained a cycle"),
    "weakest_ratio": Quantity(1.07, 1.02, 1.18, "weakest cell's resistance over the mean"),
    "rest_curve_v": Quantity(0.0, -0.03, 0.03, "this pack's rest volts against the curve", log=False),
    "knee_soc": Quantity(1.0, 0.6, 1.5, "where the curve falls off at the empty end, over the curve's own place"),
    "pack_g_per_wh": Quantity(8.4, 7.0, 10.2, "wires and plug included"),
    "wind_flight": Quantity(1.0, 0.70, 1.42, "mean wind of the flight over the mean of the hour"),
    "roughness_m": Quantity(0.1, 0.02, 0.6, "ground that slows the wind: grass to scattered trees"),
    "gust_length_m": Quantity(80.0, 40.0, 160.0, "length of a gust"),
    "gust_ratio": Quantity(2.4, 1.9, 3.0, "standard deviation of the wind over friction velocity"),
    "sigma_clear_db": Quantity(3.2, 2.0, 4.8, "shadowing in line of sight; 2.2 to 4.2 dB published", log=False),
    "sigma_hidden_db": Quantity(6.5, 4.5, 9.0, "shadowing behind ground; 6 dB in published models", log=False),
    "shadow_length_m": Quantity(55.0, 30.0, 120.0, "decorrelation; 37 to 120 m in published rural models"),
    "echo_ratio": Quantity(0.15, 0.03, 0.5, "field of the ray reflected by the ground over the direct one"),
    "wobble_deg": Quantity(6.0, 3.0, 11.0, "attitude about its mean, standard deviation"),
    "antenna_lean_deg": Quantity(12.0, 3.0, 35.0, "how far the pilot's antenna leans from upright"),
    "null_depth_db": Quantity(13.0, 8.0, 20.0, "deepest null of a dipole on a small aircraft: echoes fill it"),
    "body_loss_db": Quantity(2.0, 0.3, 6.5, "pilot's body and airframe"),
    "leaf_factor": Quantity(0.8, 0.4, 1.3, "loss in leaves over Weissberger's formula"),
    "ground_error_m": Quantity(0.0, -4.0, 4.0, "ground heights of the grid, correlated over 250 m", log=False),
    "hold_control_s": Quantity(1.0, 0.5, 1.5, "until the aircraft calls the control link lost"),
    "hold_video_s": Quantity(2.0, 1.0, 4.0, "until a pilot without a picture gives up"),
    "return_drift_m": Quantity(0.0, -6.0, 6.0, "height from pressure, drifted", log=False),
}  # fmt: skip

RETURN_TESTED: Final = (0.84, 0.97)
RETURN_UNTESTED: Final = (0.45, 0.85)
"""A return's chance to do its part (position fix, launch point, take-over): even over these; tested on it, or not."""
PLACE_REASON: Final = "between the ruling edge alone and three edges (Deygout): even over 0 to 1"

CONTROL: Final[dict[str, dict[str, float]]] = {
    "2.4 GHz, 25 mW": {"mhz": 2440, "mw": 25, "need_dbm": -104.5, "thumb_m": 500},
    "2.4 GHz, 100 mW": {"mhz": 2440, "mw": 100, "need_dbm": -104.5, "thumb_m": 1000},
    "2.4 GHz, 250 mW": {"mhz": 2440, "mw": 250, "need_dbm": -104.5, "thumb_m": 1500},
    "868 or 915 MHz, 100 mW": {"mhz": 890, "mw": 100, "need_dbm": -109.0, "thumb_m": 2000},
}
VIDEO: Final[dict[str, dict[str, float]]] = {
    "analogue 5.8 GHz, 25 mW": {"mhz": 5800, "mw": 25, "need_dbm": -86.5, "thumb_m": 250},
    "analogue 5.8 GHz, 200 mW": {"mhz": 5800, "mw": 200, "need_dbm": -86.5, "thumb_m": 600},
    "analogue 5.8 GHz, 600 mW": {"mhz": 5800, "mw": 600, "need_dbm": -86.5, "thumb_m": 1000},
    "digital 5.8 GHz, 25 mW": {"mhz": 5800, "mw": 25, "need_dbm": -87.5, "thumb_m": 250},
    "digital 5.8 GHz, 500 mW": {"mhz": 5800, "mw": 500, "need_dbm": -87.5, "thumb_m": 1000},
}
RADIO: Final[dict[str, Quantity]] = {
    "control_need_db": Quantity(0.0, -5.0, 6.5, "need against the class's, by packet rate and board", log=False),
    "video_need_db": Quantity(0.0, -4.0, 5.0, "the level at which the picture goes, by pilot and receiver", log=False),
    "power_db": Quantity(-0.8, -2.8, 0.6, "radiated against the menu", log=False),
    "ground_gain_dbi": Quantity(1.9, 0.2, 2.9, "pilot's end", log=False),
    "aircraft_gain_dbi": Quantity(1.0, -1.6, 2.2, "near carbon and battery", log=False),
    "interference_db": Quantity(2.2, 0.3, 8.8, "rise of the floor by others, quiet country to a car park", log=False),
}  # fmt: skip

ENTRY: Final[dict[str, tuple[float, str]]] = {
    "mass_g": (0.012, "kitchen scales, straps, camera cards; share, standard deviation"),
    "drag_area_cm2": (0.20, "worked out from one flight; share"),
    "cruise_mps": (0.07, "airspeed from a ground speed; share"),
    "hover_current_a": (0.05, "current sensor nobody calibrated; share"),
    "capacity_mah": (0.03, "one measured discharge; share"),
    "resistance_mohm": (0.12, "home meters; share"),
    "rest_v": (0.008, "cell meter; volts"),
    "pack_c": (3.0, "air against the inside of the cell; °C"),
    "air_c": (1.5, "thermometer in the sun or not; °C"),
    "wind_mps": (0.16, "a hand-held reading against the hour's mean; share"),
    "wind_from_deg": (14.0, "said or read; degrees"),
    "gain_db": (0.8, "maker's gain against the gain; dB"),
    "need_db": (1.6, "maker's sensitivity against the receiver's; dB"),
    "interference_db": (1.8, "a level measured at one hour of one day; dB"),
    "power_db": (0.8, "a meter of one's own; dB"),
    "last_flight": (0.03, "charger's meter; share, and 2 % more than left the pack"),
}
"""How entered numbers err."""


LIFTS: Final = {"power_db": 1.0, "ground_gain_dbi": 1.0, "aircraft_gain_dbi": 1.0, "interference_db": -1.0}
"""Which way each radio value moves the level above need; a link's own need lowers it."""


def shifts(chance: np.random.Generator) -> dict[tuple[str, str], float]:
    """Return by how many standard deviations the typical values are off in one plan's world; its radios share them."""
    keys = [(name, key) for name, row in CLASSES.items() for key in row.quantities]
    keys += [("radio", key) for key in RADIO]
    return {key: float(chance.normal(0.0, SHIFT_SD)) for key in keys}


def radio_error_db(shift: Mapping[tuple[str, str], float], kind: str) -> float:
    """Return what an error of the typical values takes off a link's level above need (negative), at their middles."""
    lifts = {**LIFTS, f"{kind}_need_db": -1.0}
    return sum(sign * (RADIO[key].at(shift["radio", key]) - RADIO[key].median) for key, sign in lifts.items())
