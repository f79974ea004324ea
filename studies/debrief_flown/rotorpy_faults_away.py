# ruff: noqa: ARG001, D103 - every fault is called alike, and its name is the cause that the menu gives it
"""Faults of return, pack, link, pilot and air in the second generator."""

from __future__ import annotations

import math

from studies.debrief_flown.rotorpy_faults_build import Fault, aloft
from studies.debrief_flown.rotorpy_world import NEVER, Build, Rng, Way, Wrong

# --- the automatic return --------------------------------------------------------------------------------------------


def goes_home(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.at_s = float(rng.uniform(way.back_s - 1.0, way.back_s))
    wrong.over_s = wrong.at_s + rng.uniform(14.0, 20.0)
    wrong.returns_s = wrong.at_s  # by the switch: a lost link would be a second thing that is wrong
    way.rate_mode = False
    way.speed = max(way.speed, 8.0)
    wrong.return_speed = float(rng.uniform(5.0, 8.0))


def launch(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    goes_home(rng, build, way, wrong)
    toward, far = rng.uniform(-math.pi, math.pi), rng.uniform(35.0, 120.0)
    wrong.launch = (far * math.cos(toward), far * math.sin(toward))


def fitted(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    goes_home(rng, build, way, wrong)
    wrong.heading_off = float(rng.choice([-1.0, 1.0])) * rng.uniform(0.5, 1.3)


def by_leads(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    goes_home(rng, build, way, wrong)
    hover = build.watt_hover / (3.8 * build.cells)
    wrong.heading_by_current = float(rng.choice([-1.0, 1.0])) * rng.uniform(0.35, 0.9) / hover


def steel(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    if rng.random() < 0.6:
        goes_home(rng, build, way, wrong)
    wrong.heading_near_ground = float(rng.choice([-1.0, 1.0])) * rng.uniform(0.7, 1.6)


def low_return(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    goes_home(rng, build, way, wrong)
    wrong.return_height = rng.uniform(3.5, 7.0)
    wrong.obstacle_m = rng.uniform(0.35, 0.6) * way.speed * (way.back_s - way.out_s)


def slow_return(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    goes_home(rng, build, way, wrong)
    way.wind, way.wind_to = rng.uniform(9.0, 12.5), way.course + rng.uniform(-0.3, 0.3)
    way.gust, wrong.notes["return_tilt"] = 0.1 * way.wind, math.radians(rng.uniform(9.0, 13.0))


def hangs(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    goes_home(rng, build, way, wrong)
    wrong.lands = False
    # it has to arrive before it can hang there
    wrong.over_s += way.speed * (way.back_s - way.out_s) / wrong.return_speed + rng.uniform(6.0, 14.0)


def jumps(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.jumps = True
    wrong.at_s = aloft(rng, way)


# --- the pack --------------------------------------------------------------------------------------------------------


def shown(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.volts_scale = rng.uniform(0.93, 0.965) if rng.random() < 0.5 else rng.uniform(1.03, 1.06)


def drained(low: float, high: float, *, on_way: bool = False) -> Fault:
    """A pack that has so much left when it stands again, or on its way home: `rotorpy_cases` gives it its size."""

    def fault(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
        build.charge = rng.uniform(0.97, 1.0)
        amps = 1.15 * build.watt_hover / (3.65 * build.cells)
        wrong.notes["left"] = rng.uniform(low, high)
        wrong.notes["left_s"] = way.back_s + 0.7 * (way.home_s - way.back_s) if on_way else NEVER
        wrong.at_s = way.home_s - 5.0
        build.ohm = min(build.ohm, 0.12 * build.cells / amps / 4.0)
        build.slow_ohm = build.ohm * 0.3

    return fault


def worn(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.ohm, wrong.capacity = rng.uniform(2.8, 4.2), rng.uniform(0.65, 0.8)


def cold(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    # in a mild chill and at a hover nobody sees anything: it is the first hard climb in frost that people write about
    build.temperature_c = rng.uniform(-10.0, 4.0)
    wrong.ohm_cold = rng.uniform(6.0, 10.0)
    wrong.notes["punches"] = ((way.off_s + way.height / 2.6 + 0.5, rng.uniform(5.0, 8.0)),)
    longer = rng.uniform(12.0, 20.0)
    way.out_s, way.back_s, way.home_s = way.out_s + longer, way.back_s + longer, way.home_s + longer
    way.down_s, way.end_s = way.down_s + longer, way.end_s + longer
    way.nose_turns = True
    hours = (way.down_s - way.off_s) / 3600.0
    build.capacity = min(build.capacity, build.watt_hover / (3.8 * build.cells) * hours / 0.35)


def cell(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.cell_low = rng.uniform(0.35, 0.6)
    build.charge = rng.uniform(0.8, 0.95)


def cells(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.notes["declared_cells"] = build.cells + (1 if rng.random() < 0.5 else -1)
    if build.cells == 6:
        wrong.notes["declared_cells"] = int(rng.choice([4, 5]))
    elif build.cells == 4:
        wrong.notes["declared_cells"] = int(rng.choice([3, 6]))


def lead(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    # a plug that takes a tenth of a volt is not felt; people write when a hard climb drags the volts down
    wrong.lead_ohm = build.ohm * rng.uniform(4.0, 7.0)
    wrong.notes["punches"] = ((float(rng.uniform(way.out_s, way.home_s - 3.0)), rng.uniform(4.0, 6.0)),)


def not_full(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    build.charge = rng.uniform(0.4, 0.72)


# --- the link --------------------------------------------------------------------------------------------------------


def spare(rng: Rng, build: Build, way: Way, loss: float, over: tuple[float, float], share: float = 1.0) -> None:
    """Leave the link less to spare, at so much of the way out, than a fault takes; with more, nobody notices it."""
    far = way.speed * (way.back_s - way.out_s) * share
    build.level_dbm = build.needs_dbm + 20.0 * math.log10(max(far, 10.0) / 10.0) + loss - rng.uniform(*over)


def null(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    axis = ((-1.0, 0.0, 0.0), (1.0, 0.0, 0.0))[int(rng.integers(0, 2))]
    way.nose_turns = bool(rng.random() < 0.8)
    way.speed = max(way.speed, 9.0)  # nearer than some tens of metres no blind end is felt
    wrong.link = "null"
    wrong.notes.update(axis=axis, depth=rng.uniform(14.0, 24.0), wide=rng.uniform(0.5, 0.8))
    spare(rng, build, way, wrong.notes["depth"], (2.0, 8.0))


def terrain(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    way.speed = max(way.speed, 9.0)
    far = way.speed * (way.back_s - way.out_s)
    way.height = max(way.height, rng.uniform(16.0, 24.0))  # behind a ridge, not behind a mound
    wrong.link = "terrain"
    wrong.notes.update(from_m=far * rng.uniform(0.5, 0.7), ridge_m=way.height * rng.uniform(0.8, 1.1),
                       slope=rng.uniform(0.2, 0.5), loss=rng.uniform(14.0, 20.0))  # fmt: skip
    # what the ground takes is more than what the link has to spare there
    build.level_dbm = build.needs_dbm + 20.0 * math.log10(far / 10.0) + wrong.notes["loss"] - rng.uniform(4.0, 9.0)


def trees(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    way.speed = max(way.speed, 9.0)
    far = way.speed * (way.back_s - way.out_s)
    wrong.link = "trees"
    begin = far * rng.uniform(0.35, 0.55)
    wrong.notes.update(from_m=begin, to_m=begin + far * rng.uniform(0.3, 0.7), loss=rng.uniform(8.0, 14.0))
    spare(rng, build, way, wrong.notes["loss"], (1.0, 6.0), begin / far)


def spells(rng: Rng, way: Way, count: int, low: float, high: float) -> tuple[tuple[float, float], ...]:
    begins = sorted(float(one) for one in rng.uniform(way.out_s - 2.0, way.down_s - 2.0, count))
    return tuple((begin, begin + float(rng.uniform(low, high))) for begin in begins)


def body(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    """The pilot turns away far out: near by, a body takes nothing that the link has not to spare."""
    way.speed = max(way.speed, 9.0)
    wrong.link = "body"
    first = float(rng.uniform(way.back_s - 4.0, way.back_s - 1.0))
    begins = (first, first + float(rng.uniform(4.0, 7.0)))
    wrong.notes.update(spells=tuple((one, one + float(rng.uniform(2.0, 4.0))) for one in begins),
                       loss=rng.uniform(11.0, 18.0))  # fmt: skip
    spare(rng, build, way, wrong.notes["loss"], (2.0, 7.0))


def interference(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.link = "interference"
    wrong.notes.update(spells=spells(rng, way, int(rng.integers(2, 4)), 2.5, 6.0), noise=rng.uniform(35.0, 48.0))


def aboard(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.link = "aboard"
    wrong.notes.update(noise=rng.uniform(22.0, 32.0), amps=1.2 * build.watt_hover / (3.8 * build.cells))


def weak(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.link = "weak"
    wrong.notes.update(step=float(rng.choice([10.0, 13.0, 16.0, 20.0])))
    spare(rng, build, way, wrong.notes["step"], (0.0, 6.0))


def hot(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.link = "hot"
    wrong.at_s = float(rng.uniform(way.out_s, way.back_s + 2.0))
    wrong.notes.update(hot_s=wrong.at_s, step=float(rng.choice([9.0, 12.0, 15.0])), twice=bool(rng.random() < 0.5))
    spare(rng, build, way, wrong.notes["step"], (1.0, 6.0))


def range(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    way.speed = rng.uniform(12.0, 16.0)
    way.back_s, way.home_s = way.back_s + 6.0, way.home_s + 12.0
    way.down_s, way.end_s = way.down_s + 12.0, way.end_s + 12.0
    far = way.speed * (way.back_s - way.out_s)
    build.level_dbm = build.needs_dbm + 20.0 * math.log10(far / 10.0) + rng.uniform(-3.0, 2.0)


def back(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.link = "back"
    wrong.notes.update(step=rng.uniform(19.0, 27.0))
    spare(rng, build, way, wrong.notes["step"], (6.0, 12.0))  # commands still have most of the step to spare


def not_linked(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.link = "none"
    way.off_s = NEVER


# --- the pilot and the air -------------------------------------------------------------------------------------------


def lost(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.at_s, wrong.hands = aloft(rng, way), "lost"
    way.rate_mode = bool(rng.random() < 0.6)


def startled(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.at_s, wrong.hands, way.rate_mode = aloft(rng, way), "startled", True
    wrong.notes["held_s"] = rng.uniform(0.5, 1.1)


def gap(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.at_s = wrong.strikes_s = float(rng.uniform(way.out_s + 1.5, way.home_s - 1.5))


def other_mode(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    way.rate_mode = False
    wrong.at_s, wrong.hands = float(rng.uniform(way.out_s + 1.0, way.home_s - 2.0)), "bank"
    wrong.notes.update(rate_mode_s=wrong.at_s - rng.uniform(0.2, 1.0), kept=rng.uniform(0.2, 0.35))


def cut(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.at_s, wrong.hands = aloft(rng, way), "cut"
    way.height = max(way.height, 12.0)
    wrong.notes.update(cut_s=rng.uniform(1.0, 1.07) * math.sqrt(2.0 * way.height / 9.81), full_s=1.5)


def wash(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    way.height = max(way.height, 15.0)
    wrong.at_s, wrong.hands, wrong.wash = way.home_s + 1.5, "sink", True
    wrong.notes["lift"] = rng.uniform(0.55, 0.75)
    way.rate_mode = False


def windy(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    way.wind = rng.uniform(9.0, 13.0)
    way.wind_to = way.course + rng.uniform(-0.4, 0.4) + float(rng.choice([0.0, math.pi]))
    way.gust, way.speed = 0.16 * way.wind, rng.uniform(9.0, 13.0)
    build.drag *= 1.5


def thin(rng: Rng, build: Build, way: Way, wrong: Wrong) -> None:
    wrong.density = rng.uniform(0.68, 0.78)
    build.ground_m = 44_330.0 * (1.0 - wrong.density**0.235)
    build.temperature_c = rng.uniform(18.0, 32.0)
