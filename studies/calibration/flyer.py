"""Fly one truth out and back in small steps of time: a point mass, a pilot who keeps to the plan, wind, pack, radio."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray
from studies.calibration import power
from studies.calibration.cells import LAND_BY_V, Cell
from studies.calibration.ground import profile, roughened
from studies.calibration.reception import Reception
from studies.calibration.world import Truth

Array = NDArray[np.float64]

STEP_S: Final = 0.25
LONGEST_S: Final = 5400.0
LEAST_GROUND_MPS: Final = 3.5
"""A pilot who gets nowhere against the wind flies faster."""
SLOWEST_GROUND_MPS: Final = 0.3
LOOK_AHEAD_S: Final = 3.0
HILL_RATIO: Final = 2.5
"""Along a slope a pilot climbs and sinks this much faster than on the spot."""
LEAST_OVER_GROUND_M: Final = 8.0
"""With less than this above the ground ahead, a pilot stops and climbs."""
LANDING_M: Final = 30.0
"""Home: within this of the launch point."""
STOPPED = "stopped by its radio"


@dataclass(frozen=True)
class Ended:
    """How a flight ended."""

    home: bool
    why: str
    seconds: float
    rest_v: float
    least_v: float
    soc: float
    mean_w: float
    pack_held: bool
    """The pack alone: it would have come home had both radios held."""
    links_held: bool
    """Neither link was lost on the way out and back."""


class _Wind:
    """Mean by a log profile, gusts as two first-order processes (Ornstein and Uhlenbeck)."""

    def __init__(self, truth: Truth, chance: np.random.Generator) -> None:
        self._chance = chance
        self._truth = truth
        self._at_10_m = truth.wind_mps * truth.wind_flight
        friction = 0.4 * self._at_10_m / math.log(10.0 / truth.roughness_m)
        self._sd = truth.gust_ratio * friction
        self._along = self._across = 0.0
        self._ratio = math.log(10.0 / truth.roughness_m)
        toward = math.radians(truth.wind_from_deg + 180.0 - truth.bearing_deg)
        self._with, self._side = math.cos(toward), math.sin(toward)

    def step(self, height_m: float, airspeed_mps: float) -> tuple[float, float]:
        """Return wind toward the far end, and square to it."""
        mean = self._at_10_m * math.log(max(height_m, 2.0) / self._truth.roughness_m) / self._ratio
        seconds = self._truth.gust_length_m / max(airspeed_mps, mean, 2.0)
        keep = math.exp(-STEP_S / seconds)
        kick = self._sd * math.sqrt(1.0 - keep * keep)
        self._along = keep * self._along + kick * self._chance.normal()
        self._across = keep * self._across + 0.8 * kick * self._chance.normal()
        along, across = max(mean, 0.0) + self._along, self._across
        return along * self._with - across * self._side, along * self._side + across * self._with


class _Flight:
    """The state of one flight."""

    def __init__(self, truth: Truth, distance_m: float, hover_s: float, chance: np.random.Generator) -> None:
        self.truth, self.distance_m, self.chance = truth, distance_m, chance
        self.along, bare, level_m = profile(truth.place, truth.bearing_deg, distance_m)
        self.ground = roughened(self.along, bare, truth.general["ground_error_m"], chance)
        self.density = power.density_kg_m3(truth.air_c, level_m + truth.height_m / 2.0)
        self.wind = _Wind(truth, chance)
        self.fastest = 0.9 * power.fastest_mps(truth.craft, self.density)
        self.cell = Cell(
            truth.capacity_ah, truth.resistance_ohm, truth.weakest_ratio, truth.curve_v, truth.knee, truth.start_soc,
            truth.pack_c, truth.air_c, truth.pack_kg / truth.cells,
        )  # fmt: skip
        self.links = [
            Reception(link, truth, self.along, self.ground, distance_m, chance)
            for link in ([truth.control] if truth.video is None else [truth.control, truth.video])
        ]
        self.x = self.z = self.t = 0.0
        self.joules = 0.0
        self.lost: str | None = None
        self.listening = True
        self.hover_s = hover_s

    def ground_at(self, x: float) -> float:
        return float(np.interp(x, self.along, self.ground))

    def _spend(self, airspeed: float, climb: float) -> None:
        watts = power.shaft_w(self.truth.craft, airspeed, climb, self.density) / self.truth.craft.efficiency
        watts = watts * self.truth.hand_mean * self.truth.hand_flight + self.truth.craft.auxiliary_w
        self.joules += watts * STEP_S
        self.cell.step(watts / self.truth.cells, STEP_S)
        self.t += STEP_S

    def _listen(self, heading_out: bool, airspeed: float) -> None:
        """Hear both links; remember the first that stayed away for too long."""
        if not self.listening:
            return
        lean = power.lean(self.truth.craft, airspeed, self.density)[1]
        for link in self.links:
            if link.lost_after(STEP_S, self.x, self.z, lean if heading_out else -lean) and self.lost is None:
                self.lost = "control" if link is self.links[0] else "video"

    def going(self) -> bool:
        """True while the pack gives and nothing stopped the flight."""
        return not self.cell.empty and self.t < LONGEST_S and not (self.listening and self.lost is not None)

    def rise(self, to_m: float) -> None:
        """Climb or descend on the spot."""
        while self.going() and abs(to_m - self.z) > 0.5:
            wind = self.wind.step(self.z - self.ground_at(self.x), 0.0)
            pace = math.copysign(min(self.truth.climb_mps, abs(to_m - self.z) / STEP_S), to_m - self.z)
            self.z += pace * STEP_S
            self._spend(math.hypot(*wind), pace)
            self._listen(True, 0.0)

    def stay(self, seconds: float) -> None:
        """Hover against the wind."""
        until = self.t + seconds
        while self.going() and self.t < until:
            wind = self.wind.step(self.z - self.ground_at(self.x), 0.0)
            self._spend(math.hypot(*wind), 0.0)
            self._listen(True, 0.0)

    def travel(self, to_x: float, meant_mps: float, level_m: float | None) -> None:
        """Fly along the line; over the ground as planned, or at one level."""
        sign = 1.0 if to_x > self.x else -1.0
        stuck_s = 0.0
        while self.going() and (to_x - self.x) * sign > 0.0:
            along, across = self.wind.step(self.z - self.ground_at(self.x), meant_mps)
            with_us = along * sign
            needed = math.hypot(max(LEAST_GROUND_MPS - with_us, 0.0), across)
            air = min(max(meant_mps, needed), max(self.fastest, meant_mps))
            over = math.sqrt(max(air * air - across * across, 0.0)) + with_us
            stuck_s = stuck_s + STEP_S if over < SLOWEST_GROUND_MPS else 0.0
            if stuck_s > 120.0:
                self.cell.empty = True
            if level_m is None:
                ahead = self.ground_at(self.x + sign * over * LOOK_AHEAD_S)
                goal, steepest = (
                    self.truth.height_m + max(ahead, self.ground_at(self.x)),
                    HILL_RATIO * self.truth.climb_mps,
                )
                over = min(over, 1.0) if self.z < ahead + LEAST_OVER_GROUND_M else over  # no pilot flies into a hill
            else:
                goal, steepest = level_m, self.truth.climb_mps
            climb = float(np.clip((goal - self.z) / 2.0, -steepest, steepest))
            self.x += max(over, -5.0) * sign * STEP_S
            self.z += climb * STEP_S
            self._spend(air, climb)
            self._listen(sign > 0.0, air)
            if self.z < self.ground_at(self.x) and self.x > LANDING_M:
                self.lost = self.lost or "ground"
                self.cell.empty = True


def _planned(flight: _Flight) -> None:
    """Up, out, a look round, home, down, and what comes before a landing."""
    truth = flight.truth
    flown_mps = truth.cruise_mps * truth.speed_held
    flight.rise(truth.height_m + flight.ground_at(0.0))
    flight.travel(flight.distance_m, flown_mps, None)
    flight.stay(flight.hover_s)
    flight.travel(0.0, flown_mps, None)
    _land(flight)


def _land(flight: _Flight) -> None:
    flight.rise(4.0)
    flight.stay(flight.truth.circuit_s)
    flight.rise(0.3)


def _returned(flight: _Flight) -> bool:
    """Return the automatic way home: up to its height, straight, as fast as set; then the pilot lands."""
    truth, chance = flight.truth, flight.chance
    if truth.action != "automatic return" or chance.random() > truth.return_chance:
        return False
    flight.listening = False
    level = truth.return_height_m + truth.general["return_drift_m"]
    flight.rise(max(level, flight.z))
    trees = truth.tree_m if truth.leaf_share > 0.0 else 0.0
    behind = flight.along <= flight.x
    if flight.x > LANDING_M and bool((flight.ground[behind] + trees > flight.z)[3:].any()):
        return False
    slower = min(truth.return_mps, flight.fastest)
    flight.fastest = slower  # it does not fly faster than set, whatever the wind
    flight.travel(0.0, slower, flight.z)
    _land(flight)
    return not flight.cell.empty


def fly(truth: Truth, distance_m: float, hover_s: float, seed: int) -> Ended:
    """Fly a truth once; the same seed gives the same flight."""
    flight = _Flight(truth, distance_m, hover_s, np.random.default_rng([seed, 7]))
    _planned(flight)
    links_held = flight.lost is None
    back, why = True, ""
    if not links_held and not flight.cell.empty:
        back = _returned(flight)
        why = "" if back else f"{flight.lost} lost"
    cell = flight.cell
    rest_v = cell.open_v() if not cell.empty else 0.0
    held = not cell.empty and not cell.harmed and rest_v >= LAND_BY_V and flight.t < LONGEST_S
    home = back and held and abs(flight.x) <= LANDING_M
    if not why and not home:
        why = "pack" if flight.lost != "ground" else "ground"
    alone = held if links_held else _alone(truth, distance_m, hover_s, seed)
    return Ended(home, why, flight.t, rest_v, cell.least_v, cell.soc, flight.joules / flight.t, alone, links_held)


def _alone(truth: Truth, distance_m: float, hover_s: float, seed: int) -> bool:
    """Return whether the pack would have lasted had the radios held."""
    flight = _Flight(truth, distance_m, hover_s, np.random.default_rng([seed, 7]))
    flight.listening = False
    _planned(flight)
    cell = flight.cell
    return not cell.empty and not cell.harmed and cell.open_v() >= LAND_BY_V and abs(flight.x) <= LANDING_M
