"""What each cause does in the second generator: changes of aircraft, way and of what is wrong, drawn by seed."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Final

from studies.debrief_flown.rotorpy_world import NEVER, Build, Rng, Way, Wrong

Fault = Callable[[Rng, Build, Way, Wrong], None]


def _corner(rng: Rng) -> int:
    return int(rng.integers(0, 4))


def _one(rng: Rng, value: float, rest: float = 1.0) -> list[float]:
    found = [rest] * 4
    found[_corner(rng)] = value
    return found


def _aloft(rng: Rng, way: Way) -> float:
    return float(rng.uniform(way.out_s - 1.5, way.home_s - 1.0))


def _at(values: list[float], where: int, value: float) -> list[float]:
    return [value if k == where else one for k, one in enumerate(values)]


# --- the build -------------------------------------------------------------------------------------------------------


def _propeller_direction(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.lift = _one(rng, -rng.uniform(0.45, 0.7))


def _motor_direction(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    where = _corner(rng)
    wrong.lift, wrong.twist = _at([1.0] * 4, where, -rng.uniform(0.45, 0.7)), _at([1.0] * 4, where, -0.9)


def _order(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    ways = ((3, 1, 2, 0), (0, 2, 1, 3), (3, 2, 1, 0), (1, 0, 2, 3), (2, 1, 0, 3))
    a, b, c, d = ways[int(rng.integers(0, len(ways)))]
    wrong.order = (a, b, c, d)


def _board_turned(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.board_turn = float(rng.choice([math.pi / 2.0, math.pi, -math.pi / 2.0]))


def _board_over(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.board_over = True


def _all_propellers(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    low = rng.uniform(0.25, 0.4)
    wrong.lift, wrong.hands, wrong.at_s = [-low] * 4, "flat out", 0.0


def _scheme(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.yaw_backward = True


def _upside_down(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    where = _corner(rng)
    wrong.lift, wrong.thirst = _at([1.0] * 4, where, rng.uniform(0.5, 0.65)), _at([1.0] * 4, where, 1.2)
    shakes = [1.0] * 4
    shakes[where] = 1.6
    wrong.shakes_at = (shakes[0], shakes[1], shakes[2], shakes[3])
    wrong.notes["blade_at"] = where


def _loose(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    where = _corner(rng)
    wrong.at_s = _aloft(rng, way)
    wrong.later = {"lift": _at([1.0] * 4, where, rng.uniform(0.05, 0.3)), "swift": _at([1.0] * 4, where, rng.uniform(1.25, 1.5)),
                   "thirst": _at([1.0] * 4, where, 0.15)}  # fmt: skip


def _shaken(low: float, high: float) -> Fault:
    def fault(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
        shakes = _one(rng, rng.uniform(low, high))
        wrong.shakes_at = (shakes[0], shakes[1], shakes[2], shakes[3])

    return fault


def _bearing(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    where, slow = _corner(rng), rng.uniform(0.76, 0.86)
    wrong.swift, wrong.thirst = _at([1.0] * 4, where, slow), _at([1.0] * 4, where, rng.uniform(1.5, 2.2))
    wrong.rough = rng.uniform(2.0, 4.0)


def _out_of_step(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    begin = _aloft(rng, way)
    wrong.notes["punches"] = ((begin, rng.uniform(5.0, 8.0)),)
    wrong.at_s = begin + rng.uniform(0.05, 0.2)
    wrong.stops = (_corner(rng), wrong.at_s, wrong.at_s + rng.uniform(0.25, 1.2))


def _wire(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.at_s = _aloft(rng, way)
    wrong.stops = (_corner(rng), wrong.at_s, NEVER)


def _overloaded(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    begin = _aloft(rng, way)
    wrong.notes["punches"] = ((begin, rng.uniform(6.0, 9.0)),)
    wrong.at_s = begin + rng.uniform(0.4, 0.9)
    wrong.stops = (_corner(rng), wrong.at_s, NEVER)
    wrong.notes["rated_low"] = True


def _supply(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.volts_noise = rng.uniform(0.02, 0.04)  # of the pack's volts at the hover's current


def _balance(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    way_to, far = rng.choice([0.0, 1.0, 2.0, 3.0]) * math.pi / 2.0 + rng.uniform(-0.3, 0.3), build.arm * rng.uniform(0.10, 0.18)
    wrong.shift = (far * math.cos(way_to), far * math.sin(way_to))


def _pack_shifts(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    _balance(rng, build, way, wrong)
    wrong.shift_at_s = wrong.at_s = float(rng.uniform(way.out_s - 1.0, way.home_s - 3.0))


def _plug(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.at_s = _aloft(rng, way)
    wrong.dies_s = wrong.at_s + rng.uniform(0.03, 0.12)
    wrong.notes["supply_falls"] = wrong.at_s


def _receiver_wire(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    spells, begin = [], _aloft(rng, way)
    for _ in range(int(rng.integers(2, 5))):
        spells.append((begin, begin + rng.uniform(0.4, 1.6)))
        begin = spells[-1][1] + rng.uniform(0.7, 3.0)
    wrong.frozen, wrong.at_s = tuple(spells), spells[0][0]
    wrong.notes["wire"] = True


def _touches(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.shakes_all = rng.uniform(4.0, 8.0)


# --- the set-up ------------------------------------------------------------------------------------------------------


def _crossed(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.stick_swap = (0, 1)


def _reversed(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.stick_sign = ((-1.0, 1.0, 1.0), (1.0, -1.0, 1.0))[int(rng.integers(0, 2))]


def _centre(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    off = [0.0, 0.0, 0.0]
    off[int(rng.integers(0, 2))] = float(rng.choice([-1.0, 1.0])) * rng.uniform(0.08, 0.16)
    wrong.stick_off = (off[0], off[1], off[2])


def _level(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    toward, tilt = rng.uniform(-math.pi, math.pi), math.radians(rng.uniform(4.5, 8.0))
    wrong.level = (tilt * math.cos(toward), tilt * math.sin(toward))
    way.rate_mode = False


def _arm_switch(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.at_s = wrong.disarms_s = _aloft(rng, way)


def _throttle_up(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.never_arms = True
    wrong.notes["throttle_up"] = rng.uniform(0.08, 0.3)
    way.off_s = NEVER


def _keeps(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.at_s = wrong.lost_s = float(rng.uniform(way.out_s + 1.5, way.back_s))
    wrong.action, way.rate_mode = "keep", False
    wrong.lost_until_s = wrong.over_s = wrong.lost_s + rng.uniform(5.0, 9.0)


def _stops(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.at_s = wrong.lost_s = _aloft(rng, way)
    wrong.action = "stop"


def _gains_high(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.gain = rng.uniform(2.6, 3.6)


def _gains_low(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.gain = rng.uniform(0.10, 0.2)


def _idle(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    way.height = max(way.height, 16.0)
    wrong.at_s, wrong.hands = float(rng.uniform(way.out_s + 1.0, way.home_s - 1.0)), "cut"
    wrong.notes.update(cut_s=rng.uniform(0.5, 0.8), full_s=0.4)
    wrong.stops = (_corner(rng), wrong.at_s + 0.25, wrong.at_s + 0.8 + rng.uniform(0.3, 1.2))


# --- the automatic return --------------------------------------------------------------------------------------------


def _goes_home(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.at_s = float(rng.uniform(way.back_s - 1.0, way.back_s))
    wrong.over_s = wrong.at_s + rng.uniform(14.0, 20.0)
    if rng.random() < 0.5:
        wrong.returns_s = wrong.at_s
    else:
        wrong.lost_s, wrong.lost_until_s = wrong.at_s, wrong.over_s
    way.rate_mode = False
    way.speed = max(way.speed, 8.0)
    wrong.return_speed = float(rng.uniform(5.0, 8.0))


def _launch(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    _goes_home(rng, build, way, wrong)
    toward, far = rng.uniform(-math.pi, math.pi), rng.uniform(35.0, 120.0)
    wrong.launch = (far * math.cos(toward), far * math.sin(toward))


def _fitted(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    _goes_home(rng, build, way, wrong)
    wrong.heading_off = float(rng.choice([-1.0, 1.0])) * rng.uniform(0.5, 1.3)


def _by_leads(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    _goes_home(rng, build, way, wrong)
    hover = build.watt_hover / (3.8 * build.cells)
    wrong.heading_by_current = float(rng.choice([-1.0, 1.0])) * rng.uniform(0.35, 0.9) / hover


def _steel(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    if rng.random() < 0.6:
        _goes_home(rng, build, way, wrong)
    wrong.heading_near_ground = float(rng.choice([-1.0, 1.0])) * rng.uniform(0.7, 1.6)


def _low_return(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    _goes_home(rng, build, way, wrong)
    wrong.return_height = rng.uniform(3.5, 7.0)
    wrong.obstacle_m = rng.uniform(0.35, 0.6) * way.speed * (way.back_s - way.out_s)


def _slow_return(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    _goes_home(rng, build, way, wrong)
    way.wind, way.wind_to = rng.uniform(9.0, 12.5), way.course + rng.uniform(-0.3, 0.3)
    way.gust, wrong.notes["return_tilt"] = 0.1 * way.wind, math.radians(rng.uniform(9.0, 13.0))


def _hangs(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    _goes_home(rng, build, way, wrong)
    wrong.lands = False
    wrong.over_s += 8.0
    wrong.lost_until_s = wrong.over_s if wrong.lost_s < NEVER else NEVER


def _jumps(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.jumps = True
    wrong.at_s = _aloft(rng, way)


# --- the pack --------------------------------------------------------------------------------------------------------


def _shown(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.volts_scale = rng.uniform(0.93, 0.965) if rng.random() < 0.5 else rng.uniform(1.03, 1.06)


def _drained(low: float, high: float) -> Fault:
    def fault(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
        build.charge = rng.uniform(0.97, 1.0)
        hours = (way.down_s - way.off_s) / 3600.0
        amps = 1.15 * build.watt_hover / (3.65 * build.cells)
        left = rng.uniform(low, high)
        build.capacity = amps * hours / (build.charge - left)
        wrong.at_s = way.home_s - 5.0
        build.ohm = min(build.ohm, 0.12 * build.cells / amps / 4.0)
        build.slow_ohm = build.ohm * 0.3

    return fault


def _worn(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.ohm, wrong.capacity = rng.uniform(2.8, 4.2), rng.uniform(0.65, 0.8)


def _cold(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    build.temperature_c = rng.uniform(-3.0, 7.0)
    wrong.ohm_cold = rng.uniform(2.2, 3.5)
    longer = rng.uniform(12.0, 20.0)
    way.out_s, way.back_s, way.home_s = way.out_s + longer, way.back_s + longer, way.home_s + longer
    way.down_s, way.end_s = way.down_s + longer, way.end_s + longer
    way.nose_turns = True
    build.capacity = min(build.capacity, build.watt_hover / (3.8 * build.cells) * (way.down_s - way.off_s) / 3600.0 / 0.35)


def _cell(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.cell_low = rng.uniform(0.35, 0.6)
    build.charge = rng.uniform(0.8, 0.95)


def _cells(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.notes["declared_cells"] = build.cells + (1 if rng.random() < 0.5 else -1)
    if build.cells == 6:
        wrong.notes["declared_cells"] = int(rng.choice([4, 5]))
    elif build.cells == 4:
        wrong.notes["declared_cells"] = int(rng.choice([3, 6]))


def _lead(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.lead_ohm = build.ohm * rng.uniform(2.0, 3.5)


def _not_full(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    build.charge = rng.uniform(0.4, 0.72)


# --- the link --------------------------------------------------------------------------------------------------------


def _null(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    axis = ((-1.0, 0.0, 0.0), (1.0, 0.0, 0.0))[int(rng.integers(0, 2))]
    way.nose_turns = bool(rng.random() < 0.8)
    wrong.link = "null"
    wrong.notes.update(axis=axis, depth=rng.uniform(14.0, 24.0), wide=rng.uniform(0.5, 0.8))


def _terrain(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    way.speed = max(way.speed, 9.0)
    far = way.speed * (way.back_s - way.out_s)
    wrong.link = "terrain"
    wrong.notes.update(from_m=far * rng.uniform(0.5, 0.7), ridge_m=way.height * rng.uniform(0.8, 1.1),
                       slope=rng.uniform(0.2, 0.5), loss=rng.uniform(14.0, 20.0))  # fmt: skip


def _trees(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    way.speed = max(way.speed, 9.0)
    far = way.speed * (way.back_s - way.out_s)
    wrong.link = "trees"
    begin = far * rng.uniform(0.35, 0.55)
    wrong.notes.update(from_m=begin, to_m=begin + far * rng.uniform(0.3, 0.7), loss=rng.uniform(8.0, 14.0))


def _spells(rng: Rng, way: Way, count: int, low: float, high: float) -> tuple[tuple[float, float], ...]:
    begins = sorted(float(one) for one in rng.uniform(way.out_s - 2.0, way.down_s - 2.0, count))
    return tuple((begin, begin + float(rng.uniform(low, high))) for begin in begins)


def _body(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.link = "body"
    wrong.notes.update(spells=_spells(rng, way, int(rng.integers(2, 4)), 2.0, 5.0), loss=rng.uniform(11.0, 18.0))


def _interference(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.link = "interference"
    wrong.notes.update(spells=_spells(rng, way, int(rng.integers(2, 4)), 2.5, 6.0), noise=rng.uniform(35.0, 48.0))


def _aboard(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.link = "aboard"
    wrong.notes.update(noise=rng.uniform(22.0, 32.0), amps=1.2 * build.watt_hover / (3.8 * build.cells))


def _weak(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.link = "weak"
    wrong.notes.update(step=float(rng.choice([10.0, 13.0, 16.0, 20.0])))


def _hot(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.link = "hot"
    wrong.at_s = float(rng.uniform(way.out_s, way.back_s + 2.0))
    wrong.notes.update(hot_s=wrong.at_s, step=float(rng.choice([9.0, 12.0, 15.0])), twice=bool(rng.random() < 0.5))


def _range(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    way.speed = rng.uniform(12.0, 16.0)
    way.back_s, way.home_s = way.back_s + 6.0, way.home_s + 12.0
    way.down_s, way.end_s = way.down_s + 12.0, way.end_s + 12.0
    far = way.speed * (way.back_s - way.out_s)
    build.level_dbm = build.needs_dbm + 20.0 * math.log10(far / 10.0) + rng.uniform(-3.0, 2.0)


def _back(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.link = "back"
    wrong.notes.update(step=rng.uniform(14.0, 24.0))
    build.level_dbm -= 12.0


def _not_linked(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.link = "none"
    way.off_s = NEVER


# --- the pilot and the air -------------------------------------------------------------------------------------------


def _lost(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.at_s, wrong.hands = _aloft(rng, way), "lost"
    way.rate_mode = bool(rng.random() < 0.6)


def _startled(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.at_s, wrong.hands, way.rate_mode = _aloft(rng, way), "startled", True
    wrong.notes["held_s"] = rng.uniform(0.5, 1.1)


def _gap(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.at_s = wrong.strikes_s = float(rng.uniform(way.out_s + 1.5, way.home_s - 1.5))


def _other_mode(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    way.rate_mode = False
    wrong.at_s, wrong.hands = float(rng.uniform(way.out_s + 1.0, way.home_s - 2.0)), "bank"
    wrong.notes.update(rate_mode_s=wrong.at_s - rng.uniform(0.2, 1.0), kept=rng.uniform(0.2, 0.35))


def _cut(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.at_s, wrong.hands = _aloft(rng, way), "cut"
    way.height = max(way.height, 12.0)
    wrong.notes.update(cut_s=rng.uniform(0.92, 1.0) * math.sqrt(2.0 * way.height / 9.81), full_s=1.5)


def _wash(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    way.height = max(way.height, 15.0)
    wrong.at_s, wrong.hands, wrong.wash = way.home_s + 1.5, "sink", True
    wrong.notes["lift"] = rng.uniform(0.55, 0.75)
    way.rate_mode = False


def _windy(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    way.wind, way.wind_to = rng.uniform(9.0, 13.0), way.course + rng.uniform(-0.4, 0.4) + float(rng.choice([0.0, math.pi]))
    way.gust, way.speed = 0.16 * way.wind, rng.uniform(9.0, 13.0)
    build.drag *= 1.5


def _thin(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.density = rng.uniform(0.68, 0.78)
    build.ground_m = 44_330.0 * (1.0 - wrong.density**0.235)
    build.temperature_c = rng.uniform(18.0, 32.0)


FAULTS: Final[dict[str, Fault]] = {
    "propeller-direction-wrong-at-one-corner": _propeller_direction,
    "motor-direction-wrong-at-one-corner": _motor_direction,
    "motor-order-crossed": _order,
    "board-turned": _board_turned,
    "board-upside-down": _board_over,
    "propeller-direction-wrong-at-every-corner": _all_propellers,
    "rotation-scheme-not-as-declared": _scheme,
    "propeller-upside-down": _upside_down,
    "propeller-loose": _loose,
    "propeller-damaged": _shaken(4.0, 8.0),
    "motor-shaft-bent": _shaken(4.0, 8.0),
    "motor-bearing-worn": _bearing,
    "motor-out-of-step": _out_of_step,
    "motor-joint-poor": _out_of_step,
    "motor-wire-torn": _wire,
    "speed-control-overloaded": _overloaded,
    "supply-noisy": _supply,
    "balance-off": _balance,
    "pack-shifts-in-flight": _pack_shifts,
    "plug-opens-in-flight": _plug,
    "receiver-wire-pinched": _receiver_wire,
    "board-touches-frame": _touches,
    "stick-channels-crossed": _crossed,
    "stick-reversed": _reversed,
    "stick-centre-off": _centre,
    "level-not-calibrated": _level,
    "arm-switch-knocked": _arm_switch,
    "throttle-not-down-at-arming": _throttle_up,
    "radio-loss-keeps-last-sticks": _keeps,
    "radio-loss-stops-motors-as-set": _stops,
    "gains-too-high": _gains_high,
    "gains-too-low": _gains_low,
    "idle-too-low": _idle,
    "launch-point-wrong": _launch,
    "direction-sensor-fitted-wrong": _fitted,
    "direction-sensor-disturbed-by-leads": _by_leads,
    "magnetic-disturbance": _steel,
    "return-height-too-low": _low_return,
    "return-slower-than-wind": _slow_return,
    "return-does-not-land": _hangs,
    "position-receiver-disturbed": _jumps,
    "volts-shown-wrong": _shown,
    "low-volts-warning-absent": _drained(0.0, 0.05),
    "warning-ignored": _drained(0.0, 0.05),
    "turned-back-too-late": _drained(0.0, 0.05),
    "pack-over-discharged": _drained(-0.06, -0.03),
    "pack-worn": _worn,
    "pack-cold": _cold,
    "cells-out-of-balance": _cell,
    "pack-of-another-cell-count": _cells,
    "plug-or-lead-resistance": _lead,
    "pack-not-full-at-start": _not_full,
    "antenna-null": _null,
    "blocked-by-terrain": _terrain,
    "blocked-by-trees-or-buildings": _trees,
    "blocked-by-body": _body,
    "interference": _interference,
    "noise-aboard": _aboard,
    "power-level-low": _weak,
    "transmitter-overheats": _hot,
    "beyond-range": _range,
    "way-back-weak": _back,
    "control-not-linked": _not_linked,
    "lost-orientation": _lost,
    "wrong-reaction": _startled,
    "misjudged-gap": _gap,
    "another-mode-than-thought": _other_mode,
    "throttle-cut-too-long": _cut,
    "caught-in-own-wash": _wash,
    "wind-too-strong": _windy,
    "air-too-thin": _thin,
}
"""By key of the book."""
