"""What goes wrong in the set-up and at the sticks."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Final

import numpy as np
from studies.debrief_flown.own_flights import Draft, lay_way
from studies.debrief_flown.own_kernel import CUT, LATE_AND_MUCH, LET_GO, REVERSED, ROLL_OVER
from studies.debrief_flown.own_world import NEVER, spans
from studies.record_flown.rigid import G

Cause = Callable[[Draft], None]


def _levels_itself(d: Draft, yes: bool) -> None:
    d.plan = d.plan._replace(rate_mode=0.0 if yes else 1.0)
    d.set(mode=1.0 if yes else 0.0)


def crossed(d: Draft) -> None:
    """Two channels come in each other's place."""
    pair = ((0, 1), (0, 2), (1, 2))[int(d.rng.integers(0, 3))]
    turn = np.eye(4)
    turn[list(pair)] = turn[list(pair[::-1])]
    d.set(stick_map=turn, gives_up_m=d.rng.uniform(10.0, 25.0))


def reversed_(d: Draft) -> None:
    """One channel counts the other way."""
    turn = np.eye(4)
    axis = int(d.rng.integers(0, 2))
    turn[axis, axis] = -1.0
    d.true["axis"] = axis
    d.set(stick_map=turn, gives_up_m=d.rng.uniform(12.0, 30.0))


def centre_off(d: Draft) -> None:
    """A stick at rest does not send its middle."""
    off = np.zeros(4)
    off[int(d.rng.integers(0, 3))] = float(d.rng.choice([-1.0, 1.0])) * d.rng.uniform(0.05, 0.14)
    d.set(stick_off=off)


def level_off(d: Draft) -> None:
    """The board takes a lean for level."""
    _levels_itself(d, True)
    way, far = d.rng.uniform(0.0, 2.0 * math.pi), math.radians(d.rng.uniform(3.5, 8.0))
    d.set(level=np.array([far * math.cos(way), far * math.sin(way)]))


def arm_switch(d: Draft) -> None:
    """A finger finds the switch in the air."""
    at = d.aloft(4.0)
    d.true["at_s"] = at
    d.set(arm_off=at)


def throttle_up(d: Draft) -> None:
    """It will not arm, because the throttle's low end is too high."""
    d.set(arms=0.0, throttle_least=d.rng.uniform(0.04, 0.12))
    d.plan = d.plan._replace(end=d.plan.off_at + d.rng.uniform(8.0, 15.0))


def link_gone(d: Draft, least_s: float, most_s: float) -> float:
    """Take the link away for a while, by something that stands in the way; return when."""
    at = float(d.rng.uniform(d.times["out"] + 2.0, max(d.times["home"] - 5.0, d.times["out"] + 3.0)))
    d.true.update(at_s=at, also=("blocked-by-body",))
    d.set(body=spans((at, at + d.rng.uniform(least_s, most_s), 75.0), width=3))
    return at


def keeps_sticks(d: Draft) -> None:
    """Without a link it goes on with the last sticks."""
    d.cells(action=1.0)
    d.plan = d.plan._replace(end=d.plan.end + 30.0)
    link_gone(d, 2.5, 6.0)


def stops_motors(d: Draft) -> None:
    """Without a link the motors stop."""
    d.cells(action=0.0)
    link_gone(d, 3.0, 20.0)


def gains_high(d: Draft) -> None:
    """The loop answers so strongly that its own delay makes it swing."""
    late_s, by, over = 0.0024, 2.0, math.radians(d.rng.uniform(14.0, 21.0))
    # K / s (lag s + 1) with a delay crosses one at about sqrt(K / lag): raised until no phase is left there, and more
    while math.atan(1.0 / math.sqrt(0.42 * by)) - math.sqrt(0.42 * by) * late_s / d.craft.lag > -over:
        by *= 1.03
    d.true["gain_by"] = by
    d.set(gives_up_m=25.0)  # what swings from stop to stop also climbs: the mixer lifts the middle
    d.cells(kp=d.craft.kp * by, kd=0.0)


