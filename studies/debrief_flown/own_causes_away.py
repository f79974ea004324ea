"""What goes wrong with the link, on the way home, and with wind, air and field of the place."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Final

import numpy as np
from studies.debrief_flown.own_flights import Draft, hover_watts, lay_way, over_hills
from studies.debrief_flown.own_radio import bent
from studies.debrief_flown.own_world import spans
from studies.record_flown.kernel import RHO
from studies.record_flown.rigid import G

Cause = Callable[[Draft], None]


def _home(d: Draft) -> float:
    """Let the pilot switch the automatic return on when far out; return when."""
    at = d.times["back"] - d.rng.uniform(0.0, 2.0)
    d.set(return_at=at)
    d.true["at_s"] = at
    d.plan = d.plan._replace(end=max(d.plan.end, at + d.leg / 4.0 + 70.0))
    return at


def _taken_over(d: Draft, at: float) -> None:
    """Let the pilot take over after a while, and fly home."""
    d.set(return_until=at + d.rng.uniform(14.0, 28.0))
    d.plan = d.plan._replace(end=d.plan.end + 40.0)


def _where(d: Draft, t: float) -> float:
    """Return how far out the plan is at a time, m."""
    way = d.world.way
    return max(20.0, float(np.hypot(np.interp(t, way[:, 0], way[:, 1]), np.interp(t, way[:, 0], way[:, 2]))))


def null(d: Draft) -> None:
    """The aerial lies in the frame, and its blind end looks at the pilot in some headings."""
    turn = d.rng.uniform(-0.15, 0.15) + float(d.rng.choice([0.0, 0.0, math.pi / 2.0]))
    up = d.rng.uniform(-0.3, 0.3)
    axis = np.array([math.cos(turn) * math.cos(up), math.sin(turn) * math.cos(up), math.sin(up)])
    d.set(axis=axis, null=d.rng.uniform(0.03, 0.07))
    d.leg = d.rng.uniform(220.0, 400.0)
    lay_way(d, d.plan.speed, sideways=d.rng.uniform(100.0, 200.0))
    _margin(d, d.leg, d.rng.uniform(12.0, 19.0))


def _margin(d: Draft, away: float, margin_db: float) -> None:
    """Choose the level at 100 m so that the open margin at a distance is so many dB; the plan knows it."""
    level0 = d.craft.sensitivity + margin_db + 20.0 * math.log10(max(away, 3.0) / 100.0)
    d.cells(level0=level0)
    d.base = d.base._replace(level0=level0)
    d.set(sensitivity_back=d.craft.sensitivity - 1.0)


def terrain(d: Draft) -> None:
    """Down behind a ridge of real ground."""
    for _ in range(300):
        over_hills(d, 8)
        d.leg = d.rng.uniform(260.0, 560.0)
        d.plan = d.plan._replace(course=d.rng.uniform(-math.pi, math.pi))
        above = d.rng.uniform(12.0, 25.0)
        share = np.linspace(0.3, 1.0, 15)
        north, east = share * d.leg * math.cos(d.plan.course), share * d.leg * math.sin(d.plan.course)
        assert d.place is not None
        up = np.maximum(3.0, d.place.at(north, east) + above)
        loss = [bent(d.world, float(n), float(e), float(h))[0] for n, e, h in zip(north, east, up, strict=True)]
        if 17.0 < max(loss) < 34.0 and np.ptp(up) < 70.0:
            break
    d.set(acts=d.world.acts[:0])
    lay_way(d, d.rng.uniform(11.0, 14.0), above=above)
    _margin(d, d.leg, max(loss) - d.rng.uniform(5.0, 10.0))
    d.set(return_high=float(max(up.max(), 20.0) + 25.0), return_speed=10.0)
    d.cells(action=2.0)
    d.plan = d.plan._replace(end=d.plan.end + 60.0)


def woods(d: Draft) -> None:
    """Behind trees or walls that stand near the pilot or on the way."""
    d.height = d.rng.uniform(8.0, 14.0)
    d.leg = d.rng.uniform(180.0, 320.0)
    course = d.plan.course
    if d.rng.random() < 0.5:
        d.height = d.rng.uniform(16.0, 24.0)
        for _ in range(40):  # real ground that is clear of the ray: the trees are what stands in it
            over_hills(d, 8)
            assert d.place is not None
            worst = 0.0
            for turn in (0.0, 0.3, 0.6):
                north, east = d.leg * math.cos(course + turn), d.leg * math.sin(course + turn)
                up = float(d.place.at(np.array([north]), np.array([east]))[0]) + d.height
                worst = max(worst, bent(d.world, north, east, up)[0])
            if worst < 2.0:
                break
        else:
            d.place = None
            d.set(ground=np.zeros((2, 2)), ground_step=1.0e6, ground_n=-5.0e5, ground_e=-5.0e5, rough_ground=0.0)
    hidden = d.rng.uniform(0.05, 0.12)
    if d.rng.random() < 0.5:  # across the far end, in and out of it
        lay_way(d, d.plan.speed, sideways=d.rng.uniform(110.0, 180.0), above=d.height if d.place else None)
        wood = (course + 0.5 * math.atan2(140.0, d.leg), hidden, d.rng.uniform(25.0, 90.0))
    else:  # on the way out and back
        lay_way(d, d.plan.speed, above=d.height if d.place else None)
        wood = (course, 0.4, d.leg * d.rng.uniform(0.45, 0.7))
    db = d.rng.uniform(16.0, 26.0)
    d.set(trees=spans((*wood, 0.6, db), width=5))
    _margin(d, d.leg, db + d.rng.uniform(-9.0, 4.0))


def body(d: Draft) -> None:
    """Somebody stands or turns between radio and aircraft, for moments."""
    rows, t = [], d.times["out"] + d.rng.uniform(1.0, 6.0)
    deep = d.rng.uniform(14.0, 24.0)
    for _ in range(int(d.rng.integers(2, 5))):
        lasts = d.rng.uniform(0.8, 2.5)
        rows.append((t, t + lasts, deep * d.rng.uniform(0.85, 1.1)))
        t += lasts + d.rng.uniform(2.0, 7.0)
    d.true["at_s"] = rows[0][0]
    d.set(body=spans(*rows, width=3))
    _margin(d, 0.8 * d.leg, deep + d.rng.uniform(-10.0, -1.0))


def jammed(d: Draft) -> None:
    """Another transmitter on the channel, for a while: the noise is up at both ends."""
    at = d.aloft(9.0)
    d.true["at_s"] = at
    rows, t = [], at
    _margin(d, d.leg, d.rng.uniform(20.0, 30.0))
    for _ in range(int(d.rng.integers(1, 4))):
        lasts = d.rng.uniform(1.2, 4.0)
        margin = d.craft.level0 - 20.0 * math.log10(_where(d, t) / 100.0) - d.craft.sensitivity
        rows.append((t, t + lasts, margin + d.rng.uniform(0.0, 8.0)))
        t += lasts + d.rng.uniform(1.0, 4.0)
    d.set(jam=spans(*rows, width=3))


def aboard(d: Draft) -> None:
    """Motors, camera or transmitter of the aircraft itself raise the noise at its receiver."""
    amps = hover_watts(d.craft) / (3.7 * d.craft.cells)
    away = 40.0 + 0.6 * d.leg
    _margin(d, away, d.rng.uniform(20.0, 28.0))
    margin = d.craft.level0 - 20.0 * math.log10(away / 100.0) - d.craft.sensitivity
    per_hover = d.rng.uniform(4.0, 9.0)
    d.set(aboard_db=margin - per_hover - d.rng.uniform(3.0, 8.0), aboard_db_per_a=per_hover / amps)


def weak_set(d: Draft) -> None:
    """The radio sends with less power than was meant; the aircraft answers with its own."""
    low = d.rng.uniform(9.0, 15.0)
    d.set(sent_db=spans((0.0, low)))
    d.true["low_db"] = low
    _margin(d, d.leg, d.rng.uniform(8.0, 25.0))


def overheats(d: Draft) -> None:
    """Hot, the radio turns its power down, in steps."""
    at = d.aloft(14.0)
    d.true["at_s"] = at
    first = d.rng.uniform(4.0, 7.0)
    d.set(sent_db=spans((at, first), (at + d.rng.uniform(3.0, 9.0), first + d.rng.uniform(4.0, 8.0))))
    _margin(d, d.leg, d.rng.uniform(10.0, 22.0))


def too_far(d: Draft) -> None:
    """In the open, further than the link carries."""
    d.leg = d.rng.uniform(380.0, 560.0)
    d.set(acts=d.world.acts[:0])
    lay_way(d, d.rng.uniform(13.0, 17.0))
    _margin(d, d.leg * d.rng.uniform(0.72, 0.88), 0.0)
    d.cells(action=2.0)
    d.plan = d.plan._replace(end=d.plan.end + 50.0)


def back_weak(d: Draft) -> None:
    """What the aircraft sends back is weak."""
    d.set(back_db=d.rng.uniform(14.0, 22.0))
    _margin(d, d.leg, d.rng.uniform(12.0, 20.0))


def not_linked(d: Draft) -> None:
    """Radio and receiver do not know each other."""
    d.set(linked=0.0)
    d.plan = d.plan._replace(end=d.plan.off_at + d.rng.uniform(8.0, 15.0))


def launch_wrong(d: Draft) -> None:
    """The stored launch point is another place."""
    way, far = d.rng.uniform(0.0, 2.0 * math.pi), d.rng.uniform(50.0, 220.0)
    d.launch = np.array([far * math.cos(way), far * math.sin(way)])
    at = _home(d)
    if d.rng.random() < 0.4:
        _taken_over(d, at)


def sensor_turned(d: Draft) -> None:
    """The direction sensor is fitted turned about the upright axis."""
    turn = math.radians(float(d.rng.choice([-90.0, 90.0, 180.0, 45.0, -45.0])))
    co, si = math.cos(turn), math.sin(turn)
    d.set(sensor=np.array([[co, si, 0.0], [-si, co, 0.0], [0.0, 0.0, 1.0]]))
    _taken_over(d, _home(d))


def leads_near(d: Draft) -> None:
    """The field of the power leads adds to the earth's, as the current does."""
    amps = hover_watts(d.craft) / (3.7 * d.craft.cells)
    way = d.rng.uniform(0.0, 2.0 * math.pi)
    size = d.rng.uniform(18.0, 35.0) / amps
    d.set(lead=np.array([size * math.cos(way), size * math.sin(way), d.rng.uniform(-0.5, 0.5) * size]))
    _taken_over(d, _home(d))


