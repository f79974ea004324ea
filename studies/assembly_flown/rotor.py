"""The same slips flown in rotorpy, a flight simulator by others.

Theirs: the rigid body with its gyroscopic terms, the integrator, the lag of the motors, where rotors stand, what thrust
and torque a rotor gives at its speed. A rotor that pushes down or lifts weakly has a thrust coefficient of its own sign
and size, a motor that turns the wrong way its own entry in ``rotor_directions``; their wrench is asked for once for
each thrust coefficient and added up, because it takes one for all. Ours: the board and the springy legs (as in
`rigid`), the throttle, and what is called a flip. Drag is left out.
"""

from __future__ import annotations

import math
from typing import Any, Final

import numpy as np
from rotorpy.vehicles.hummingbird_params import quad_params
from rotorpy.vehicles.multirotor import Multirotor
from studies.assembly_flown.rigid import (
    CLEAR_M,
    DAMPER_NS_M,
    FLIPS_AT_ONCE,
    HOLDS,
    IDLE,
    LAG_S,
    LEANS,
    LEG_M,
    LENGTH_S,
    LIFTS_THEN_FLIPS,
    RAMP_S,
    SPINS,
    SPINS_RAD_S,
    SPRING_N_M,
    STAYS_DOWN,
    TIPPED,
    Built,
    demand,
    outputs,
)

STEP_S: Final = 0.002
MASS_KG: Final = float(quad_params["mass"])
WEIGHT_N: Final = MASS_KG * 9.81
PLACES: Final = np.array([quad_params["rotor_pos"][name] for name in ("r1", "r2", "r4", "r3")])
"""Front-left, front-right, rear-left, rear-right; x forward, y left, z up."""
ALTERNATE: Final = np.array([1.0, -1.0, -1.0, 1.0])
FLIP: Final = np.array([1.0, -1.0, -1.0])
"""Between their axes (y left, z up) and the board's (y right, z down)."""


class Assembled(Multirotor):  # type: ignore[misc]
    """Their small quad with a thrust coefficient for each rotor, on legs."""

    def __init__(self, thrust: Any, motor: Any, margin: float) -> None:
        of = dict(quad_params)
        of |= {"rotor_pos": dict(zip("abcd", PLACES, strict=True)), "rotor_directions": ALTERNATE, "tau_m": LAG_S}
        of["rotor_speed_max"] = math.sqrt(margin * WEIGHT_N / 4.0 / float(of["k_eta"]))
        super().__init__(of, control_abstraction="cmd_motor_speeds", aero=False)
        self.rotor_dir = np.asarray(motor, dtype=float)  # their allocation, unused here, takes alternating ones only
        self.lifts = float(of["k_eta"]) * np.asarray(thrust, dtype=float)
        self.legs = (np.zeros(3), np.zeros(3))

    def compute_body_wrench(self, body_rates: Any, rotor_speeds: Any, body_airspeed_vector: Any) -> tuple[Any, Any]:
        """Return force and moment: theirs, once for each thrust coefficient, and those of the legs."""
        force, moment = self.legs[0].copy(), self.legs[1].copy()
        for lift in np.unique(self.lifts):
            self.k_eta = lift
            part = super().compute_body_wrench(
                body_rates, np.where(self.lifts == lift, rotor_speeds, 0.0), body_airspeed_vector
            )
            force, moment = force + part[0], moment + part[1]
        return force, moment

    def stand(self, state: Any) -> float:
        """Work out what the legs push with; return how high the lowest foot is."""
        x, y, z, w = state["q"]
        up = np.array([2.0 * (x * z - y * w), 2.0 * (y * z + x * w), 1.0 - 2.0 * (x * x + y * y)])
        feet = PLACES + np.array([0.0, 0.0, -LEG_M])
        above = state["x"][2] + feet @ up
        rises = state["v"][2] + np.cross(state["w"], feet) @ up
        push = np.where(above < 0.0, np.maximum(0.0, MASS_KG * (-SPRING_N_M * above - DAMPER_NS_M * rises)), 0.0)
        forces = push[:, None] * up
        self.legs = (forces.sum(axis=0), np.cross(feet, forces).sum(axis=0))
        return float(above.min())


def fly_one(
    built: Built, i: int, scheme: Any, margin: float, reverse: float, weak: float, lean: Any
) -> tuple[int, Any]:
    """Fly way ``i``; return what it does, as in `rigid`, and its low side as it tips, ahead and right."""
    thrust = np.where(built.propeller[i] == built.motor[i], 1.0, -reverse) * np.where(built.upside_down[i], weak, 1.0)
    craft = Assembled(thrust, built.motor[i], margin)
    most = margin * WEIGHT_N / 4.0
    arm = float(PLACES[0, 0])
    torque = float(quad_params["k_m"]) / float(quad_params["k_eta"])
    per_unit = 4.0 * most * np.array([arm / craft.Ixx, arm / craft.Iyy, torque / craft.Izz])
    half = 0.5 * np.array([lean[0], lean[1]])
    state = {
        "x": np.array([0.0, 0.0, LEG_M]), "v": np.zeros(3), "q": np.array([half[0], half[1], 0.0, 1.0]),
        "w": np.zeros(3), "wind": np.zeros(3), "rotor_speeds": craft.rotor_speed_max * np.full(4, math.sqrt(IDLE)),
    }  # fmt: skip
    state["q"] /= np.linalg.norm(state["q"])
    throttle, climb, total, lifted, spun = 0.0, 0.0, np.zeros(3), False, False
    for _ in range(int(LENGTH_S / STEP_S)):
        lowest = craft.stand(state)
        x, y, z, w = state["q"]
        down = -np.array([2.0 * (x * z - y * w), 2.0 * (y * z + x * w), 1.0 - 2.0 * (x * x + y * y)]) * FLIP
        if state["x"][2] < 0.3:
            throttle = min(throttle + STEP_S / RAMP_S, 1.0)
        else:
            gain = (state["v"][2] - climb) / STEP_S
            throttle = min(max(throttle - STEP_S * (0.25 * (state["v"][2] - 0.3) + 0.12 * gain), 0.1), 1.0)
        climb = float(state["v"][2])
        asked = demand(
            down, state["w"] * FLIP, total, int(built.turns[i]), bool(built.flipped[i]), per_unit, throttle, STEP_S
        )
        wish = outputs(asked, np.asarray(scheme, dtype=float), throttle)[built.order[i]]
        state = craft.step(state, {"cmd_motor_speeds": craft.rotor_speed_max * np.sqrt(wish)}, STEP_S)
        tilt = math.acos(min(max(float(down[2]), -1.0), 1.0))
        lifted = lifted or (lowest > CLEAR_M and tilt < LEANS)
        spun = spun or (lifted and tilt < LEANS and abs(state["w"][2]) > SPINS_RAD_S)
        if tilt > TIPPED:
            kind = SPINS if spun else LIFTS_THEN_FLIPS if lifted else FLIPS_AT_ONCE
            return kind, down[:2] / np.hypot(down[0], down[1])
    return (STAYS_DOWN if not lifted else SPINS if spun else HOLDS), np.zeros(2)


def fly(built: Built, scheme: Any, margin: float, reverse: float, weak: float, seed: int) -> tuple[Any, Any]:
    """Fly them all, as `rigid.fly` does; one takes a second or so."""
    lean = np.random.default_rng(seed).normal(0.0, math.radians(0.5), (len(built.turns), 2))
    flown = [fly_one(built, i, scheme, margin, reverse, weak, lean[i]) for i in range(len(built.turns))]
    return np.array([kind for kind, _ in flown]), np.array([low for _, low in flown])
