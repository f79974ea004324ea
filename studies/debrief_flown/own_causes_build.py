"""What goes wrong with the aircraft itself, by what it does to forces, currents and sensors."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Final

import numpy as np
from studies.debrief_flown.own_flights import Draft, lay_way, punches
from studies.debrief_flown.own_kernel import CUT, PUNCH
from studies.debrief_flown.own_world import NEVER, spans

Cause = Callable[[Draft], None]


def _one(value: float, corner: int, usual: float = 1.0) -> np.ndarray:
    found = np.full(4, usual)
    found[corner] = value
    return found


def wrong_propeller(d: Draft) -> None:
    """Blades of the other hand work backward and push down about half as hard."""
    c = d.corner()
    d.true["corner"] = c
    d.set(lift=_one(-d.rng.uniform(0.4, 0.6), c), drag=_one(0.9, c))


def wrong_motor(d: Draft) -> None:
    """The motor turns backward with the propeller that belongs there: it pushes down, its torque turned round too."""
    c = d.corner()
    d.true["corner"] = c
    d.set(lift=_one(-d.rng.uniform(0.4, 0.6), c), drag=_one(0.9, c), spin=_one(-1.0, c))


def wrong_everywhere(d: Draft) -> None:
    """All four push down: it stays, and the pilot asks for more and more."""
    d.set(lift=np.full(4, -d.rng.uniform(0.4, 0.6)), drag=np.full(4, 0.9))
    way = d.world.way.copy()
    d.plan = d.plan._replace(end=d.plan.off_at + d.rng.uniform(7.0, 12.0))
    d.set(way=way)


def turned_round(d: Draft) -> None:
    """All motors and propellers turn against the scheme that is declared: all yaw torques are turned round."""
    d.set(spin=np.full(4, -1.0), gives_up_m=d.rng.uniform(6.0, 15.0))


def upside_down(d: Draft) -> None:
    """Turned over, a blade's curve works against it: half the lift, more torque, and a rough wake."""
    c = d.corner()
    d.true["corner"] = c
    d.set(lift=_one(d.rng.uniform(0.5, 0.62), c), drag=_one(d.rng.uniform(0.95, 1.15), c),
          rough=_one(d.rng.uniform(5.0, 12.0), c, 0.0))  # fmt: skip


def order_crossed(d: Draft) -> None:
    """Some corners get another corner's output."""
    swaps = ((3, 1, 2, 0), (0, 2, 1, 3), (3, 2, 1, 0), (1, 0, 2, 3), (0, 1, 3, 2), (2, 1, 0, 3), (0, 3, 2, 1))
    d.set(order=np.array(swaps[int(d.rng.integers(0, len(swaps)))], np.float64))


def board_turned(d: Draft) -> None:
    """The board sits turned about the upright axis."""
    turn = math.radians(float(d.rng.choice([90.0, 180.0, 270.0])))
    co, si = math.cos(turn), math.sin(turn)
    d.set(board=np.array([[co, si, 0.0], [-si, co, 0.0], [0.0, 0.0, 1.0]]))


def board_over(d: Draft) -> None:
    """The board lies on its back, turned about its length."""
    d.set(board=np.diag([1.0, -1.0, -1.0]))


def loose(d: Draft) -> None:
    """The propeller slips on its shaft, for moments first, then it stays behind."""
    c, at = d.corner(), d.aloft()
    d.true.update(corner=c, at_s=at)
    first = at + d.rng.uniform(0.4, 1.2)
    rows = [(float(c), at, at + d.rng.uniform(0.02, 0.05))] if d.rng.random() < 0.6 else []
    last = first if rows else at
    d.set(slip=spans(*rows, (float(c), last, last + 0.25 if d.rng.random() < 0.3 else NEVER), width=3))


def damaged(d: Draft) -> None:
    """A piece of a blade is missing: unbalance, and a little less lift. Struck in flight, or before."""
    c = d.corner()
    d.true["corner"] = c
    d.set(once=_one(d.rng.uniform(4.0, 9.0), c), lift=_one(d.rng.uniform(0.88, 0.97), c),
          corner_at=d.aloft(12.0) if d.rng.random() < 0.4 else 0.0)  # fmt: skip


def shaft_bent(d: Draft) -> None:
    """The bell runs out of true: unbalance, some friction, the lift as ever."""
    c = d.corner()
    d.true["corner"] = c
    d.set(once=_one(d.rng.uniform(4.0, 9.0), c), brake=_one(d.rng.uniform(0.0, 0.03), c, 0.0))


def bearing(d: Draft) -> None:
    """Friction takes speed and current at one corner; balls that jump shake without a line of their own."""
    c = d.corner()
    d.true["corner"] = c
    d.set(brake=_one(d.rng.uniform(0.09, 0.17), c, 0.0), rough=_one(d.rng.uniform(8.0, 20.0), c, 0.0))


def out_of_step(d: Draft) -> None:
    """In a burst of throttle one motor loses its beat, and finds it again after some tenths of a second."""
    c, at = d.corner(), punches(d, 1)[0]
    start = at + d.rng.uniform(0.08, 0.25)
    d.true.update(corner=c, at_s=start)
    end = start + d.rng.uniform(0.12, 0.5)
    rows = [(float(c), start, end)]
    if d.rng.random() < 0.4:
        rows.append((float(c), end + 0.2, end + 0.2 + d.rng.uniform(0.15, 0.4)))
    d.set(off=spans(*rows, width=3))


