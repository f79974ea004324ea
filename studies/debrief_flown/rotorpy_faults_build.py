# ruff: noqa: ARG001, D103 - every fault is called alike, and its name is the cause that the menu gives it
"""Faults of build and set-up in the second generator: changes of aircraft, way and of what is wrong, drawn by seed."""

from __future__ import annotations

import math
from collections.abc import Callable

from studies.debrief_flown.rotorpy_world import NEVER, Build, Rng, Way, Wrong

Fault = Callable[[Rng, Build, Way, Wrong], None]


def corner(rng: Rng) -> int:
    return int(rng.integers(0, 4))


def one(rng: Rng, value: float, rest: float = 1.0) -> list[float]:
    found = [rest] * 4
    found[corner(rng)] = value
    return found


def aloft(rng: Rng, way: Way) -> float:
    return float(rng.uniform(way.out_s - 1.5, way.home_s - 1.0))


def _at(values: list[float], where: int, value: float) -> list[float]:
    return [value if k == where else each for k, each in enumerate(values)]


# --- the build -------------------------------------------------------------------------------------------------------


def propeller_direction(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.lift = one(rng, -rng.uniform(0.45, 0.7))


def motor_direction(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    where = corner(rng)
    wrong.lift, wrong.twist = _at([1.0] * 4, where, -rng.uniform(0.45, 0.7)), _at([1.0] * 4, where, -0.9)


def order(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    ways = ((3, 1, 2, 0), (0, 2, 1, 3), (3, 2, 1, 0), (1, 0, 2, 3), (2, 1, 0, 3))
    a, b, c, d = ways[int(rng.integers(0, len(ways)))]
    wrong.order = (a, b, c, d)


def board_turned(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.board_turn = float(rng.choice([math.pi / 2.0, math.pi, -math.pi / 2.0]))


def board_over(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.board_over = True


def all_propellers(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    low = rng.uniform(0.25, 0.4)
    wrong.lift, wrong.hands, wrong.at_s = [-low] * 4, "flat out", 0.0


def scheme(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.yaw_backward = True


def upside_down(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    where = corner(rng)
    wrong.lift, wrong.thirst = _at([1.0] * 4, where, rng.uniform(0.5, 0.65)), _at([1.0] * 4, where, 1.2)
    shakes = [1.0] * 4
    shakes[where] = 1.6
    wrong.shakes_at = (shakes[0], shakes[1], shakes[2], shakes[3])
    wrong.notes["blade_at"] = where


def loose(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    where = corner(rng)
    wrong.at_s = aloft(rng, way)
    wrong.later = {"lift": _at([1.0] * 4, where, rng.uniform(0.05, 0.3)),
                   "swift": _at([1.0] * 4, where, rng.uniform(1.25, 1.5)),
                   "thirst": _at([1.0] * 4, where, 0.15)}  # fmt: skip


def shaken(low: float, high: float) -> Fault:
    def fault(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
        shakes = one(rng, rng.uniform(low, high))
        wrong.shakes_at = (shakes[0], shakes[1], shakes[2], shakes[3])

    return fault


def bearing(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    where, slow = corner(rng), rng.uniform(0.76, 0.86)
    wrong.swift, wrong.thirst = _at([1.0] * 4, where, slow), _at([1.0] * 4, where, rng.uniform(1.5, 2.2))
    wrong.rough = rng.uniform(2.0, 4.0)


def out_of_step(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    begin = aloft(rng, way)
    wrong.notes["punches"] = ((begin, rng.uniform(5.0, 8.0)),)
    wrong.at_s = begin + rng.uniform(0.05, 0.2)
    wrong.stops = (corner(rng), wrong.at_s, wrong.at_s + rng.uniform(0.25, 1.2))


def wire(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.at_s = aloft(rng, way)
    wrong.stops = (corner(rng), wrong.at_s, NEVER)


def overloaded(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    begin = aloft(rng, way)
    wrong.notes["punches"] = ((begin, rng.uniform(6.0, 9.0)),)
    wrong.at_s = begin + rng.uniform(0.45, 0.6)  # under load
    wrong.stops = (corner(rng), wrong.at_s, NEVER)
    wrong.notes["rated_low"] = True


def supply(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.volts_noise = rng.uniform(0.02, 0.04)  # of the pack's volts at the hover's current


def balance(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    way_to = rng.choice([0.0, 1.0, 2.0, 3.0]) * math.pi / 2.0 + rng.uniform(-0.3, 0.3)
    far = build.arm * rng.uniform(0.13, 0.22)  # with less the board holds it level and nobody sees it
    wrong.shift = (far * math.cos(way_to), far * math.sin(way_to))


def pack_shifts(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    balance(rng, build, way, wrong)
    wrong.shift_at_s = wrong.at_s = float(rng.uniform(way.out_s - 1.0, way.home_s - 3.0))


def plug(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.at_s = aloft(rng, way)
    wrong.dies_s = wrong.at_s + rng.uniform(0.03, 0.12)
    wrong.notes["supply_falls"] = wrong.at_s


def receiver_wire(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    spells, begin = [], aloft(rng, way)
    for _ in range(int(rng.integers(2, 5))):
        spells.append((begin, begin + rng.uniform(0.4, 1.6)))
        begin = spells[-1][1] + rng.uniform(0.7, 3.0)
    wrong.frozen, wrong.at_s = tuple(spells), spells[0][0]
    wrong.notes["wire"] = True


def touches(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.shakes_all = rng.uniform(4.0, 8.0)


# --- the set-up ------------------------------------------------------------------------------------------------------


def crossed(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.stick_swap = (0, 1)


def reversed(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.stick_sign = ((-1.0, 1.0, 1.0), (1.0, -1.0, 1.0))[int(rng.integers(0, 2))]


def centre(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    off = [0.0, 0.0, 0.0]
    off[int(rng.integers(0, 2))] = float(rng.choice([-1.0, 1.0])) * rng.uniform(0.08, 0.16)
    wrong.stick_off = (off[0], off[1], off[2])


def level(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    toward, tilt = rng.uniform(-math.pi, math.pi), math.radians(rng.uniform(4.5, 8.0))
    wrong.level = (tilt * math.cos(toward), tilt * math.sin(toward))
    way.rate_mode = False


def arm_switch(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.at_s = wrong.disarms_s = aloft(rng, way)


def throttle_up(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.never_arms = True
    wrong.notes["throttle_up"] = rng.uniform(0.08, 0.3)
    way.off_s = NEVER


def keeps(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.at_s = wrong.lost_s = float(rng.uniform(way.out_s + 1.5, way.back_s))
    wrong.action, way.rate_mode = "keep", False
    wrong.lost_until_s = wrong.over_s = wrong.lost_s + rng.uniform(5.0, 9.0)


def stops(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.at_s = wrong.lost_s = aloft(rng, way)
    wrong.action = "stop"


def gains_high(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.gain = rng.uniform(5.8, 7.5)  # below about five it only overshoots: no loop swings by itself there


def gains_low(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.gain = rng.uniform(0.10, 0.2)


def idle(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    way.height = max(way.height, 16.0)
    wrong.at_s, wrong.hands = float(rng.uniform(way.out_s + 1.0, way.home_s - 1.0)), "cut"
    wrong.notes.update(cut_s=rng.uniform(0.5, 0.8), full_s=0.4)
    wrong.stops = (corner(rng), wrong.at_s + 0.25, wrong.at_s + 0.8 + rng.uniform(0.3, 1.2))
