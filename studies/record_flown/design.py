"""Made-up aircraft, plans and faults, drawn by seed. No real aircraft is meant."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from studies.record_flown.craft import Craft, Faults, Plan
from studies.record_flown.rigid import G

Rng = np.random.Generator
RADIO: Final = ("motors-stop", "keeps-last-sticks", "automatic-return", "descends-in-place")
"""What a made-up aircraft does with no control link; the place is its number in `Craft.action`."""


@dataclass(frozen=True, slots=True)
class Design:
    """One flight before it is flown; `faults_named` are the names in `MENU`."""

    seed: int
    craft: Craft
    plan: Plan
    faults: Faults
    faults_named: tuple[str, ...]


def draw_craft(rng: Rng) -> Craft:
    """Draw an aircraft of 2.5 to 10 inch propellers."""
    inch = float(rng.choice([2.5, 3.0, 3.5, 5.0, 5.0, 6.0, 7.0, 10.0]))
    size = inch / 5.0
    u = rng.uniform
    mass = 0.62 * size**2.3 * u(0.8, 1.25)
    arm = 0.0254 * inch * u(0.55, 0.65)
    margin = u(2.4, 6.0)
    linear = u(0.25, 0.5)
    curve = 1.0 - linear
    hover = (-linear + math.sqrt(linear**2 + 4.0 * curve / margin)) / (2.0 * curve)
    lag = 0.02 * size**0.6 * u(0.9, 1.4)
    capacity = 1.3 * size**1.6 * u(0.8, 1.3)
    cells = int(rng.choice([3, 4] if inch < 4 else ([4, 6] if inch < 8 else [6])))
    kp = 0.42 / lag
    ixx = 0.5 * mass * arm**2 * u(0.8, 1.2)
    return Craft(
        mass=mass, ixx=ixx, iyy=ixx * u(1.05, 1.4), izz=1.75 * ixx, arm=arm, thrust_max=margin * mass * G / 4.0,
        speed_max=2.0 * math.pi * 450.0 / size * u(0.8, 1.0), linear=linear, lag=lag,
        torque_m=0.014 * size * u(0.8, 1.2),
        cda=0.016 * size**1.7 * u(0.7, 1.4), lift_drag=u(0.15, 0.4), disc=math.pi / 4.0 * (0.0254 * inch) ** 2,
        merit=u(0.3, 0.48), blades=float(rng.choice([2, 3] if inch < 8 else [2])),
        scheme=float(rng.choice([-1.0, 1.0])),
        cells=float(cells), capacity=capacity, r_pack=cells * 0.009 / capacity * u(0.6, 1.5),
        r_slow=cells * 0.004 / capacity, slow_s=u(3.0, 12.0), charge0=u(0.9, 1.0), weak_cell=0.0, idle_w=u(4.0, 12.0),
        kp=kp, ki=kp * u(1.0, 3.0), kd=u(0.1, 0.25), kp_yaw=0.25 / lag, hover=hover,
        rate_max=math.radians(u(300.0, 900.0)),
        tilt_max=math.radians(u(35.0, 55.0)), gyro_noise=u(0.01, 0.05), acc_noise=u(0.1, 0.5), bias=u(-0.01, 0.01),
        unbalance=u(0.3, 1.0), vib_gyro=u(0.2, 0.8), vib_acc=u(4.0, 15.0), level0=u(-62.0, -48.0),
        sensitivity=u(-112.0, -104.0), loss_after=u(0.6, 1.5), action=float(rng.integers(0, 4)),
    )  # fmt: skip


def draw_plan(rng: Rng) -> Plan:
    """Draw a flight out and back of 45 to 110 s."""
    u = rng.uniform
    arm_at = u(1.5, 4.0)
    off_at = arm_at + u(1.0, 3.0)
    height = u(10.0, 40.0)
    out_at = off_at + height / 2.5 + u(4.0, 8.0)
    leg = u(12.0, 25.0)
    back_at = out_at + leg + 5.0
    down_at = back_at + leg + u(4.0, 8.0)
    wind = u(0.0, 5.0)
    return Plan(
        end=down_at + height / 2.0 + 9.0, arm_at=arm_at, off_at=off_at, out_at=out_at, back_at=back_at, down_at=down_at,
        height=height, speed=u(6.0, 14.0), course=u(-math.pi, math.pi), rate_mode=float(rng.random() < 0.35), wind=wind,
        wind_from=u(-math.pi, math.pi), gust=0.15 * wind + u(0.05, 0.3), clumsy=u(0.005, 0.03), fix_height=0.0,
    )  # fmt: skip


Fault = Callable[[Rng, Craft, Plan], tuple[dict[str, Any], dict[str, Any], dict[str, Any]]]
"""From aircraft and plan to changes of faults, aircraft and plan."""


def _aloft(rng: Rng, plan: Plan, spare_s: float = 8.0) -> float:
    """Draw a moment in the air with `spare_s` left before the landing begins."""
    return float(rng.uniform(plan.out_at - 2.0, plan.down_at - spare_s))


def _fade(least_db: float, most_db: float, least_s: float, most_s: float) -> Fault:
    def made(rng: Rng, craft: Craft, plan: Plan) -> tuple[dict[str, Any], dict[str, Any], dict[str, Any]]:
        del craft
        at = _aloft(rng, plan)
        return {"fade": at, "fade_end": at + rng.uniform(least_s, most_s), "fade_db": rng.uniform(least_db, most_db),
                "fade_ramp": rng.uniform(0.02, 0.1)}, {}, {}  # fmt: skip

    return made


def _span(name: str, least_s: float, most_s: float, **also: tuple[float, float]) -> Fault:
    def made(rng: Rng, craft: Craft, plan: Plan) -> tuple[dict[str, Any], dict[str, Any], dict[str, Any]]:
        del craft
        at = _aloft(rng, plan)
        more = {key: float(rng.uniform(*span)) for key, span in also.items()}
        return {name: at, f"{name}_end": at + rng.uniform(least_s, most_s), **more}, {}, {}

    return made


def _corner(name: str, end_s: tuple[float, float] | None = None, **also: tuple[float, float]) -> Fault:
    def made(rng: Rng, craft: Craft, plan: Plan) -> tuple[dict[str, Any], dict[str, Any], dict[str, Any]]:
        del craft
        at = _aloft(rng, plan)
        found = {name: at, f"{name}_at": float(rng.integers(0, 4))}
        if end_s:
            found[f"{name}_end"] = at + rng.uniform(*end_s)
        return found | {key: float(rng.uniform(*span)) for key, span in also.items()}, {}, {}

    return made


def _step(rng: Rng, craft: Craft, plan: Plan) -> tuple[dict[str, Any], dict[str, Any], dict[str, Any]]:
    return {"step": _aloft(rng, plan), "step_ohm": craft.r_pack * rng.uniform(3.0, 7.0)}, {}, {}


def _shift(rng: Rng, craft: Craft, plan: Plan) -> tuple[dict[str, Any], dict[str, Any], dict[str, Any]]:
    way, far = rng.uniform(0, 2 * math.pi), craft.arm * rng.uniform(0.12, 0.3)
    return {"shift": _aloft(rng, plan), "shift_x": far * math.cos(way), "shift_y": far * math.sin(way)}, {}, {}


def _gain(rng: Rng, craft: Craft, plan: Plan) -> tuple[dict[str, Any], dict[str, Any], dict[str, Any]]:
    del craft
    return {"gain": _aloft(rng, plan), "gain_by": rng.uniform(9.0, 16.0)}, {}, {}


def _reversals(rng: Rng, craft: Craft, plan: Plan) -> tuple[dict[str, Any], dict[str, Any], dict[str, Any]]:
    del craft
    at = _aloft(rng, plan)
    return {"reversals": at, "reversals_end": at + rng.uniform(2.0, 4.0), "reversals_hz": rng.uniform(1.5, 3.0),
            "reversals_axis": float(rng.integers(0, 2))}, {}, {}  # fmt: skip


def _crossed(rng: Rng, craft: Craft, plan: Plan) -> tuple[dict[str, Any], dict[str, Any], dict[str, Any]]:
    del craft, plan
    return {"crossed_axis": float(rng.integers(0, 2))}, {}, {}


def _launch(rng: Rng, craft: Craft, plan: Plan) -> tuple[dict[str, Any], dict[str, Any], dict[str, Any]]:
    del craft, plan
    way, far = rng.uniform(0, 2 * math.pi), rng.uniform(40.0, 250.0)
    return {"launch_n": far * math.cos(way), "launch_e": far * math.sin(way)}, {}, {}


def _returns(rng: Rng, craft: Craft, plan: Plan) -> tuple[dict[str, Any], dict[str, Any], dict[str, Any]]:
    """Lose the link for good when far out: the aircraft flies home by itself, 50 to 130 degrees off."""
    del craft
    at = plan.back_at - rng.uniform(4.0, 8.0)
    off = float(rng.choice([-1.0, 1.0])) * rng.uniform(0.9, 2.2)
    return {"fade": at, "fade_end": 1e8, "fade_db": 80.0, "fade_ramp": 0.05, "return_off": off}, {"action": 2.0}, {}


def _lost(action: int) -> Fault:
    def made(rng: Rng, craft: Craft, plan: Plan) -> tuple[dict[str, Any], dict[str, Any], dict[str, Any]]:
        del craft
        at = float(rng.uniform(plan.out_at + 4.0, plan.down_at - 10.0))
        end = at + rng.uniform(2.0, 6.0) if action == 1 else 1e8
        return {"fade": at, "fade_end": end, "fade_db": 80.0, "fade_ramp": 0.05}, {"action": float(action)}, {}

    return made


def _weak(rng: Rng, craft: Craft, plan: Plan) -> tuple[dict[str, Any], dict[str, Any], dict[str, Any]]:
    del plan
    return {}, {"r_pack": craft.r_pack * rng.uniform(3.0, 5.0), "r_slow": craft.r_slow * 3.0}, {}


def _empty(rng: Rng, craft: Craft, plan: Plan) -> tuple[dict[str, Any], dict[str, Any], dict[str, Any]]:
    del craft, plan
    return {}, {"charge0": rng.uniform(0.12, 0.3)}, {}


def _weak_cell(rng: Rng, craft: Craft, plan: Plan) -> tuple[dict[str, Any], dict[str, Any], dict[str, Any]]:
    del craft, plan
    return {}, {"weak_cell": rng.uniform(0.2, 0.5)}, {}


def _windy(rng: Rng, craft: Craft, plan: Plan) -> tuple[dict[str, Any], dict[str, Any], dict[str, Any]]:
    del craft
    wind = rng.uniform(7.0, 11.0)
    toward = plan.course + float(rng.choice([0.0, math.pi])) + rng.uniform(-0.4, 0.4)
    return {}, {}, {"wind": wind, "wind_from": toward, "gust": 0.12 * wind, "speed": max(plan.speed, 10.0)}


def _ends(rng: Rng, craft: Craft, plan: Plan) -> tuple[dict[str, Any], dict[str, Any], dict[str, Any]]:
    del craft
    return {"ends": _aloft(rng, plan, 2.0)}, {}, {}


MENU: Final[dict[str, Fault]] = {
    "level dip": _fade(18.0, 30.0, 1.0, 5.0),
    "quality low": _span("jam", 2.0, 6.0),
    "frozen": _span("frozen", 1.5, 3.5),
    "lost, motors stop": _lost(0),
    "lost, keeps sticks": _lost(1),
    "lost, returns": _lost(2),
    "lost, descends": _lost(3),
    "restart": _span("restart", 0.8, 2.0),
    "ends aloft": _ends,
    "weak pack": _weak,
    "empty pack": _empty,
    "volt step": _step,
    "cell low": _weak_cell,
    "motor stop": _corner("stop", (900.0, 901.0)),
    "sync loss": _corner("stop", (0.15, 0.5)),
    "propeller lost": _corner("prop"),
    "mass shift": _shift,
    "bent propeller": _corner("bent", None, bent_by=(4.0, 8.0)),
    "oscillation": _gain,
    "reversals": _reversals,
    "crossed": _crossed,
    "launch point off": _launch,
    "return off": _returns,
    "strong wind": _windy,
}


def draw(seed: int, named: tuple[str, ...] | None = None) -> Design:
    """Draw one flight; `named` sets its faults, else 3 in 10 are healthy and 2 in 10 have two faults."""
    rng = np.random.default_rng([seed, 7])
    craft, plan = draw_craft(rng), draw_plan(rng)
    count = int(rng.choice([0, 1, 2], p=[0.3, 0.5, 0.2]))
    picked = tuple(str(each) for each in rng.choice(list(MENU), count, replace=False))
    named = picked if named is None else named
    faults = Faults()
    for name in named:
        changed, of_craft, of_plan = MENU[name](rng, craft, plan)
        faults = faults._replace(**changed)
        craft, plan = craft._replace(**of_craft), plan._replace(**of_plan)
    return Design(seed, craft, plan, faults, named)
