"""The second generator: flights in rotorpy, a flight simulator by others, written into the same log.

Theirs: the rigid body, the rotors' aerodynamics, motor lag, ground, position and attitude controller, the motion
sensors' model. Ours: where it is sent, what a motor that stops does, gusts, the pack, the radio. Their
axes are x forward, y left, z up, in the world x north, y west, z up.
"""

from __future__ import annotations

import hashlib
import math
from pathlib import Path
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray
from rotorpy.controllers.quadrotor_control import SE3Control
from rotorpy.sensors.imu import Imu
from rotorpy.vehicles.hummingbird_params import quad_params
from rotorpy.vehicles.multirotor import Multirotor
from scipy.spatial.transform import Rotation
from studies.record_flown import columns as at
from studies.record_flown.craft import NEVER, Craft, Faults, Plan
from studies.record_flown.design import MENU, Design, draw_craft
from studies.record_flown.flyer import Flight
from studies.record_flown.rotorpy_rest import pack_and_radio, slow_noise
from studies.record_flown.truth import Truth, truth_of

Floats = NDArray[np.float64]
STEP_S: Final = 0.004
G: Final = 9.81
FLIP: Final = np.array([1.0, -1.0, -1.0])
IDLE: Final = 0.06
FLOWN: Final = (
    "level dip", "quality low", "lost, motors stop", "frozen", "ends aloft", "weak pack", "empty pack", "volt step",
    "cell low", "motor stop", "sync loss", "launch point off", "strong wind",
)  # fmt: skip
"""Of the menu, what this generator flies."""
KP_ATT, KD_ATT = 90.0, 14.0
INTEGRATOR: Final = {"method": "RK23", "max_step": STEP_S, "rtol": 1e-2}
CLEAR_M: Final = 0.05
HARD_MPS: Final = 2.0


def draw_rotorpy(seed: int, named: tuple[str, ...] | None = None) -> Design:
    """Draw one flight of 35 to 50 s; 4 in 10 are healthy, the others have one fault."""
    rng = np.random.default_rng([seed, 17])
    u = rng.uniform
    craft, arm_at = draw_craft(rng), u(0.5, 1.5)
    off_at, height, leg = arm_at + u(1.0, 2.0), u(8.0, 15.0), u(7.0, 11.0)
    out_at = off_at + height / 2.5 + u(2.0, 4.0)
    back_at = out_at + leg
    down_at = back_at + leg + u(1.5, 3.0)
    plan = Plan(
        end=down_at + height / 1.2 + 4.0, arm_at=arm_at, off_at=off_at, out_at=out_at, back_at=back_at, down_at=down_at,
        height=height, speed=u(4.0, 8.0), course=u(-math.pi, math.pi), rate_mode=0.0, wind=u(0.0, 4.0),
        wind_from=u(-math.pi, math.pi), gust=u(0.05, 0.3), clumsy=0.01, fix_height=0.0,
    )  # fmt: skip
    if named is None:
        named = () if rng.random() < 0.4 else (str(rng.choice(FLOWN)),)
    faults = Faults()
    for name in named:
        changed, of_craft, of_plan = MENU[name](rng, craft, plan)
        faults = faults._replace(**changed)
        craft, plan = craft._replace(**of_craft), plan._replace(**of_plan)
    return Design(seed, craft, plan._replace(wind=min(plan.wind, 7.0), speed=min(plan.speed, 9.0)), faults, named)


def quad_of(craft: Craft) -> dict[str, Any]:
    """Return rotorpy's constants of an aircraft."""
    d = craft.arm / math.sqrt(2.0)
    lift = craft.thrust_max / craft.speed_max**2
    places = {"r1": (d, d), "r2": (d, -d), "r3": (-d, -d), "r4": (-d, d)}
    return dict(quad_params) | {
        "mass": craft.mass, "Ixx": craft.ixx, "Iyy": craft.iyy, "Izz": craft.izz,
        "rotor_pos": {name: np.array([*place, 0.0]) for name, place in places.items()},
        "k_eta": lift, "k_m": craft.torque_m * lift, "tau_m": craft.lag, "rotor_speed_min": 0.0,
        "rotor_speed_max": craft.speed_max, "k_d": 2e-5 * craft.mass, "k_z": 4e-5 * craft.mass, "k_h": 0.0,
        "c_Dx": 0.6 * craft.cda, "c_Dy": 0.6 * craft.cda, "c_Dz": 0.9 * craft.cda,
        "kp_att": KP_ATT, "kd_att": KD_ATT, "motor_noise_std": 0.0,
    }  # fmt: skip


ORDER: Final = (0, 1, 3, 2)
"""Their rotors as front-left, front-right, rear-left, rear-right."""


