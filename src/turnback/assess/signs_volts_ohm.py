"""Resistance of a cell from the whole of a flight, take-off included, with what answers slower apart."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.link_events_median import running_median
from turnback.assess.link_events_parts import Floats, Span
from turnback.assess.power_events_fit import lagged
from turnback.rules.chemistry import Chemistry

STEP_S: Final = 0.1
"""Where a grid is too short to have a step."""
SMOOTH_S: Final = 0.3
"""Volts and current pass the same filter: a lag between their channels does not matter then."""
FLOWN_LEAST_S: Final = 5.0
STEPS_LOAD: Final = 0.05
"""A load that varies by less than this share of its mean, ground included, tells no resistance."""
MOST_SD: Final = 0.5
"""A resistance known no better than to this share is not known."""
BLOCK_S: Final = 5.0
SENSOR_SHARE: Final = 0.1
EMPTY_S: Final = 1.0
"""Loaded volts that stay low for so long are no burst's."""
KNEE_V: Final = 0.1
"""Loaded, so far above the volts at which to land, a cell is still before the bend of its curve."""
LEAST_BEFORE: Final = 0.4
"""Where less of the flight lies before the bend, volts were low all along, and no pack ran empty."""


@dataclass(frozen=True, slots=True)
class Ohm:
    """Resistance of one cell (or volts per full load where it is no current), and how sure; by least squares.

    Parameters
    ----------
    ohm, sd_ohm : float
        The part that answers at once.
    slow_share, slow_sd : float
        What answers within seconds over that.
    """

    ohm: float
    sd_ohm: float
    slow_share: float
    slow_sd: float


def shares_of(t_s: Floats, amount: Floats, limits: Chemistry) -> Floats:
    """Return the load with its lagging shares, over the ohmic one: what volts give way by, in resistances."""
    step_s = float(t_s[1] - t_s[0]) if t_s.size > 1 else STEP_S
    return (
        amount
        + limits.r1_ratio * lagged(amount, limits.tau1_s, step_s)
        + limits.r2_ratio * lagged(amount, limits.tau2_s, step_s)
    )


def runs_empty_at(t_s: Floats, unit_v: Floats, aloft: NDArray[np.bool_], limits: Chemistry) -> int | None:
    """Return the row from which a pack that was sound until then runs empty for good; None where it does not.

    Past the bend of its curve the volts fall by themselves, whatever the load: what is fitted to them there tells no
    resistance.

    Parameters
    ----------
    t_s, unit_v : ndarray, shape (n,)
        Volts of a cell.
    aloft : ndarray of bool, shape (n,)
    limits : Chemistry
    """
    rows = np.flatnonzero(aloft)
    if rows.size < 2:
        return None
    width = max(1, round(EMPTY_S / float(t_s[1] - t_s[0])))
    calm = running_median(unit_v[rows], 2 * width + 1)
    full = np.flatnonzero(calm > limits.land_by_loaded_v + KNEE_V)
    bend = int(full[-1]) + 1 if full.size else 0
    if bend < LEAST_BEFORE * rows.size or np.count_nonzero(calm[bend:] < limits.damage_v) < width:
        return None
    return int(rows[min(bend, rows.size - 1)])


def fit_ohm(
    t_s: Floats, unit_v: Floats, amount: Floats, aloft: NDArray[np.bool_], limits: Chemistry, amperes: bool
) -> Ohm | None:
    """Fit volts by the load at once, its share within seconds, and the charge used; ground and take-off included.

    The step from standing to flying tells a resistance even where the flight itself is steady.

    Parameters
    ----------
    t_s, unit_v, amount : ndarray, shape (n,)
    aloft : ndarray of bool, shape (n,)
    limits : Chemistry
        How its slower shares go with the first.
    amperes : bool

    Returns
    -------
    Ohm or None
        None where the load hardly changes or too little was flown.
    """
    if t_s.size < 3 or np.count_nonzero(aloft) * (t_s[1] - t_s[0]) < FLOWN_LEAST_S:
        return None
    mean = float(np.mean(amount))
    if mean <= 0.0 or float(np.std(amount)) < STEPS_LOAD * mean:
        return None
    step_s = float(t_s[1] - t_s[0])
    slow = lagged(amount, limits.tau1_s, step_s)
    slowest = limits.r2_ratio * lagged(amount, limits.tau2_s, step_s)
    used = np.cumsum(amount) / max(float(np.sum(amount)), 1e-9)
    parts = [lagged(each - each[0], SMOOTH_S, step_s) for each in (unit_v, amount + slowest, slow, used)]
    ones = np.ones(t_s.size)
    tied = parts[1] + limits.r1_ratio * parts[2]
    one = squares(parts[0], np.column_stack([-tied, ones, parts[3], parts[3] ** 2, parts[3] ** 3]), step_s)
    two = squares(parts[0], np.column_stack([-parts[1], -parts[2], ones, parts[3], parts[3] ** 2]), step_s)
    ohm = float(one[0][0])
    if not ohm > 0.0:
        return None
    share = float(two[0][1] / max(float(two[0][0]), 0.1 * ohm))
    slow_sd = float(np.sqrt(max(two[1][1, 1], 0.0)) / max(float(two[0][0]), 0.1 * ohm))
    sd = float(np.hypot(np.sqrt(max(one[1][0, 0], 0.0)), (SENSOR_SHARE if amperes else 0.0) * ohm))
    return Ohm(ohm, sd, share, slow_sd + 0.05) if sd < MOST_SD * ohm else None


def squares(seen: Floats, columns: Floats, step_s: float) -> tuple[Floats, Floats]:
    """Least squares; the covariance is from residuals in blocks, which hang together."""
    inverse = np.linalg.pinv(columns.T @ columns, rcond=1e-12, hermitian=True)
    solved = inverse @ (columns.T @ seen)
    rest = seen - columns @ solved
    starts = np.arange(0, seen.size, max(1, round(BLOCK_S / step_s)))
    blocks = np.add.reduceat(columns * rest[:, None], starts, axis=0)
    return solved, inverse @ (blocks.T @ blocks) @ inverse


def held_low_v(t_s: Floats, values: Floats, rows: NDArray[np.bool_], least_s: float) -> tuple[float, Span] | None:
    """Return the lowest value that is stayed below for so long, and about where; None of too few rows.

    Parameters
    ----------
    t_s, values : ndarray, shape (n,)
    rows : ndarray of bool, shape (n,)
    least_s : float
    """
    picked = np.flatnonzero(rows)
    step_s = float(t_s[1] - t_s[0]) if t_s.size > 1 else 1.0
    width = max(1, round(least_s / step_s)) | 1
    if picked.size < width:
        return None
    calm = running_median(values[picked], width)
    at = int(np.argmin(calm))
    half = width // 2
    return float(calm[at]), (
        float(t_s[picked[max(0, at - half)]]),
        float(t_s[picked[min(picked.size - 1, at + half)]]),
    )