def gains_low(d: Draft) -> None:
    """The loop answers weakly and late."""
    d.gain = d.rng.uniform(0.10, 0.2)
    d.plan = d.plan._replace(gust=d.plan.gust + 0.5)


def orientation_lost(d: Draft) -> None:
    """The pilot takes left for right, some way out, and holds on to it."""
    at = float(d.rng.uniform(d.times["far"] - 3.0, d.times["home"] - 3.0))
    d.true["at_s"] = at
    d.plan = d.plan._replace(clumsy=max(d.plan.clumsy, 0.025), gust=d.plan.gust + 0.4)
    d.set(gives_up_m=d.rng.uniform(35.0, 70.0))
    d.act(at, NEVER, REVERSED)


def throttle_closed(d: Draft) -> None:
    """Closed for longer than the height allows."""
    d.height = d.rng.uniform(18.0, 35.0)
    lay_way(d, d.plan.speed)
    at = d.rng.uniform(d.times["out"], d.times["home"] - 3.0)
    d.true["at_s"] = at
    # drag makes the fall a tenth longer: it is opened again some metres above the ground
    d.act(at, at + d.rng.uniform(0.99, 1.07) * math.sqrt(2.0 * d.height / G), CUT)


def own_wash(d: Draft) -> None:
    """Sinks straight down, fast, without moving on."""
    d.height = d.rng.uniform(30.0, 45.0)
    blown = math.sqrt(d.craft.mass * G / (2.45 * 4.0 * d.craft.disc))
    d.set(sink=max(0.75 * blown, 3.0))
    d.plan = d.plan._replace(wind=d.rng.uniform(0.0, 1.0), gust=0.1)
    lay_way(d, d.plan.speed)
    d.true["at_s"] = d.times["down"]


def gap(d: Draft) -> None:
    """A branch or a post, met at speed."""
    at = float(d.rng.uniform(d.times["out"] + 3.0, d.times["far"] - 1.0))
    d.true["at_s"] = at
    d.set(strike=np.array([at, d.rng.uniform(0.6, 1.1), float(d.rng.choice([-1, 1])) * d.rng.uniform(15.0, 35.0)]))


def reaction(d: Draft) -> None:
    """A small upset; the answer comes late and far too strong, and the next one too."""
    at = d.aloft(6.0)
    d.true["at_s"] = at
    size = d.rng.uniform(60.0, 140.0)
    way = d.rng.uniform(0.0, 2.0 * math.pi)
    d.set(upset=spans((at, at + 0.08, size * math.cos(way), size * math.sin(way)), width=4))
    d.act(at, NEVER, LATE_AND_MUCH)


def other_mode(d: Draft) -> None:
    """It is in rate mode; the pilot leans it into a turn, lets go of the stick, and waits for it to level itself."""
    d.plan = d.plan._replace(rate_mode=1.0)
    d.set(mode=0.0)
    at = float(d.rng.uniform(d.times["out"] + 0.8, d.times["far"]))
    d.true["at_s"] = at
    leans_s = d.rng.uniform(0.8, 1.3) / (0.9 * d.craft.rate_max) + 0.06  # to some 45 to 75 degrees
    d.act(at, at + leans_s, ROLL_OVER)
    d.act(at + leans_s, at + leans_s + d.rng.uniform(1.5, 4.0), LET_GO)
    d.seen["thinks_level_from_s"] = at + leans_s


PILOT: Final[dict[str, Cause]] = {
    "stick-channels-crossed": crossed,
    "stick-reversed": reversed_,
    "stick-centre-off": centre_off,
    "level-not-calibrated": level_off,
    "arm-switch-knocked": arm_switch,
    "throttle-not-down-at-arming": throttle_up,
    "radio-loss-keeps-last-sticks": keeps_sticks,
    "radio-loss-stops-motors-as-set": stops_motors,
    "gains-too-high": gains_high,
    "gains-too-low": gains_low,
    "lost-orientation": orientation_lost,
    "throttle-cut-too-long": throttle_closed,
    "caught-in-own-wash": own_wash,
    "misjudged-gap": gap,
    "wrong-reaction": reaction,
    "another-mode-than-thought": other_mode,
}
