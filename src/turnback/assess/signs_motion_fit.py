"""How the outputs explain the turning as it lifts: fits of angular acceleration by parts of the outputs."""

from __future__ import annotations

from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.output_columns import Columns
from turnback.assess.output_events_balance import HALVES as PARTS
from turnback.assess.signs_outputs_flight import Seen

Floats = NDArray[np.float64]
BIN_S: Final = 0.02
LEAST_BINS: Final = 12
LAGS_S: Final = (0.0, 0.025, 0.06)


def crosswise(seen: Seen, outputs: Columns, span: tuple[float, float]) -> tuple[float, float] | None:
    """Return of roll and pitch the share of acceleration explained crosswise or backwards, and that explained at all.

    Notes
    -----
    Angular acceleration is fitted by the roll, pitch and diagonal parts of the outputs behind a first-order lag, all
    three (shares adjusted for the number of terms), and by its own part alone with no negative factor. What the first
    explains beyond the second goes across or against what is asked.
    """
    edges_s = np.arange(span[0], span[1] + 1e-9, BIN_S)
    if edges_s.size < LEAST_BINS + 2:
        return None
    out = np.stack([binned(outputs.t_s, values, edges_s) for values in outputs.values])
    turn = np.stack([binned(seen.axes[n].t_s, seen.axes[n].rate.values, edges_s) for n in ("roll", "pitch")])
    if not (np.isfinite(out).all() and np.isfinite(turn).all()):
        return None
    accel = np.diff(turn, axis=1) / BIN_S
    best: tuple[float, float] | None = None
    for lag_s in LAGS_S:
        behind = followed(out, lag_s)
        parts = np.stack([PARTS[n] @ behind for n in ("left-right", "front-rear", "diagonal")])
        parts = 0.5 * (parts[:, 1:] + parts[:, :-1])
        whole = own = total = 0.0
        for axis in range(2):
            power = float(np.square(accel[axis] - accel[axis].mean()).sum())
            total += power
            whole += power * explained(parts, accel[axis])
            own += power * max(0.0, along(parts[axis], accel[axis]))
        share = max(0.0, whole - own) / max(total, 1e-9)
        if best is None or whole / max(total, 1e-9) > best[1]:
            best = (share, max(whole, 0.0) / max(total, 1e-9))
    return best


def binned(t_s: Floats, values: NDArray[Any], edges_s: Floats) -> Floats:
    """Return means between edges; NaN where there is no row."""
    edges = np.searchsorted(t_s, edges_s)
    counts = np.diff(edges)
    sums = np.cumsum(np.r_[0.0, np.asarray(values[edges[0] : edges[-1]], np.float64)])
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.asarray(np.diff(sums[edges - edges[0]]) / counts)


def followed(out: Floats, lag_s: float) -> Floats:
    """Return outputs as motors of first order follow them."""
    if lag_s <= 0.0:
        return out
    keep = lag_s / (BIN_S + lag_s)
    found = out.copy()
    for k in range(1, out.shape[1]):
        found[:, k] = out[:, k] + (found[:, k - 1] - out[:, k]) * keep
    return found


def explained(parts: Floats, seen: Floats) -> float:
    """Return the share of the variance that a straight fit by all parts explains, adjusted for their number."""
    design = np.vstack([parts, np.ones(seen.size)]).T
    fit, *_ = np.linalg.lstsq(design, seen, rcond=1e-6)
    left = float(np.square(seen - design @ fit).sum())
    whole = float(np.square(seen - seen.mean()).sum())
    free = seen.size - len(parts) - 1
    return 0.0 if whole <= 0.0 or free < 1 else max(0.0, 1.0 - left / whole * (seen.size - 1) / free)


def along(part: Floats, seen: Floats) -> float:
    """Return the share that one part explains with a positive factor."""
    x, y = part - part.mean(), seen - seen.mean()
    along = float(x @ y)
    return along**2 / max(float(x @ x) * float(y @ y), 1e-12) if along > 0.0 else 0.0
