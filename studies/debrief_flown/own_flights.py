"""A flight before anything is wrong with it: aircraft, way, pilot; healthy flights of several kinds."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray
from studies.debrief_flown.own_kernel import PUNCH, ROLL_OVER
from studies.debrief_flown.own_terrain import Place, place
from studies.debrief_flown.own_world import NEVER, World, sound
from studies.record_flown.craft import Craft, Plan
from studies.record_flown.design import draw_craft
from studies.record_flown.rigid import G

Floats = NDArray[np.float64]
HEALTHY: Final = ("plain", "plain", "windy", "hard-flown", "hard-landed", "returns", "over hills", "cold day", "far",
                  "old propellers", "unsteady hand")  # fmt: skip


@dataclass(slots=True, eq=False)
class Draft:
    """One flight as it is drawn; causes change it.

    Parameters
    ----------
    rng : numpy.random.Generator
    craft, base : Craft
        As flown, and as its pilot takes it to be.
    plan : Plan
    world : World
    times : dict
        ``out``, ``far``, ``back``, ``home``, ``down``, s: leg out begins and ends, way home begins and ends, landing.
    leg, height : float
        m.
    place : Place or None
        Real ground; None: level.
    launch : ndarray, shape (2,)
        Stored launch point, m north and east.
    shift : ndarray, shape (3,)
    gain : float
    air_c, wind_plan : float
        Of the day.
    true : dict
        What was drawn, for the scorer.
    seen : dict
        What only the sensors need.
    """

    rng: np.random.Generator
    craft: Craft
    base: Craft
    plan: Plan
    world: World
    times: dict[str, float]
    leg: float
    height: float
    place: Place | None = None
    launch: Floats = field(default_factory=lambda: np.zeros(2))
    shift: Floats = field(default_factory=lambda: np.array([NEVER, 0.0, 0.0]))
    gain: float = 1.0
    air_c: float = 18.0
    true: dict[str, Any] = field(default_factory=dict)
    seen: dict[str, Any] = field(default_factory=dict)

    def set(self, **changed: Any) -> None:
        """Change the world."""
        self.world = self.world._replace(**changed)

    def act(self, start: float, end: float, what: float) -> None:
        """Let the pilot do something for a while."""
        self.set(acts=np.vstack([self.world.acts, [start, end, what]]))

    def aloft(self, spare_s: float = 6.0) -> float:
        """Draw a moment in the air with `spare_s` left before the landing begins."""
        first = self.times["out"] - 1.0
        return float(self.rng.uniform(first, max(self.times["down"] - spare_s, first + 1.0)))

    def corner(self) -> int:
        """Draw a corner."""
        return int(self.rng.integers(0, 4))

    def cells(self, **of_craft: float) -> None:
        """Change the aircraft as it is flown."""
        self.craft = self.craft._replace(**of_craft)


def hover_output(craft: Craft, volts_of_cell: float = 3.85, air: float = 1.0) -> float:
    """Return the output that holds it in still air, 0 to 1."""
    share = craft.mass * G / 4.0 / (craft.thrust_max * air) * (4.2 / volts_of_cell) ** 2
    curve = 1.0 - craft.linear
    return float((-craft.linear + math.sqrt(craft.linear**2 + 4.0 * curve * share)) / (2.0 * curve))


def hover_watts(craft: Craft, air: float = 1.0) -> float:
    """Return the electric power of hovering, W."""
    each = (craft.mass * G / 4.0) ** 1.5 / math.sqrt(2.0 * 1.225 * air * craft.disc) / craft.merit
    return float(4.0 * each + craft.idle_w)


def lay_way(d: Draft, speed: float, sideways: float = 0.0, stay_s: float = 2.5, zigzag: float = 0.0,
            above: float | None = None, home_up: float | None = None) -> None:  # fmt: skip
    """Write the way: up, out `d.leg`, sideways, home, down.

    Parameters
    ----------
    d : Draft
        `d.leg`, `d.height` and `d.plan.course` are used.
    speed : float
        m/s.
    sideways : float
        m across at the far end.
    stay_s : float
        How long it hovers before the way out.
    zigzag : float
        m to either side, each second.
    above : float, optional
        Over real ground, m; else level at `d.height`.
    home_up : float, optional
        Height of the way home, m; else as the way out.
    """
    rng, course = d.rng, d.plan.course
    along, across = np.array([math.cos(course), math.sin(course)]), np.array([-math.sin(course), math.cos(course)])
    off_at = d.plan.off_at
    up_s = d.height / 2.5 + 1.0
    rows = [(0.0, 0.0, 0.0, 0.0, course), (off_at, 0.0, 0.0, 0.0, course),
            (off_at + up_s, 0.0, 0.0, d.height, course)]  # fmt: skip
    t = off_at + up_s + stay_s
    rows.append((t, 0.0, 0.0, d.height, course))
    d.times["out"] = t

    def leg(a: Floats, b: Floats, high: float | None) -> None:
        nonlocal t
        far = float(np.hypot(*(b - a)))
        heading = math.atan2(b[1] - a[1], b[0] - a[0])
        pieces = max(1, round(far / (speed if zigzag else 25.0))) if zigzag or above is not None else 1
        before = rows[-1]
        rows[-1] = (*before[:4], heading)
        ends = a + (b - a) * (np.arange(1, pieces + 1) / pieces)[:, None]
        side = np.array([-math.sin(heading), math.cos(heading)])
        for k, point in enumerate(ends):
            spot = point + (side * zigzag * (-1.0) ** k if k < pieces - 1 else 0.0)
            up = d.height if high is None else high
            if above is not None and d.place is not None and high is None:
                ahead = a + (b - a) * np.clip((k + np.array([0.0, 0.5, 1.0, 1.5, 2.0])) / pieces, 0.0, 1.0)[:, None]
                up = max(3.0, float(d.place.at(ahead[:, 0], ahead[:, 1]).max()) + above)
            t += max(far / pieces / speed, abs(up - rows[-1][3]) / 2.5)
            rows.append((t, spot[0], spot[1], up, heading))

    start, far_end = np.zeros(2), along * d.leg
    leg(start, far_end, None)
    d.times["far"] = t
    if sideways:
        leg(far_end, far_end + across * sideways, None)
        far_end = far_end + across * sideways
    t += rng.uniform(1.5, 3.0)
    rows.append((t, far_end[0], far_end[1], rows[-1][3], math.atan2(-far_end[1], -far_end[0])))
    d.times["back"] = t
    leg(far_end, start, home_up)
    d.times["home"] = t
    t += rng.uniform(2.0, 4.0)
    high = rows[-1][3]
    rows.append((t, 0.0, 0.0, high, rows[-1][4]))
    d.times["down"] = t
    sink = d.world.sink
    t += max(high - 1.5, 0.0) / (0.8 * sink)
    rows.append((t, 0.0, 0.0, 1.5, rows[-1][4]))
    t += 9.0
    rows.append((t, 0.0, 0.0, -3.0, rows[-1][4]))
    d.set(way=np.array(rows))
    d.plan = d.plan._replace(out_at=d.times["out"], back_at=d.times["back"], down_at=d.times["down"], end=t + 6.0,
                             height=d.height, speed=speed)  # fmt: skip


def over_hills(d: Draft, tries: int = 40) -> None:
    """Set the flight over real ground, from a spot that is not on a steep slope."""
    for _ in range(tries):
        spot = place(d.rng)
        around = spot.at(np.array([-30.0, 30.0, 0.0, 0.0]), np.array([0.0, 0.0, -30.0, 30.0]))
        if np.abs(around).max() < 4.0:
            break
    d.place = spot
    d.set(**spot.world())
    d.true["terrain"] = True


def punches(d: Draft, count: int) -> list[float]:
    """Let the pilot open the throttle for a moment `count` times; return when."""
    found = []
    for _ in range(count):
        at = d.aloft(8.0)
        d.act(at, at + d.rng.uniform(0.35, 0.7), PUNCH)
        found.append(at)
    return sorted(found)


def seeds(seed: int, use: int, again: int) -> list[int]:
    """Return what a generator is seeded with; the first draw as if there were no other."""
    return [seed, use, again] if again else [seed, use]


def drawn(seed: int, again: int = 0) -> Draft:
    """Draw a sound flight of 35 to 70 s; `again` counts draws of one flight."""
    rng = np.random.default_rng(seeds(seed, 31, again))
    u = rng.uniform
    craft = draw_craft(rng)
    # a pack that lasts three to seven minutes of hovering, whatever this flight takes of it
    amps = hover_watts(craft) / (3.75 * craft.cells)
    capacity = amps * u(3.2, 6.5) / 60.0
    craft = craft._replace(
        capacity=capacity, r_pack=craft.cells * 0.0085 / capacity * u(0.7, 1.4), r_slow=craft.cells * 0.003 / capacity,
        charge0=u(0.96, 1.0), action=float(rng.choice([2.0, 3.0])), loss_after=u(0.6, 1.2),
    )  # fmt: skip
    earth = np.array([20.0, 0.0, 43.0]) * u(0.9, 1.1)
    arm_at = u(2.0, 4.0)
    wind = u(0.0, 5.0)
    plan = Plan(end=0.0, arm_at=arm_at, off_at=arm_at + u(0.8, 1.8), out_at=0.0, back_at=0.0, down_at=0.0, height=0.0,
                speed=0.0, course=u(-math.pi, math.pi), rate_mode=float(rng.random() < 0.35), wind=wind,
                wind_from=u(-math.pi, math.pi), gust=0.15 * wind + u(0.05, 0.3), clumsy=u(0.005, 0.03),
                fix_height=0.0)  # fmt: skip
    world = sound(mode=0.0 if plan.rate_mode > 0.0 else 1.0, earth=earth, cold_c=u(18.0, 27.0),
                  heat=900.0 * 0.033 * craft.cells * capacity / 1.3 * 1.2, back_db=u(0.5, 4.0),
                  return_high=u(20.0, 40.0), return_speed=u(6.0, 11.0), return_tilt=math.radians(u(22.0, 32.0)),
                  sink=u(1.8, 2.6))  # fmt: skip
    d = Draft(rng, craft, craft, plan, world, {}, leg=u(80.0, 220.0), height=u(8.0, 24.0), air_c=u(8.0, 28.0))
    lay_way(d, u(9.0, 15.0), sideways=float(rng.choice([0.0, 1.0])) * u(30.0, 80.0))
    punches(d, int(rng.integers(1, 4)))
    return d


def healthy(d: Draft, kind: str) -> None:
    """Change a drawn flight into one kind of healthy flight."""
    rng, plan = d.rng, d.plan
    d.true["healthy"] = kind
    if kind == "windy":
        wind = rng.uniform(5.5, 8.5)
        d.plan = plan._replace(wind=wind, gust=0.16 * wind, speed=max(plan.speed, 11.0))
        lay_way(d, max(plan.speed, 11.0))
    elif kind == "hard-flown":
        d.plan = plan._replace(clumsy=0.03)
        d.leg = min(d.leg, 220.0)
        lay_way(d, rng.uniform(15.0, 20.0), zigzag=rng.uniform(4.0, 9.0))
        punches(d, 4)
        if plan.rate_mode > 0.0:
            at = d.aloft(9.0)
            d.act(at, at + 2.0 * math.pi / (0.9 * d.craft.rate_max), ROLL_OVER)
    elif kind == "hard-landed":
        d.set(sink=3.4)
        way = d.world.way.copy()
        way[-1, 0] = way[-2, 0] + 0.8
        way[-2, 3], way[-1, 3] = 1.0, -6.0
        d.set(way=way)
    elif kind == "returns":
        d.set(return_at=d.times["back"] - 1.0)
        d.plan = plan._replace(end=plan.end + 60.0)
    elif kind == "over hills":
        over_hills(d)
        d.leg = rng.uniform(250.0, 500.0)
        lay_way(d, rng.uniform(10.0, 14.0), above=rng.uniform(25.0, 45.0))
    elif kind == "cold day":
        d.air_c = rng.uniform(-4.0, 5.0)
        d.set(cold_c=rng.uniform(18.0, 25.0))
    elif kind == "far":
        d.leg = rng.uniform(500.0, 750.0)
        lay_way(d, rng.uniform(14.0, 18.0))
        d.cells(level0=d.craft.level0 - 8.0)
    elif kind == "old propellers":
        d.cells(unbalance=1.1)
    elif kind == "unsteady hand":
        d.plan = plan._replace(clumsy=rng.uniform(0.04, 0.07))