def eased(t: float, begin: float, end: float) -> tuple[float, float, float]:
    """Return place, speed and acceleration of a move from 0 to 1 (a quintic: Flash and Hogan 1985)."""
    span = end - begin
    x = min(max((t - begin) / span, 0.0), 1.0)
    return (
        x**3 * (10.0 - 15.0 * x + 6.0 * x * x),
        30.0 * x * x * (1.0 - x) ** 2 / span,
        60.0 * x * (1.0 - x) * (1.0 - 2.0 * x) / span**2,
    )


def wanted(plan: Plan, t: float) -> dict[str, Any]:
    """Return where it is to be: up, out, back, down."""
    far = plan.speed * (plan.back_at - plan.out_at) * 0.55
    way = np.array([math.cos(plan.course), -math.sin(plan.course), 0.0])
    up = eased(t, plan.off_at, plan.off_at + plan.height / 1.8)
    down = eased(t, plan.down_at, plan.end - 2.0)
    out, back = eased(t, plan.out_at, plan.back_at), eased(t, plan.back_at, plan.down_at - 0.5)
    rise = (plan.height + 0.3) * np.array(up) - (plan.height + 0.5) * np.array(down)
    along = far * (np.array(out) - np.array(back))
    x, v, a = (way * along[k] + np.array([0.0, 0.0, rise[k]]) for k in range(3))
    nothing = np.zeros(3)
    return {"x": x, "x_dot": v, "x_ddot": a, "x_dddot": nothing, "x_ddddot": nothing, "yaw": -plan.course,
            "yaw_dot": 0.0, "yaw_ddot": 0.0}  # fmt: skip


def commanded(craft: Craft, plan: Plan, t: float, control: dict[str, Any], gone: bool) -> Floats:
    """Return the four commanded speeds as the board wants them, before any motor fails."""
    if t < plan.arm_at or gone:
        return np.zeros(4)
    if t < plan.off_at:
        return np.full(4, IDLE * craft.speed_max)
    asked: Floats = np.asarray(control["cmd_motor_speeds"], dtype=np.float64)
    return np.clip(asked, IDLE * craft.speed_max, craft.speed_max)


def failed(speeds: Floats, faults: Faults, t: float) -> Floats:
    """Return what the motors are driven at: one that stopped is not."""
    if faults.stop <= t < faults.stop_end:
        speeds = speeds.copy()
        speeds[ORDER[int(faults.stop_at)]] = 0.0
    return speeds


def fly_rotorpy(design: Design) -> Flight:
    """Fly one design in rotorpy; the log has a row a millisecond, between its steps on a straight line."""
    craft, plan, faults = design.craft, design.plan, design.faults
    np.random.seed(design.seed % 2**32)  # rotorpy's sensors draw from it
    quad = quad_of(craft)
    start = {"x": np.array([0.0, 0.0, 0.0]), "v": np.zeros(3), "q": Rotation.from_euler("z", -plan.course).as_quat(),
             "w": np.zeros(3), "wind": np.zeros(3), "rotor_speeds": np.zeros(4)}  # fmt: skip
    vehicle = Multirotor(quad, initial_state=start, control_abstraction="cmd_motor_speeds", aero=True,
                         enable_ground=True, integrator_kwargs=INTEGRATOR)  # fmt: skip
    pilot, state = SE3Control(quad), start
    toward = plan.wind_from + math.pi
    mean = plan.wind * np.array([math.cos(toward), -math.sin(toward), 0.0])
    gusts = np.column_stack(
        [slow_noise(np.random.default_rng([design.seed, 23, k]), 60_000, plan.gust, 1.0) for k in range(3)]
    )
    imu = Imu(sampling_rate=round(1.0 / STEP_S))
    gone_s = faults.fade + craft.loss_after if "lost, motors stop" in design.faults_named else NEVER
    steps = int(min(plan.end, faults.ends) / STEP_S)
    rough = np.zeros((steps, at.WIDTH))
    flown = False
    for i in range(steps):
        t = i * STEP_S
        control = pilot.update(t, state, wanted(plan, t))
        gone = t >= gone_s or (flown and t > plan.down_at and state["x"][2] < CLEAR_M)
        speeds = commanded(craft, plan, t, control, gone)
        blow = mean + gusts[int(t * 1000.0)]
        state["wind"] = blow if state["x"][2] > CLEAR_M else np.zeros(3)
        driven = {"cmd_motor_speeds": failed(speeds, faults, t)}
        change = vehicle.statedot(state, driven, 0.0)
        felt = imu.measurement(state, change)
        _log(rough[i], state, control, speeds / craft.speed_max, felt, plan, t, gone, flown)
        sink = -state["v"][2]
        state = vehicle.step(state, driven, STEP_S)
        flown = flown or state["x"][2] > 1.0
        if flown and state["x"][2] <= CLEAR_M and sink > HARD_MPS:  # the blow ends the record
            rough = rough[: i + 1]
            break
    log = _dense(rough)
    pack_and_radio(log, design)
    return Flight(design, log.astype(np.float32))


