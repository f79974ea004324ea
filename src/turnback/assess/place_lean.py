"""How an aircraft leans: the pull of its thrust against the air that it moves through.

In steady flight the part of thrust across the upright balances drag, and drag grows with speed through the air, so that
velocity over ground is a multiple of that pull plus the wind. A hover that leans, leans into the wind.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from turnback.assess.place_track import Floats, Track
from turnback.assess.signals import held_at, rows_between
from turnback.base.constants import GRAVITY_MPS2
from turnback.records.channel import Quantity
from turnback.records.flight_record import FlightRecord
from turnback.records.happened import Flown, PhaseKind
from turnback.rules.record_place import WIND_LEAN

_STEPS = 400
_LEAST_S = 3.0
_LEAST_PULL = 0.5  # m/s²: three degrees
_AS_GOOD = 1.3  # residuals this near to each other do not choose
_FITS = 0.35  # residual over the pull's part of speed: beyond it, drag is not what balances


def pull_mps2(record: FlightRecord, at_s: Floats) -> tuple[Floats, Floats] | None:
    """Return north and east of what thrust pulls along the ground, g tan(lean), at times; None without angles."""
    angles = [record.get(each) for each in (Quantity.ROLL, Quantity.PITCH, Quantity.HEADING)]
    if any(each is None or not each.t_s.size for each in angles):
        return None
    if not (record.sense_known(Quantity.ROLL) and record.sense_known(Quantity.PITCH)):
        return None
    roll, pitch, heading = (held_at(each.t_s, each.values, at_s).astype(float) for each in angles if each is not None)
    # nose down pulls forward, right side down pulls to the right (ISO 1151: yaw, pitch, roll)
    upright = np.maximum(np.cos(roll) * np.cos(pitch), 0.1)
    ahead, right = -np.sin(pitch) * np.cos(roll) / upright, np.sin(roll) / upright
    north = GRAVITY_MPS2 * (ahead * np.cos(heading) - right * np.sin(heading))
    east = GRAVITY_MPS2 * (ahead * np.sin(heading) + right * np.cos(heading))
    return north, east


def fit_by_lean(
    flown: Flown, track: Track, rows: NDArray[np.intp], together: float
) -> tuple[Floats, float, Floats] | None:
    """Fit wind on velocity over ground against the pull; as `place_wind.fit_wind`. None where lean does not tell.

    Drag that grows evenly with speed and drag that grows with its square are both tried; where neither fits clearly
    better, the wind lies between the two and the band holds both.
    """
    if track.speed_mps is None or track.course_rad is None:
        return None
    pulls = pull_mps2(flown.record, track.t_s[rows])
    if pulls is None:
        return None
    speed, course = track.speed_mps[rows], track.course_rad[rows]
    told = np.r_[speed * np.cos(course), speed * np.sin(course)]
    size = np.maximum(np.hypot(*pulls), 1e-3)
    if float(np.quantile(size, 0.8)) < _LEAST_PULL:
        return None
    even = _against(told, np.r_[pulls[0], pulls[1]], together)
    squared = _against(told, np.r_[pulls[0] / np.sqrt(size), pulls[1] / np.sqrt(size)], together)
    fits = [each for each in (even, squared) if each is not None]
    if not fits:
        return None
    best = min(each[3] for each in fits)
    likely = [each for each in fits if each[3] < _AS_GOOD * best + 0.05]
    wind = np.asarray(np.mean([each[0] for each in likely], axis=0), np.float64)
    apart = float(np.hypot(*(likely[0][0] - likely[-1][0]))) / 2.0
    spread = likely[0][2] + np.eye(2) * (apart / 1.645) ** 2
    return wind, float(np.mean([each[1] for each in likely])), np.asarray(spread, np.float64)


def _against(told: Floats, pull: Floats, together: float) -> tuple[Floats, float, Floats, float] | None:
    """Fit wind and one drag: wind, speed through the air, covariance, residual. None where drag does not fit."""
    n = told.size // 2
    table = np.zeros((2 * n, 3))
    table[:n, 0] = table[n:, 1] = 1.0
    table[:, 2] = pull
    inverse = np.linalg.inv(table.T @ table + np.diag([1e-9, 1e-9, 1e-9]))
    found = inverse @ table.T @ told
    through = pull * found[2]
    noise = float(np.sqrt(np.mean((told - table @ found) ** 2)))
    usual = float(np.sqrt(np.mean(through**2)))
    if found[2] <= 0.0 or noise > max(_FITS * usual, 0.5):
        return None
    # a level that is off by some angle feigns so much speed (for drag by the square: at a pull of 1 m/s²)
    slip = found[2] * GRAVITY_MPS2 * WIND_LEAN.value
    spread = inverse[:2, :2] * max(noise, 0.2) ** 2 * together + np.eye(2) * (slip / 1.645) ** 2
    air = float(np.median(np.hypot(through[:n], through[n:])))
    return np.asarray(found[:2], np.float64), air, np.asarray(spread, np.float64), noise


def lean_in_hover(flown: Flown) -> dict[str, float]:
    """Return ``lean_rad`` and ``lean_from_rad`` (the side it leans to, where wind comes from) over hovers.

    A hover turned about the upright axis keeps its lean into the wind while roll and pitch change places.
    """
    first = flown.record.get(Quantity.ROLL)
    hovers = [each for each in flown.phases if each.kind is PhaseKind.HOVER and each.end_s - each.start_s > _LEAST_S]
    north, east = [], []
    for phase in hovers:
        if first is None or not first.t_s[rows_between(first.t_s, phase.start_s, phase.end_s)].size:
            continue
        at_s = np.linspace(phase.start_s, phase.end_s, _STEPS, endpoint=False)
        pulls = pull_mps2(flown.record, at_s)
        if pulls is not None:
            north.append(pulls[0])
            east.append(pulls[1])
    if not north:
        return {}
    n, e = float(np.mean(np.concatenate(north))), float(np.mean(np.concatenate(east)))
    return {
        "lean_rad": float(np.arctan2(np.hypot(n, e), GRAVITY_MPS2)),
        "lean_from_rad": float(np.remainder(np.arctan2(e, n), 2.0 * np.pi)),
    }
