"""All that can be otherwise than sound and still, as numbers for the kernel. Spans are rows of start and end."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
NEVER = 1.0e9


def spans(*rows: tuple[float, ...], width: int = 2) -> Floats:
    """Return rows as an array of a fixed width, also where there is none."""
    return np.array(rows, np.float64).reshape(len(rows), width)


class World(NamedTuple):
    """What is flown, where, by whom and with what wrong; SI units, µT, dB, °C."""

    # corners, each (4,): front-left, front-right, rear-left, rear-right
    lift: Floats  # thrust at a rotor speed, over that of a sound propeller; negative where it pushes down
    drag: Floats  # torque and power at a rotor speed, over those of a sound propeller
    spin: Floats  # -1 where the motor turns against what the scheme says
    brake: Floats  # share of rotor speed that friction takes
    once: Floats  # unbalance over usual
    rough: Floats  # m/s² at full rotor speed, without a frequency of its own
    corner_at: float  # from when the above holds
    order: Floats  # which output drives the motor of each corner
    board: Floats  # (3, 3) from body axes to those the board believes in
    off: Floats  # (k, 3) corner, start, end: it is not driven
    slip: Floats  # (k, 3) corner, start, end: the propeller slips on its shaft
    shake_all: float  # vibration at the board over usual
    ripple_v: float  # V of ripple per A
    ripple_gyro: float  # rad/s of noise per A
    restart: Floats  # (k, 2): the board is off
    plug: Floats  # (k, 2): the pack is off
    wire: Floats  # (k, 2): nothing comes from the receiver
    stick_map: Floats  # (4, 4) from thumbs to channels
    stick_off: Floats  # (4,)
    level: Floats  # (2,) roll and pitch that the board takes for level
    arm_off: float
    arms: float
    throttle_least: float
    idle: float
    stall: Floats  # (4,) corner (-1: none), output below which it stalls, time to start again, from when
    lead: Floats  # (3,) µT per A
    local: Floats  # (3,) µT north, east, down at the ground
    local_m: float
    sensor: Floats  # (3, 3) from body axes to those of the direction sensor
    earth: Floats  # (3,) µT
    return_at: float  # by the pilot's switch
    return_high: float
    return_speed: float
    return_tilt: float
    return_lands: float
    return_until: float  # the pilot takes over
    gives_up_m: float  # so far off its way, or spinning, the pilot closes the throttle
    place_err: Floats  # (m, 2) m, a row a quarter second
    ground: Floats  # (ny, nx) m above the launch point, row 0 south
    ground_step: float
    ground_n: float
    ground_e: float
    rough_ground: float  # 1: the ray is bent over the ground
    trees: Floats  # (k, 5) bearing, half width, from, elevation below, dB
    body: Floats  # (k, 3) start, end, dB
    axis: Floats  # (3,) the aircraft's aerial in body axes
    null: float  # least share of amplitude
    jam: Floats  # (k, 3) start, end, dB at the aircraft and at the radio
    aboard_db: float
    aboard_db_per_a: float
    sent_db: Floats  # (k, 2) from when, dB below set power
    back_db: float  # way back below the way there
    sensitivity_back: float
    linked: float
    air: float  # density over 1.225
    lead_ohm: float
    cold_c: float  # pack at start
    heat: float  # J/K
    cell_low: float  # Ah share that one cell lacks
    acts: Floats  # (k, 3) start, end, what the pilot does: see `own_kernel.pilot`
    upset: Floats  # (k, 4) start, end, roll and pitch rad/s²
    strike: Floats  # (3,) when, share of speed lost, twist rad/s
    way: Floats  # (k, 5) s, m north, east, up, heading
    sink: float
    climb: float
    mode: float


def sound(**changed: Any) -> World:
    """Return a world in which nothing is wrong, over level ground in still place; `changed` replaces."""
    ones, eye = np.ones(4), np.eye(3)
    world = World(
        lift=ones, drag=ones.copy(), spin=ones.copy(), brake=np.zeros(4), once=ones.copy(), rough=np.zeros(4),
        corner_at=0.0, order=np.arange(4.0), board=eye, off=spans(width=3), slip=spans(width=3), shake_all=1.0,
        ripple_v=0.0, ripple_gyro=0.0, restart=spans(), plug=spans(), wire=spans(), stick_map=np.eye(4),
        stick_off=np.zeros(4), level=np.zeros(2), arm_off=NEVER, arms=1.0, throttle_least=0.0, idle=0.05,
        stall=np.array([-1.0, 0.0, 0.0, NEVER]), lead=np.zeros(3), local=np.zeros(3), local_m=4.0, sensor=eye.copy(),
        earth=np.array([20.0, 0.0, 43.0]), return_at=NEVER, return_high=30.0, return_speed=8.0, return_tilt=0.4,
        return_lands=1.0, return_until=NEVER, gives_up_m=NEVER, place_err=np.zeros((2, 2)), ground=np.zeros((2, 2)),
        ground_step=1.0e6, ground_n=-5.0e5, ground_e=-5.0e5, rough_ground=0.0,
        trees=spans(width=5), body=spans(width=3), axis=np.array([0.0, 0.0, 1.0]),
        null=0.2, jam=spans(width=3), aboard_db=0.0, aboard_db_per_a=0.0, sent_db=spans(), back_db=2.0,
        sensitivity_back=-108.0, linked=1.0, air=1.0, lead_ohm=0.0, cold_c=22.0, heat=150.0, cell_low=0.0,
        acts=spans(width=3), upset=spans(width=4), strike=np.array([NEVER, 0.0, 0.0]), way=np.zeros((2, 5)), sink=2.2,
        climb=4.0, mode=1.0,
    )  # fmt: skip
    return world._replace(**changed)
