"""Where it comes down, and how hard, from each part of the route."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from turnback.records.aircraft import RadioLossAction
from turnback.records.finding import Spread

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class FallPlace:
    """A fall that starts at one part of the route. Metres; x east, y north, from the launch point."""

    along_m: float
    from_launch_m: float
    x_m: float
    y_m: float
    above_ground_m: float
    """Where it starts: the aircraft."""
    homeward: bool
    """True on the way back."""
    centre_x_m: float
    centre_y_m: float
    """Where it comes down, best estimate."""
    ring_x_m: Array
    ring_y_m: Array
    """Outline of the ground that holds 90 % of the falls, closed, shape ``(n,)``."""
    reach_m: Spread
    """Horizontal distance from the aircraft to where it comes down, over all that varies."""
    fall_s: Spread
    speed_mps: Spread
    energy_j: Spread
    """At the ground."""
    areas: tuple[str, ...]
    """People areas that the 90 % ring meets, as their file names them."""
    share_in_areas: float
    """Share of the falls that end inside a people area."""


@dataclass(frozen=True, slots=True)
class EnergyThreshold:
    """One published threshold, for context only: never a licence."""

    key: str
    """``"energy.cfr_107_110"`` and so on; worded in ``report/words_fall.py``."""
    value: float
    unit: str
    """``"J"``, ``"kg"`` or ``"m/s"``."""
    compared: Spread
    """What this aircraft has, in the same unit."""
    clause: str
    """The clause as its law numbers it, such as ``"14 CFR 107.120(a)(1)"``."""
    source: str


@dataclass(frozen=True, slots=True)
class FallResult:
    """Falls along the route, and what the radio-loss action makes of them."""

    action: RadioLossAction
    places: tuple[FallPlace, ...]
    """In the order flown, the planned way out and home; each as if the motors stopped there."""
    worst: int
    """Index of the greatest best-estimate energy."""
    meets: tuple[str, ...]
    """Names of all people areas that some ring meets."""
    areas_given: bool
    """False where the plan names no file of people areas; then the plain answer on who can be underneath stands."""
    after_loss_s: Spread
    """From the loss of the control link to the ground (or home), by the set action, at the place where it is longest;
    not finite where it flies on until something stops it."""
    after_loss_m: Spread
    """How far from where the link was lost it comes down by the set action; 0 to home for an automatic return."""
    after_loss_speed_mps: Spread
    """Speed at the ground by the set action."""
    after_loss_energy_j: Spread
    terminal_mps: Spread
    mass_kg: Spread
    thresholds: tuple[EnergyThreshold, ...]
