"""What is flown: the aircraft, the plan and the faults, as numbers for the kernel. All of it is made up."""

from __future__ import annotations

from typing import NamedTuple

NEVER = 1.0e9


class Craft(NamedTuple):
    """The aircraft; SI units, angles in rad, charge in Ah."""

    mass: float
    ixx: float
    iyy: float
    izz: float
    arm: float
    thrust_max: float
    speed_max: float
    linear: float
    lag: float
    torque_m: float
    cda: float
    lift_drag: float
    disc: float
    merit: float
    blades: float
    scheme: float
    cells: float
    capacity: float
    r_pack: float
    r_slow: float
    slow_s: float
    charge0: float
    weak_cell: float
    idle_w: float
    kp: float
    ki: float
    kd: float
    kp_yaw: float
    hover: float
    rate_max: float
    tilt_max: float
    gyro_noise: float
    acc_noise: float
    bias: float
    unbalance: float
    vib_gyro: float
    vib_acc: float
    level0: float
    sensitivity: float
    loss_after: float
    action: float


class Plan(NamedTuple):
    """The flight; times in s, lengths in m, angles in rad."""

    end: float
    arm_at: float
    off_at: float
    out_at: float
    back_at: float
    down_at: float
    height: float
    speed: float
    course: float
    rate_mode: float
    wind: float
    wind_from: float
    gust: float
    clumsy: float
    fix_height: float


class Faults(NamedTuple):
    """When what goes wrong; NEVER where it does not."""

    fade: float = NEVER
    fade_end: float = NEVER
    fade_db: float = 0.0
    fade_ramp: float = 0.1
    jam: float = NEVER
    jam_end: float = NEVER
    frozen: float = NEVER
    frozen_end: float = NEVER
    restart: float = NEVER
    restart_end: float = NEVER
    step: float = NEVER
    step_ohm: float = 0.0
    stop: float = NEVER
    stop_end: float = NEVER
    stop_at: float = 0.0
    prop: float = NEVER
    prop_at: float = 0.0
    shift: float = NEVER
    shift_x: float = 0.0
    shift_y: float = 0.0
    bent: float = NEVER
    bent_at: float = 0.0
    bent_by: float = 0.0
    gain: float = NEVER
    gain_by: float = 1.0
    reversals: float = NEVER
    reversals_end: float = NEVER
    reversals_hz: float = 0.0
    reversals_axis: float = 0.0
    crossed_axis: float = -1.0
    launch_n: float = 0.0
    launch_e: float = 0.0
    return_off: float = 0.0
    ends: float = NEVER
