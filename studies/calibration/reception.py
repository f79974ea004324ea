"""What one link hears along the way: loss by place, shadowing that goes with the place, attitude by the moment."""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import NDArray
from studies.calibration import radio
from studies.calibration.world import Link, Truth

Array = NDArray[np.float64]
NODE_M: Final = 20.0
OUT_AND_HOME: Final = 0.8
"""Shadowing on the way home against that on the way out: nearly the same line, seldom the same place."""
NULL_ROUND_DB: Final = 8.0
"""Deepest null of a small circular antenna."""


class Reception:
    """One link of one flight."""

    def __init__(
        self, link: Link, truth: Truth, along: Array, ground: Array, distance_m: float, chance: np.random.Generator
    ) -> None:
        general = truth.general
        self._link, self._truth, self._chance = link, truth, chance
        self._antenna_m = truth.antenna_m
        out = radio.shadow(distance_m, general["shadow_length_m"], chance)
        home = OUT_AND_HOME * out + math.sqrt(1.0 - OUT_AND_HOME**2) * radio.shadow(
            distance_m, general["shadow_length_m"], chance
        )
        self._shadow = (out, home)
        place = float(chance.random())
        self._node, self._excess, self._hidden = self._along(truth, along, ground, distance_m, place)
        self._lean_of_antenna = math.radians(general["antenna_lean_deg"]) * float(chance.choice([-1.0, 1.0]))
        self._away_s = 0.0
        self._farthest = 0.0
        self._wobble = 0.0
        self.least_db = 99.0

    def _along(
        self, truth: Truth, along: Array, ground: Array, distance_m: float, place: float
    ) -> tuple[Array, Array, Array]:
        """Return loss beyond free space at nodes along the way, and whether ground hides the aircraft there."""
        nodes = np.arange(0.0, distance_m + NODE_M, NODE_M)
        excess, hidden = np.zeros(nodes.size), np.zeros(nodes.size)
        echo = min(truth.general["echo_ratio"], 0.7)
        for k, x in enumerate(nodes):
            if x < 60.0:
                continue
            upto = along < x
            seen = np.append(along[upto], x)
            below = np.append(ground[upto], float(np.interp(x, along, ground)))
            aircraft = float(np.interp(x, along, ground)) + truth.height_m
            one, three, nu = radio.edges_db(seen, below, truth.antenna_m, aircraft, self._link.mhz)
            excess[k] = one + place * (three - one)
            hidden[k] = min(max((nu + 0.8) / 0.8, 0.0), 1.0)
            path = math.hypot(x, aircraft)
            if nu < -0.8:
                excess[k] += radio.echo_db(path, truth.antenna_m, aircraft, self._link.mhz, echo)
            if truth.leaf_share > 0.0:
                line = truth.antenna_m + (aircraft - truth.antenna_m) * seen / x
                under = float(((line < below + truth.tree_m) & (seen > 30.0)).mean()) * path
                excess[k] += truth.general["leaf_factor"] * radio.leaves_db(truth.leaf_share * under, self._link.mhz)
        return nodes, excess, hidden

    def _pattern_db(self, x: float, z: float, lean_rad: float) -> float:
        """Return what both patterns take; `lean_rad` is toward the far end positive."""
        elevation = math.atan2(z - self._antenna_m, max(x, 0.5))
        self._wobble += 0.3 * (math.radians(self._truth.general["wobble_deg"]) * self._chance.normal() - self._wobble)
        aircraft = math.pi / 2.0 - elevation + lean_rad + 2.4 * self._wobble
        ground = math.pi / 2.0 - elevation + self._lean_of_antenna
        if self._link.upright:
            deepest = self._truth.general["null_depth_db"]
            return radio.dipole_db(aircraft, deepest) + radio.dipole_db(ground, 0.7 * deepest)
        return min(radio.dipole_db(aircraft, NULL_ROUND_DB) + radio.dipole_db(ground, NULL_ROUND_DB), 12.0)

    def margin_db(self, x: float, z: float, lean_rad: float) -> float:
        """Return level above need."""
        link, general = self._link, self._truth.general
        self._farthest = max(self._farthest, x)
        home = 1 if x < self._farthest - 5.0 else 0
        at = max(x, 0.0) / radio.SHADOW_STEP_M
        k = min(int(at), self._shadow[0].size - 2)
        field = self._shadow[home]
        shadow = field[k] + (at - k) * (field[k + 1] - field[k])
        hidden = float(np.interp(x, self._node, self._hidden))
        sigma = general["sigma_clear_db"] + hidden * max(general["sigma_hidden_db"] - general["sigma_clear_db"], 0.0)
        path = math.hypot(x, z - self._antenna_m)
        loss = radio.free_space_db(path, link.mhz) + float(np.interp(x, self._node, self._excess)) + sigma * shadow
        gain = link.ground_gain_dbi + link.aircraft_gain_dbi - link.body_loss_db
        level = link.power_dbm + gain - self._pattern_db(x, z, lean_rad) - loss
        return float(level - link.need_dbm - link.interference_db)

    def lost_after(self, step_s: float, x: float, z: float, lean_rad: float) -> bool:
        """Hear for one step; True once it was away for longer than it is waited for."""
        margin = self.margin_db(x, z, lean_rad)
        self.least_db = min(self.least_db, margin)
        self._away_s = self._away_s + step_s if margin < 0.0 else 0.0
        return self._away_s > self._link.hold_s