def joint_poor(d: Draft) -> None:
    """A joint opens when it is warm and much is drawn: moments without drive, then longer."""
    c, at = d.corner(), (punches(d, 1)[0] + 0.2 if d.rng.random() < 0.7 else d.aloft())
    d.true.update(corner=c, at_s=at)
    rows, t = [], at
    for _ in range(int(d.rng.integers(2, 5))):
        lasts = d.rng.uniform(0.03, 0.3)
        rows.append((float(c), t, t + lasts))
        t += lasts + d.rng.uniform(0.05, 0.5)
    d.set(off=spans(*rows, width=3))


def wire_torn(d: Draft) -> None:
    """One of three wires is gone: the rotor stops for good."""
    c, at = d.corner(), d.aloft()
    d.true.update(corner=c, at_s=at)
    d.set(off=spans((float(c), at, NEVER), width=3))


def overloaded(d: Draft) -> None:
    """Flown hard for a while, a speed control gives up under load, for good."""
    c, at = d.corner(), d.aloft(7.0)
    for k in range(4):
        start = max(d.times["out"] - 1.0, at - 5.07 + 1.5 * k)  # the last is on as it gives up
        d.act(start, min(start + 0.7, at + 0.4), PUNCH)
    d.true.update(corner=c, at_s=at)
    d.set(off=spans((float(c), at, NEVER), width=3))


def supply(d: Draft) -> None:
    """Without its capacitor the supply carries ripple that grows with the current; a burst may restart the board."""
    full = 4.0 * d.craft.thrust_max**1.5 / math.sqrt(2.45 * d.craft.disc) / d.craft.merit / (3.7 * d.craft.cells)
    d.set(ripple_v=d.rng.uniform(0.5, 1.2) / full, ripple_gyro=d.rng.uniform(0.35, 0.9) / full)
    if d.rng.random() < 0.45:
        at = punches(d, 1)[0] + 0.25
        d.true["at_s"] = at
        d.set(restart=spans((at, at + d.rng.uniform(0.6, 1.5))))


def balance(d: Draft) -> None:
    """The middle of mass sits off the middle, from the start."""
    way, far = d.rng.uniform(0.0, 2.0 * math.pi), d.craft.arm * d.rng.uniform(0.16, 0.3)
    d.shift = np.array([0.0, far * math.cos(way), far * math.sin(way)])


def pack_shifts(d: Draft) -> None:
    """The pack slides under its strap, in a burst or a turn."""
    at = d.aloft(8.0)
    way, far = d.rng.uniform(0.0, 2.0 * math.pi), d.craft.arm * d.rng.uniform(0.16, 0.32)
    d.true["at_s"] = at
    d.shift = np.array([at, far * math.cos(way), far * math.sin(way)])


def plug_opens(d: Draft) -> None:
    """The plug works loose: flickers, then it is open, and all is dead."""
    at = punches(d, 1)[0] + d.rng.uniform(0.05, 0.4) if d.rng.random() < 0.6 else d.aloft()
    d.true["at_s"] = at
    rows, t = [], at
    for _ in range(int(d.rng.integers(0, 3))):
        rows.append((t, t + d.rng.uniform(0.004, 0.02)))
        t += d.rng.uniform(0.05, 0.4)
    d.set(plug=spans(*rows, (t, NEVER)))


def wire_pinched(d: Draft) -> None:
    """The wire from the receiver opens and closes: nothing new comes to the board, whatever the link."""
    at = d.aloft(9.0)
    d.true["at_s"] = at
    rows, t = [], at
    for _ in range(int(d.rng.integers(1, 4))):
        lasts = d.rng.uniform(0.25, 0.9)
        rows.append((t, t + lasts))
        t += lasts + d.rng.uniform(0.3, 1.5)
    d.set(wire=spans(*rows, (t, t + d.rng.uniform(1.2, 4.0))))


def touches(d: Draft) -> None:
    """Hard against the frame, the sensor gets all vibration that soft mounting keeps from it."""
    d.set(shake_all=d.rng.uniform(3.5, 6.0))
    d.cells(unbalance=max(d.craft.unbalance, 0.7))


def idle(d: Draft) -> None:
    """With the throttle closed a motor turns too slowly to feel its own beat; it stalls, and starts late."""
    d.height = d.rng.uniform(28.0, 45.0)
    lay_way(d, d.plan.speed)
    at = d.rng.uniform(d.times["out"], d.times["home"] - 4.0)
    d.true["at_s"] = at
    d.act(at, at + d.rng.uniform(0.5, 0.9), CUT)
    stall = np.array([float(d.corner()), 0.045, d.rng.uniform(0.25, 0.7), at])
    d.set(idle=d.rng.uniform(0.008, 0.02), stall=stall)


BUILD: Final[dict[str, Cause]] = {
    "propeller-direction-wrong-at-one-corner": wrong_propeller,
    "motor-direction-wrong-at-one-corner": wrong_motor,
    "propeller-direction-wrong-at-every-corner": wrong_everywhere,
    "rotation-scheme-not-as-declared": turned_round,
    "propeller-upside-down": upside_down,
    "motor-order-crossed": order_crossed,
    "board-turned": board_turned,
    "board-upside-down": board_over,
    "propeller-loose": loose,
    "propeller-damaged": damaged,
    "motor-shaft-bent": shaft_bent,
    "motor-bearing-worn": bearing,
    "motor-out-of-step": out_of_step,
    "motor-joint-poor": joint_poor,
    "motor-wire-torn": wire_torn,
    "speed-control-overloaded": overloaded,
    "supply-noisy": supply,
    "balance-off": balance,
    "pack-shifts-in-flight": pack_shifts,
    "plug-opens-in-flight": plug_opens,
    "receiver-wire-pinched": wire_pinched,
    "board-touches-frame": touches,
    "idle-too-low": idle,
}
