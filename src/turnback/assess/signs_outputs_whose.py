"""Whose the pull is toward a corner that works harder: the weight's, or that corner's own.

A weight off the middle pulls with all thrust together. A corner that lifts too little pulls with what is asked of that
corner alone. In a steady hover both look the same; as it rolls, pitches and turns they part.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.output_columns import Columns
from turnback.assess.output_events_balance import HALVES as PARTS
from turnback.assess.signs_motion_fit import binned
from turnback.assess.signs_outputs_flight import STEADY, Seen

Floats = NDArray[np.float64]
AXES: Final = (("roll", "left-right"), ("pitch", "front-rear"))
SPEED_BIN_S: Final = 0.08
OUTPUT_BIN_S: Final = 0.04
LEAST_HZ: Final = 50.0
LAGS_S: Final = (0.0, 0.02, 0.04, 0.06)
POWER: Final = 1.5
"""Of an output; thrust goes between straight and square with it. With a rotor's speed it goes square."""
LEAST_BINS: Final = 60
LEAST_PART: Final = 8
PASSES: Final = 4
FAR: Final = 4.0
"""Medians: a gust, a blow and a touch are no work of the rotors, and a few of them would outweigh all the rest."""


def whose_pull(seen: Seen, outputs: Columns, place: int) -> float | None:
    """Return how much more the weight leaves unexplained of how it turns than one corner's own lift does.

    Parameters
    ----------
    seen : Seen
    outputs : Columns
        With their corners.
    place : int
        Of the corner that works harder.

    Returns
    -------
    float or None
        Above 1 the corner's own lift explains more, below 1 a weight does. None where nothing tells.

    Notes
    -----
    Angular accelerations about roll and pitch are fitted by their own part of the thrusts, with the thrust of all
    rotors beside it, or of that one rotor. Thrusts are squares of rotor speeds, or come from the outputs by a power and
    behind a lag; the lag that explains most counts.
    """
    if not {"roll", "pitch"} <= set(seen.axes) or not outputs.corners_known():
        return None
    if min(seen.axes[name].fresh_hz for name, _ in AXES) < LEAST_HZ:
        return None
    spans = seen.steady(*STEADY)
    speeds = seen.speeds
    if speeds is not None and speeds.corners_known():
        parts = _parts(seen, speeds, spans, SPEED_BIN_S)
        ways = [] if parts is None else [[np.square(each) for each, _ in parts]]
        bin_s = SPEED_BIN_S
    else:
        parts = _parts(seen, outputs, spans, OUTPUT_BIN_S)
        asked = [] if parts is None else [np.clip(each, 0.0, None) ** POWER for each, _ in parts]
        ways = [[_followed(each, lag_s) for each in asked] for lag_s in LAGS_S] if asked else []
        bin_s = OUTPUT_BIN_S
    if parts is None:
        return None
    accel = np.concatenate([np.diff(turn, axis=1) / bin_s for _, turn in parts], axis=1)
    found = [_left(np.concatenate([0.5 * (f[:, 1:] + f[:, :-1]) for f in thrust], axis=1), accel, place)
             for thrust in ways]  # fmt: skip
    whole, own = min(found, key=min)
    return whole / max(own, 1e-6)


def _parts(
    seen: Seen, columns: Columns, spans: list[tuple[float, float]], bin_s: float
) -> list[tuple[Floats, Floats]] | None:
    """Return means of columns, shape (4, n), and of both rates, shape (2, n), per span; None where they are too few."""
    found = []
    for start_s, end_s in spans:
        edges_s = np.arange(start_s, end_s + 1e-9, bin_s)
        if edges_s.size <= LEAST_PART:
            continue
        some = np.stack([binned(columns.t_s, values, edges_s) for values in columns.values])
        turn = np.stack([binned(seen.axes[n].t_s, seen.axes[n].rate.values, edges_s) for n, _ in AXES])
        if np.isfinite(some).all() and np.isfinite(turn).all():
            found.append((some, turn))
    return found if sum(some.shape[1] - 1 for some, _ in found) >= LEAST_BINS else None


def _followed(asked: Floats, lag_s: float) -> Floats:
    """Return thrusts as motors of first order follow them."""
    keep = lag_s / (OUTPUT_BIN_S + lag_s)
    found = asked.copy()
    for k in range(1, asked.shape[1]):
        found[:, k] = asked[:, k] + (found[:, k - 1] - asked[:, k]) * keep
    return found


def _left(thrust: Floats, accel: Floats, place: int) -> tuple[float, float]:
    """Return the share that is left unexplained beside the thrust of all rotors, and beside that of one."""
    thrust = thrust / max(float(thrust.mean()), 1e-9)
    whole, own = thrust.sum(axis=0), thrust[place]
    keep = np.ones(accel.shape[1], np.bool_)
    for _ in range(PASSES):
        off = np.hypot(*(_rest(np.stack([PARTS[part] @ thrust, whole, own], axis=1), accel[k], keep)
                         for k, (_, part) in enumerate(AXES)))  # fmt: skip
        keep = off < FAR * max(float(np.median(off)), 1e-9)
    power = max(float(np.square(accel[:, keep]).sum()), 1e-9)
    left = [sum(float(np.square(_rest(np.stack([PARTS[part] @ thrust, beside], axis=1), accel[k], keep)[keep]).sum())
                for k, (_, part) in enumerate(AXES)) / power
            for beside in (whole, own)]  # fmt: skip
    return left[0], left[1]


def _rest(design: Floats, seen: Floats, keep: NDArray[np.bool_]) -> Floats:
    """Return what a straight fit over some rows leaves of all rows."""
    fit, *_ = np.linalg.lstsq(design[keep], seen[keep], rcond=1e-6)
    return np.asarray(seen - design @ fit)
