"""Whether the direction sensor is right: its heading against what lean does to the way, its field against the place."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.link_events_parts import Floats
from turnback.assess.power_events_fit import even_means
from turnback.assess.signs_place_seen import HZ, PlaceSeen
from turnback.records.channel import Quantity

FIELD: Final = (Quantity.MAGNETIC_X, Quantity.MAGNETIC_Y, Quantity.MAGNETIC_Z)
LEAST_S: Final = 12.0
FIT_ROWS: Final = 7
LATE_ROWS: Final = 3
LEAST_PULL_MPS2: Final = 0.35
LEAST_SHARE: Final = 0.05
LEAST_GAIN: Final = 0.1
NEAR_M: Final = (2.0, 4.0, 7.0)
"""Steel under a place bends the field over some metres of height."""
TURNED_RAD: Final = 0.5
LEAST_DRAG_PER_S: Final = 0.08
ROUNDS, HUBER = 5, 1.8
TURNS_RAD, TOLD_SD_RAD, SURELY = 0.05, 0.25, 1.8
"""Leads that swing a heading by less from hover to full throttle lead nobody astray."""
ROWS_ALIKE: Final = 10.0
"""Rows within two seconds say the same."""


@dataclass(frozen=True, slots=True)
class Turned:
    """By how much the shown heading is turned against the way that lean drives it.

    Parameters
    ----------
    off_rad, sd_rad : float
        Mean over the flight.
    by_current_rad, by_current_sd_rad : float
        From low to high current; 0 and infinite without a current.
    """

    off_rad: float
    sd_rad: float
    by_current_rad: float
    by_current_sd_rad: float


def _smooth(values: NDArray[np.complex128]) -> NDArray[np.complex128]:
    padded = np.pad(values, FIT_ROWS // 2, mode="edge")
    return np.convolve(padded, np.full(FIT_ROWS, 1.0 / FIT_ROWS), mode="valid")


def heading_turned(seen: PlaceSeen) -> Turned | None:
    """Fit acceleration over ground by the pull of lean, turned by one angle, less drag; None where too little shows.

    A multirotor speeds up to where it leans (Newton's second law). Where the shown heading is off by an angle, so is
    every pull that is worked out with it, on every course and in any steady wind.

    Parameters
    ----------
    seen : PlaceSeen
    """
    rows = seen.aloft & ~seen.falls & (seen.t_s <= seen.looked.ended_s - 1.0)
    if seen.pull_east_mps2 is None or seen.pull_north_mps2 is None or rows.sum() < LEAST_S * HZ:
        return None
    if seen.v_east_mps is None or seen.v_north_mps is None:
        return None
    pull = _smooth(seen.pull_north_mps2 + 1j * seen.pull_east_mps2)
    way = _smooth(seen.v_north_mps + 1j * seen.v_east_mps)
    gains = np.gradient(way, 1.0 / HZ)
    if float(np.std(pull[rows])) < LEAST_PULL_MPS2:
        return None
    load = _load(seen, rows)
    best: tuple[float, Turned] | None = None
    for late in range(LATE_ROWS):  # what a position receiver tells is late
        found = _fit(pull[rows], np.roll(way, -late)[rows], np.roll(gains, -late)[rows], load)
        if found is not None and (best is None or found[0] > best[0]):
            best = found
    return None if best is None or best[0] < LEAST_SHARE else best[1]


def _load(seen: PlaceSeen, rows: NDArray[np.bool_]) -> Floats | None:
    """Return the current about its mean, as a share of what lies between low and high; None where it is steady."""
    current = seen.record.get(Quantity.CURRENT)
    if current is None or current.t_s.size < 2:
        return None
    load = even_means(current.t_s, current.values, seen.t_s)[rows]
    low, high = np.percentile(load, [10.0, 90.0])
    return None if high - low < 0.15 * max(float(np.mean(load)), 1e-3) else (load - np.mean(load)) / (high - low)


def _fit(
    pull: NDArray[np.complex128], way: NDArray[np.complex128], gains: NDArray[np.complex128], load: Floats | None
) -> tuple[float, Turned] | None:
    columns = [pull, way, way * np.abs(way), np.ones(pull.size)]
    if load is not None:
        columns.append(pull * load)
    design = np.column_stack(columns)
    solved, weight = _robust(design, gains)
    others = design[:, 1:4] * weight
    left = (gains - design @ solved) * weight[:, 0]
    asked = gains * weight[:, 0]
    without = asked - others @ np.linalg.lstsq(others, asked, rcond=None)[0]
    share = 1.0 - float(np.sum(np.abs(left) ** 2)) / max(float(np.sum(np.abs(without) ** 2)), 1e-9)
    size = abs(solved[0])
    if size < LEAST_GAIN:
        return None
    design = design * weight
    spread = np.linalg.pinv(design.conj().T @ design).real * float(np.mean(np.abs(left) ** 2)) * ROWS_ALIKE
    sd = float(np.sqrt(max(spread[0, 0], 0.0))) / size
    turned = Turned(float(np.angle(solved[0])), sd, 0.0, float("inf"))
    if load is not None:
        # the part at right angles to the mean pull turns it
        by = float((solved[4] / solved[0]).imag)
        turned = Turned(turned.off_rad, sd, by, float(np.sqrt(max(spread[4, 4], 0.0))) / size)
    return share, turned


def _robust(
    design: NDArray[np.complex128], asked: NDArray[np.complex128]
) -> tuple[NDArray[np.complex128], NDArray[np.float64]]:
    """Return a fit by Huber's weights, and the weights' roots: while it whirls round, lean and way are told apart."""
    weight = np.ones((asked.size, 1))
    solved = np.linalg.lstsq(design, asked, rcond=None)[0]
    for _ in range(ROUNDS):
        off = np.abs(asked - design @ solved)
        limit = HUBER * max(float(np.median(off)), 1e-6)
        weight = np.sqrt(limit / np.maximum(off, limit))[:, None]
        solved = np.linalg.lstsq(design * weight, asked * weight[:, 0], rcond=None)[0]
    return np.asarray(solved, np.complex128), weight


def turns_with_current(seen: PlaceSeen) -> tuple[float, float] | None:
    """Return by how much the shown heading turns from low to high current, and how far beyond doubt; None untold.

    Parameters
    ----------
    seen : PlaceSeen

    Returns
    -------
    by_rad, beyond : float
        `beyond` in uncertainties, below nought where it does not turn.
    """
    turned = heading_turned(seen)
    if turned is None or not np.isfinite(turned.by_current_sd_rad) or turned.by_current_sd_rad > TOLD_SD_RAD:
        return None
    by_rad = abs(turned.by_current_rad)
    sd_rad = max(turned.by_current_sd_rad, 0.02)
    return by_rad, min((by_rad - TURNS_RAD) / sd_rad, by_rad / sd_rad - SURELY)


@dataclass(frozen=True, slots=True)
class WindByLean:
    """The wind that lean and way tell together.

    Parameters
    ----------
    toward_mps : complex
        Where it blows to; north is the real axis.
    sd_mps : float
        Of its speed.
    air_mps : float
        How fast it flies through the air, three quarters of the time slower.
    """

    toward_mps: complex
    sd_mps: float
    air_mps: float


def wind_by_lean(seen: PlaceSeen) -> WindByLean | None:
    """Fit what lean does not explain of the acceleration by drag of the way through the air; None where it shows none.

    Pull less acceleration is drag, near enough a rate times the way through the air (Newton's second law): the way
    over ground at which no pull is needed is the wind.

    Parameters
    ----------
    seen : PlaceSeen
    """
    rows = seen.aloft & ~seen.falls & (seen.t_s <= seen.looked.ended_s - 1.0)
    if seen.pull_east_mps2 is None or seen.pull_north_mps2 is None or rows.sum() < LEAST_S * HZ:
        return None
    if seen.v_east_mps is None or seen.v_north_mps is None:
        return None
    turned = heading_turned(seen)
    if turned is not None and abs(turned.off_rad) > TURNED_RAD:
        return None
    pull = _smooth(seen.pull_north_mps2 + 1j * seen.pull_east_mps2)
    way = _smooth(seen.v_north_mps + 1j * seen.v_east_mps)
    drag = (np.gradient(way, 1.0 / HZ) - pull)[rows]
    ones, none = np.ones(drag.size), np.zeros(drag.size)
    design = np.column_stack([
        np.r_[way[rows].real, way[rows].imag], np.r_[ones, none], np.r_[none, ones],
    ])  # fmt: skip
    asked = np.r_[drag.real, drag.imag]
    solved = np.linalg.lstsq(design, asked, rcond=None)[0]
    spread = np.linalg.pinv(design.T @ design) * float(np.var(asked - design @ solved)) * ROWS_ALIKE
    rate = -float(solved[0])
    if rate < LEAST_DRAG_PER_S or rate < 2.0 * float(np.sqrt(spread[0, 0])):
        return None
    wind = complex(solved[1], solved[2]) / rate
    sd = (float(np.sqrt(spread[1, 1] + spread[2, 2])) + abs(wind) * float(np.sqrt(spread[0, 0]))) / rate
    return WindByLean(wind, sd, float(np.percentile(np.abs(way[rows] - wind), 75.0)))


@dataclass(frozen=True, slots=True)
class FieldLeft:
    """How much of the field's unrest height above the ground explains beside current, and the other way round.

    Parameters
    ----------
    by_height, by_current : float
        Share of the squares that is left without the other one, 0 to 1.
    height_share, current_share : float
        What the field changes by, from far to near and from low to high current, as a share of the field.
    """

    by_height: float
    by_current: float
    height_share: float
    current_share: float


def field_left(seen: PlaceSeen) -> FieldLeft | None:
    """Return what the strength of the field, along and across the upright, goes with; None without a field.

    Its strength is the same whichever way the nose points; turned by the lean, so is each of both parts.

    Parameters
    ----------
    seen : PlaceSeen
    """
    record = seen.record
    axes = [record.get(each) for each in FIELD]
    if any(each is None or each.t_s.size < 2 for each in axes) or seen.height_m is None or not seen.aloft.any():
        return None
    x, y, z = (even_means(each.t_s, each.values, seen.t_s) for each in axes if each is not None)
    lean = [record.get(each) for each in (Quantity.ROLL, Quantity.PITCH)]
    roll, pitch = (
        np.zeros(seen.t_s.size) if each is None else even_means(each.t_s, each.values, seen.t_s) for each in lean
    )
    rows = (seen.t_s <= seen.looked.ended_s) & ~seen.falls
    if rows.sum() < LEAST_S * HZ:
        return None
    down = y * np.sin(roll) + z * np.cos(roll)
    upright = down * np.cos(pitch) - x * np.sin(pitch)
    flat = np.sqrt(np.maximum(x * x + y * y + z * z - upright * upright, 0.0))
    size = max(float(np.median(np.hypot(upright, flat)[rows])), 1e-6)
    parts = np.column_stack([upright[rows], flat[rows]]) / size
    current = record.get(Quantity.CURRENT)
    load = np.zeros(rows.sum()) if current is None else even_means(current.t_s, current.values, seen.t_s)[rows]
    best: FieldLeft | None = None
    for near_m in NEAR_M:
        near = np.exp(-np.maximum(seen.height_m[rows], 0.0) / near_m)
        found = _shares(parts, load, near)
        best = found if best is None or found.by_height > best.by_height else best
    return best


def _shares(parts: Floats, load: Floats, near: Floats) -> FieldLeft:
    ones = np.ones(load.size)

    def left(*columns: Floats) -> float:
        design = np.column_stack([ones, *columns])
        return float(np.sum((parts - design @ np.linalg.lstsq(design, parts, rcond=None)[0]) ** 2))

    both = left(load, near)
    solved = np.linalg.lstsq(np.column_stack([ones, load, near]), parts, rcond=None)[0]
    span = float(np.percentile(load, 95.0) - np.percentile(load, 5.0))
    return FieldLeft(
        1.0 - both / max(left(load), 1e-12), 1.0 - both / max(left(near), 1e-12),
        float(np.hypot(*solved[2])) * float(np.ptp(near)), float(np.hypot(*solved[1])) * span,
    )  # fmt: skip