def _log(
    row: Floats, state: dict[str, Any], control: dict[str, Any], outputs: Floats, felt: dict[str, Any], plan: Plan,
    t: float, gone: bool, flown: bool,
) -> None:  # fmt: skip
    """Write one step: body axes forward, right, down; the world north, east, down."""
    turn = np.diag(FLIP) @ Rotation.from_quat(state["q"]).as_matrix() @ np.diag(FLIP)
    ask = np.diag(FLIP) @ Rotation.from_quat(control["cmd_q"]).as_matrix() @ np.diag(FLIP)
    row[at.GYRO : at.GYRO + 3] = FLIP * felt["gyro"]
    height = state["x"][2]
    resting = height <= CLEAR_M and abs(state["v"][2]) < 0.05
    row[at.ACC : at.ACC + 3] = (0.0, 0.0, -G) if resting else FLIP * felt["accel"]
    row[at.RATE : at.RATE + 3] = FLIP * state["w"]
    row[at.ROLL], row[at.PITCH] = math.atan2(turn[2, 1], turn[2, 2]), -math.asin(max(-1.0, min(1.0, turn[2, 0])))
    row[at.HEADING] = math.atan2(turn[1, 0], turn[0, 0])
    flying = plan.off_at <= t and not gone
    if flying:
        row[at.DEMAND : at.DEMAND + 3] = FLIP * (np.asarray(control["cmd_w"]) / KD_ATT + state["w"])
        row[at.TILT_DEMAND] = math.atan2(ask[2, 1], ask[2, 2])
        row[at.TILT_DEMAND + 1] = -math.asin(max(-1.0, min(1.0, ask[2, 0])))
    row[at.OUT : at.OUT + 4] = outputs[list(ORDER)]
    row[at.SPEED : at.SPEED + 4] = np.asarray(state["rotor_speeds"])[list(ORDER)]
    row[at.STICK : at.STICK + 2] = row[at.TILT_DEMAND : at.TILT_DEMAND + 2] / 0.8
    row[at.STICK + 3] = float(outputs.mean()) if flying else 0.0
    row[at.NORTH : at.NORTH + 3] = FLIP * state["x"]
    row[at.VEL : at.VEL + 3] = FLIP * state["v"]
    row[at.WIND : at.WIND + 2] = state["wind"][0], -state["wind"][1]
    row[at.MODE] = at.STOPPED if gone and height > CLEAR_M else at.SELF_LEVEL
    row[at.ARMED] = float(t >= plan.arm_at and not gone)
    row[at.TOUCH] = float(resting)
    row[at.FORCE] = float(np.linalg.norm(row[at.ACC : at.ACC + 3]))
    speed = float(np.hypot(row[at.VEL], row[at.VEL + 1]))
    if height <= CLEAR_M or (not flown and t < plan.off_at):
        row[at.PHASE] = at.P_ARMED if row[at.ARMED] else at.P_GROUND
    elif gone:
        row[at.PHASE] = at.P_FALL
    elif t < plan.out_at and height < 0.92 * plan.height:
        row[at.PHASE] = at.P_TAKE_OFF if height < 2.0 else at.P_CLIMB
    else:
        row[at.PHASE] = at.P_HOVER if speed < 1.2 else (at.P_SLOW if speed < 3.5 else at.P_CRUISE)


def _dense(rough: Floats) -> Floats:
    """Return a row a millisecond; switches hold, everything else runs straight."""
    times = np.arange(len(rough)) * STEP_S
    fine = np.arange(0.0, times[-1], 1e-3)
    log = np.empty((len(fine), at.WIDTH))
    held = np.minimum((fine / STEP_S + 1e-9).astype(int), len(rough) - 1)
    rough[:, at.HEADING] = np.unwrap(rough[:, at.HEADING])
    for k in range(at.WIDTH):
        straight = k not in {at.MODE, at.ARMED, at.PHASE, at.TOUCH}
        log[:, k] = np.interp(fine, times, rough[:, k]) if straight else rough[held, k]
    return log


MADE_BY: Final = ("rotorpy_flights.py", "rotorpy_rest.py", "design.py", "craft.py", "columns.py")


def rotor_flight(seed: int, kept: Path | None = None) -> tuple[Flight, Truth]:
    """Draw and fly one flight, and tell what happened in it; `kept` is a folder of logs flown before."""
    design = draw_rotorpy(seed)
    if kept is None:
        flight = fly_rotorpy(design)
        return flight, truth_of(flight)
    made = b"".join((Path(__file__).parent / name).read_bytes() for name in MADE_BY)
    file = kept / f"{hashlib.blake2b(made, digest_size=6).hexdigest()}-{seed}.npy"
    if not file.exists():
        kept.mkdir(parents=True, exist_ok=True)
        np.save(file, fly_rotorpy(design).log)
    flight = Flight(design, np.load(file))
    return flight, truth_of(flight)