def steel_near(d: Draft) -> None:
    """Steel in or under the ground of the place bends the field, less with height."""
    way, size = d.rng.uniform(0.0, 2.0 * math.pi), d.rng.uniform(25.0, 50.0)
    d.set(local=np.array([size * math.cos(way), size * math.sin(way), d.rng.uniform(-20.0, 20.0)]),
          local_m=d.rng.uniform(2.0, 7.0))  # fmt: skip
    if d.rng.random() < 0.5:
        _home(d)


def return_low(d: Draft) -> None:
    """Home by itself on a straight line, lower than a ridge of real ground on that line."""
    for _ in range(400):
        over_hills(d, 8)
        d.leg = d.rng.uniform(260.0, 560.0)
        d.plan = d.plan._replace(course=d.rng.uniform(-math.pi, math.pi))
        share = np.linspace(0.05, 1.0, 40)
        assert d.place is not None
        up = d.place.at(share * d.leg * math.cos(d.plan.course), share * d.leg * math.sin(d.plan.course))
        ridge = float(up[:34].max())
        if ridge > 35.0 and ridge - up[-1] > 12.0 and ridge < 110.0:
            break
    d.set(acts=d.world.acts[:0], climb=6.0)
    lay_way(d, d.rng.uniform(9.0, 13.0), above=d.rng.uniform(14.0, 22.0))
    d.set(return_high=max(ridge - d.rng.uniform(8.0, 18.0), 15.0), climb=4.0)
    d.true["ridge_m"] = ridge
    # it goes down behind the ridge before it is sent home, to the height that is set
    way = d.world.way.copy()
    low = max(d.world.return_high, float(up[-1]) + 8.0)
    far = np.flatnonzero(np.abs(way[:, 0] - d.times["back"]) < 1e-9)[0]
    way[far, 3] = low
    down_s = max(0.0, (way[far - 1, 3] - low) / 2.0)
    way[far:, 0] += down_s
    for name in ("back", "home", "down"):
        d.times[name] += down_s
    d.set(way=way)
    d.plan = d.plan._replace(end=d.plan.end + down_s, down_at=d.times["down"])
    _home(d)


