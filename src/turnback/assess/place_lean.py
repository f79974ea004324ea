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

    Drag that grows evenly with speed and drag that grows with its square are both let in.
    """
    if track.speed_mps is None or track.course_rad is None:
        return None
    pulls = pull_mps2(flown.record, track.t_s[rows])
    if pulls is None:
        return None
    speed, course = track.speed_mps[rows], track.course_rad[rows]
    told = np.r_[speed * np.cos(course), speed * np.sin(course)]
    n = rows.size
    size = np.maximum(np.hypot(*pulls), 1e-3)
    if float(np.quantile(size, 0.8)) < _LEAST_PULL:
        return None
    table = np.zeros((2 * n, 4))
    table[:n, 0] = table[n:, 1] = 1.0
    table[:, 2] = np.r_[pulls[0], pulls[1]]
    table[:, 3] = np.r_[pulls[0] / np.sqrt(size), pulls[1] / np.sqrt(size)]
    ridge = np.diag([1e-6, 1e-6, 1e-3, 1e-3]) * n
    inverse = np.linalg.inv(table.T @ table + ridge)
    found = inverse @ table.T @ told
    through = table[:, 2:] @ found[2:]
    air = float(np.median(np.hypot(through[:n], through[n:])))
    noise = float(np.sqrt(np.mean((told - table @ found) ** 2)))
    along = float(np.mean(through * table[:, 2]))
    if along <= 0.0 or noise > max(_FITS * float(np.sqrt(np.mean(through**2))), 0.5):
        return None
    # what a level that is off does to the wind: one more metre a second squared makes so much speed
    per_pull = float(np.sqrt(np.mean(through**2)) / np.sqrt(np.mean(table[:, 2] ** 2)))
    level = (per_pull * GRAVITY_MPS2 * WIND_LEAN.value / 1.645) ** 2
    spread = inverse[:2, :2] * max(noise, 0.2) ** 2 * together + np.eye(2) * level
    return np.asarray(found[:2], np.float64), air, np.asarray(spread, np.float64)


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