def slower(d: Draft) -> None:
    """The wind against the way home is as fast as the return may fly."""
    wind = d.rng.uniform(8.0, 11.5)
    d.plan = d.plan._replace(wind=wind, wind_from=d.plan.course + math.pi + d.rng.uniform(-0.3, 0.3), gust=0.12 * wind,
                             speed=max(d.plan.speed, wind + 2.0))  # fmt: skip
    d.leg = d.rng.uniform(90.0, 160.0)
    lay_way(d, 9.0)
    d.plan = d.plan._replace(speed=wind + 3.0)
    craft, still = d.craft, wind * d.rng.uniform(0.8, 0.97)
    spin = math.sqrt(craft.mass * G / 4.0 / craft.thrust_max)
    pull = 0.5 * RHO * craft.cda * still**2 / craft.mass + craft.lift_drag * spin * still
    d.set(return_tilt=math.atan(pull / G), return_speed=12.0)
    at = _home(d)
    d.plan = d.plan._replace(end=at + d.rng.uniform(25.0, 40.0))


def stays_up(d: Draft) -> None:
    """Arrives by itself, and hangs there."""
    d.leg = min(d.leg, 200.0)
    lay_way(d, d.plan.speed)
    d.set(return_lands=0.0)
    _home(d)
    d.plan = d.plan._replace(end=d.times["back"] + d.leg / d.world.return_speed + d.rng.uniform(30.0, 45.0))


def place_jumps(d: Draft) -> None:
    """The position receiver is shadowed or disturbed: few satellites, a place that jumps and wanders."""
    n = int((d.plan.end + 60.0) * 4.0) + 3
    err, now = np.zeros((n, 2)), np.zeros(2)
    begin = 0 if d.rng.random() < 0.4 else int(d.aloft(14.0) * 4.0)
    d.true["at_s"] = begin / 4.0
    for k in range(begin, n):
        now = 0.97 * now + d.rng.normal(0.0, 1.2, 2)
        if d.rng.random() < 0.06:
            now = now + d.rng.normal(0.0, 14.0, 2)
        err[k] = now
    d.set(place_err=err)
    d.seen["few_from"] = begin / 4.0
    if d.rng.random() < 0.4:
        d.set(return_at=d.times["back"])
        _taken_over(d, d.times["back"])


def strong_wind(d: Draft) -> None:
    """More wind than it can fly against for long."""
    wind = d.rng.uniform(9.5, 13.5)
    toward = d.plan.course + float(d.rng.choice([0.0, math.pi])) + d.rng.uniform(-0.4, 0.4)
    d.plan = d.plan._replace(wind=wind, wind_from=toward, gust=0.16 * wind)
    d.leg = d.rng.uniform(90.0, 180.0)
    lay_way(d, max(d.plan.speed, 10.0))
    d.plan = d.plan._replace(speed=wind + 2.0)


def thin_air(d: Draft) -> None:
    """High and hot, at some 4000 m: two thirds of the air; with more of it nobody asks why it feels weak."""
    d.set(air=d.rng.uniform(0.58, 0.67))
    d.air_c = d.rng.uniform(24.0, 34.0)


AWAY: Final[dict[str, Cause]] = {
    "antenna-null": null,
    "blocked-by-terrain": terrain,
    "blocked-by-trees-or-buildings": woods,
    "blocked-by-body": body,
    "interference": jammed,
    "noise-aboard": aboard,
    "power-level-low": weak_set,
    "transmitter-overheats": overheats,
    "beyond-range": too_far,
    "way-back-weak": back_weak,
    "control-not-linked": not_linked,
    "launch-point-wrong": launch_wrong,
    "direction-sensor-fitted-wrong": sensor_turned,
    "direction-sensor-disturbed-by-leads": leads_near,
    "magnetic-disturbance": steel_near,
    "return-height-too-low": return_low,
    "return-slower-than-wind": slower,
    "return-does-not-land": stays_up,
    "position-receiver-disturbed": place_jumps,
    "wind-too-strong": strong_wind,
    "air-too-thin": thin_air,
}
