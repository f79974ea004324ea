"""Volts of a record at rest: the pack's resistance by least squares, and volts with the load's share added back."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from turnback.assess.link_events_parts import Floats, Span
from turnback.assess.power_events_volts import Volts
from turnback.assess.signals import held_at
from turnback.records.channel import Channel, Quantity
from turnback.records.flight_record import FlightRecord
from turnback.records.happened import WhyNot
from turnback.rules.chemistry import chemistry, chemistry_names
from turnback.rules.record_power import FIT_LEAST_S, LOAD_CHANGES, OVER_FULL_V, RESISTANCE_SHARE

MOST_HZ: Final = 20.0
SMOOTH_S: Final = 1.0
"""Both sides of the fit pass the same filter: ten times slower than channels lag behind one another."""
TAU1_S, TAU2_S = 3.0, 40.0
R1_RATIO, R2_RATIO = 0.5, 0.667
"""As in the table of chemistries for LiPo, where none is told."""
MOST_MIDDLE: Final = 2.0
"""No cell's share that settles in seconds is this much larger than the table's."""
BLOCK_S: Final = 10.0
"""Residuals of records hang together for some seconds: only so many of them are independent."""
TREND_DEGREES, TREND_DEGREE_S = (4, 6), 35.0
"""The longer a flight, the more bends of the rest volts it sees: what a cubic leaves looks like a slow share."""
Z95: Final = 1.96
MOST_PICKS: Final = 20_000
IDLE_LOAD: Final = 0.1
"""Below a tenth of the usual most, what the load takes off the volts is within their error."""
IDLE_LEAST: Final = 20


@dataclass(frozen=True, slots=True, eq=False)
class Load:
    """What draws on the pack.

    Parameters
    ----------
    channels : tuple of Channel
    t_s, amount : ndarray, shape (m,)
        Amperes, or where `amperes` is false the square of the outputs or the throttle, or the cube of rotor speeds.
    amperes : bool
    by_throttle : bool
        Only the stick is known: motors may stop, or the board may fly, without it.
    """

    channels: tuple[Channel, ...]
    t_s: Floats
    amount: np.ndarray
    amperes: bool
    by_throttle: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class RestFit:
    """The fit.

    Parameters
    ----------
    resistance_ohm, half_width_ohm : float
        Ohmic, of the whole pack; in volts per full output where the load is not in amperes.
    t_s, rest_v : ndarray, shape (m,)
        Volts with the load's share added back, on an even grid: the lower end of what the record allows.
    load : ndarray, shape (m,)
    rest_high_v : ndarray, shape (m,)
        The upper end: with the largest slow share of the load that the record allows.
    """

    resistance_ohm: float
    half_width_ohm: float
    t_s: Floats
    rest_v: Floats
    load: Floats
    rest_high_v: Floats


def most_volts(volts: Volts, load: Load, chemistry_told: str | None) -> float | None:
    """Return volts that the pack has at most without load: as a full pack, and as recorded while hardly loaded.

    Parameters
    ----------
    volts : Volts
    load : Load
    chemistry_told : str or None

    Returns
    -------
    float or None
        None where neither the cells are known nor hardly any load was recorded.
    """
    bounds = []
    if volts.cells:
        names = (chemistry_told,) if chemistry_told is not None else chemistry_names()
        bounds.append(volts.cells * (max(chemistry(name).full_v for name in names) + OVER_FULL_V.value))
    stride = max(1, volts.t_s.size // MOST_PICKS)
    amount = held_at(load.t_s, load.amount, volts.t_s[::stride])
    idle = volts.volts[::stride][amount <= IDLE_LOAD * float(np.percentile(amount, 95.0))]
    if idle.size >= IDLE_LEAST:
        bounds.append(float(np.percentile(idle, 98.0)))
    return min(bounds, default=None)


def load_of(record: FlightRecord, volts: Volts | None = None) -> Load | None:
    """Return what draws on the pack: the current, or power over volts; else outputs, rotor speeds or throttle.

    Parameters
    ----------
    record : FlightRecord
    volts : Volts or None
        Of the whole pack, where power is to be taken for current.
    """
    current, power = record.get(Quantity.CURRENT), record.get(Quantity.POWER)
    if current is not None and current.t_s.size > 1:
        return Load((current.channel,), current.t_s, current.values, True)
    if power is not None and power.t_s.size > 1 and volts is not None and volts.cells != 1:
        pack_v = np.maximum(held_at(volts.t_s, volts.volts, power.t_s), 1.0)
        return Load((power.channel,), power.t_s, power.values / pack_v, True)
    for quantity, exponent in ((Quantity.OUTPUT, 2), (Quantity.ROTOR_SPEED, 3)):
        rotors = record.all_of(quantity)
        if not rotors or rotors[0].t_s.size < 2:
            continue
        first = rotors[0]
        mean = np.zeros(first.t_s.size, first.values.dtype)
        for each in rotors:
            mean += held_at(each.t_s, each.values, first.t_s)
        mean /= len(rotors)
        if quantity is Quantity.ROTOR_SPEED:  # a rotor's power goes with the cube of its speed
            mean /= max(float(np.percentile(mean[:: max(1, mean.size // MOST_PICKS)], 95.0)), 1.0)
        return Load(tuple(each.channel for each in rotors), first.t_s, mean**exponent, False)
    throttle = record.get(Quantity.THROTTLE)
    if throttle is not None and throttle.t_s.size > 1:
        return Load((throttle.channel,), throttle.t_s, throttle.values * throttle.values, False, True)
    return None


def even_means(t_s: Floats, values: np.ndarray, grid_s: Floats) -> Floats:
    """Return means over the steps of an even grid, through gaps by straight lines.

    Parameters
    ----------
    t_s, values : ndarray, shape (n,)
    grid_s : ndarray, shape (m,)
        Even; m at least 2.
    """
    step_s = grid_s[1] - grid_s[0]
    edges = np.searchsorted(t_s, np.append(grid_s - 0.5 * step_s, grid_s[-1] + 0.5 * step_s))
    counts = np.diff(edges)
    have = np.flatnonzero(counts)
    if not have.size:
        return np.interp(grid_s, t_s, values.astype(np.float64))
    starts = edges[have]
    sums = np.add.reduceat(values[: edges[-1]], starts, dtype=np.float64)
    return np.interp(grid_s, grid_s[have], sums / counts[have])


def lagged(values: Floats, tau_s: float, step_s: float) -> Floats:
    """Return values behind a resistor and a capacitor, at rest before the first; by a transform, without a loop.

    Parameters
    ----------
    values : ndarray, shape (m,)
    tau_s, step_s : float
    """
    count = min(values.size, round(8.0 * tau_s / step_s) + 1)
    decay = float(np.exp(-step_s / tau_s))
    weights = (1.0 - decay) * decay ** np.arange(count)
    size = 1 << int(values.size + count - 1).bit_length()
    return np.fft.irfft(np.fft.rfft(values, size) * np.fft.rfft(weights, size), size)[: values.size]


def why_no_fit(volts: Volts, load: Load, looked: tuple[Span, ...], until_s: float = np.inf) -> WhyNot:
    """Return why `fit_rest` gave nothing: there is too little to look at, or enough of a load that hardly changes.

    Parameters
    ----------
    volts, load, looked, until_s
        As for `fit_rest`.
    """
    first_s = max(float(volts.t_s[0]), float(load.t_s[0]))
    last_s = min(float(volts.t_s[-1]), float(load.t_s[-1]), until_s)
    shared = (min(end_s, last_s) - max(start_s, first_s) - 4.0 * SMOOTH_S for start_s, end_s in looked)
    enough = sum(max(0.0, each) for each in shared) >= FIT_LEAST_S.value
    return WhyNot.LOAD_TOO_STEADY if enough else WhyNot.TOO_SHORT


def fit_rest(
    volts: Volts, load: Load, looked: tuple[Span, ...], chemistry_told: str | None, until_s: float = np.inf
) -> RestFit | None:
    """Fit volts by ohmic and two lagging shares of the load, and a polynomial in the charge used.

    Both sides pass the same filter first, so that a lag of 0.1 s between the channels does not matter; first
    differences would be far too low with it. The half width is from residuals in blocks of 10 s, widened by what
    current sensors are off. Not every pack has a slow share: it is fitted with the least and with the largest that
    the record allows, and the lower rest volts count.

    Parameters
    ----------
    volts : Volts
    load : Load
    looked : tuple of (start, end)
        Spans that count; the pack is at rest before the first.
    chemistry_told : str or None
    until_s : float
        What comes later has another resistance: a contact that gave way.

    Returns
    -------
    RestFit or None
        None where the load hardly changes, or the spans are too short.
    """
    start_s = max(float(volts.t_s[0]), float(load.t_s[0]))
    end_s = min(float(volts.t_s[-1]), float(load.t_s[-1]), until_s)
    step_s = max(1.0 / MOST_HZ, 1.0 / max(volts.rate_hz, 1e-3))
    if end_s - start_s < FIT_LEAST_S.value:
        return None
    grid_s = np.arange(start_s, end_s, step_s)
    v, i = even_means(volts.t_s, volts.volts, grid_s), even_means(load.t_s, load.amount, grid_s)
    cell = chemistry(chemistry_told) if chemistry_told is not None else None
    taus_s = (cell.tau1_s, cell.tau2_s) if cell else (TAU1_S, TAU2_S)
    ratios = (cell.r1_ratio, cell.r2_ratio) if cell else (R1_RATIO, R2_RATIO)
    parts = np.stack([i, *(lagged(i, tau_s, step_s) for tau_s in taus_s)])
    used = np.cumsum(i)
    used = used / max(float(used[-1]), 1e-9)
    keep = np.zeros(grid_s.size, np.bool_)
    for span_start_s, span_end_s in looked:
        # the filter has settled, and the last moment before the ground is left out
        keep |= (grid_s >= span_start_s + 3.0 * SMOOTH_S) & (grid_s <= span_end_s - SMOOTH_S)
    kept_s = np.count_nonzero(keep) * step_s
    enough = kept_s >= FIT_LEAST_S.value and np.count_nonzero(keep) >= 40
    if not enough or float(np.std(i[keep])) < LOAD_CHANGES.value * abs(float(np.mean(i[keep]))):
        return None
    stride = max(1, round(0.1 * SMOOTH_S / step_s))
    rows = np.flatnonzero(keep)[::stride]  # smoothed as they are, more rows tell no more
    smooth = [lagged(row - row[0], SMOOTH_S, step_s)[rows] for row in (v, *parts)]
    seen, shares = smooth[0], list(smooth[1:])
    degree = min(max(int(kept_s / TREND_DEGREE_S), TREND_DEGREES[0]), TREND_DEGREES[1])
    trend = list(np.polynomial.chebyshev.chebvander(2.0 * used[rows] - 1.0, degree).T)
    block = round(BLOCK_S / (stride * step_s))
    low, high = _slow_range(seen, shares, trend, block, ratios[1])
    least, width = _least_squares(seen, shares, trend, block, (ratios[0], low))
    most = _least_squares(seen, shares, trend, block, (ratios[0], high))[0] if high > low else least
    if not min(least[0], most[0]) > 0.0:
        return None
    ohm = 0.5 * float(least[0] + most[0])
    half = float(np.hypot(width, RESISTANCE_SHARE.value * ohm)) + 0.5 * abs(float(least[0] - most[0]))
    one_v, other_v = v + least @ parts, v + most @ parts
    return RestFit(ohm, half, grid_s, np.minimum(one_v, other_v), i, np.maximum(one_v, other_v))


def _slow_range(
    seen: Floats, shares: list[Floats], trend: list[Floats], block: int, table_ratio: float
) -> tuple[float, float]:
    """Return the least and the largest slow share, over the ohmic one, that the record allows: nought to the table's.

    Where it cannot be told from the pack running down, all of them are allowed.
    """
    first, middle, slowest = shares
    (slope, ohmic, _), width = _solved(seen, [slowest, first, middle], trend, block)
    if not ohmic > 0.0:
        return 0.0, table_ratio
    return min(max((slope - width) / ohmic, 0.0), table_ratio), min(max((slope + width) / ohmic, 0.0), table_ratio)


def _least_squares(
    seen: Floats, shares: list[Floats], trend: list[Floats], block: int, ratios: tuple[float, float]
) -> tuple[Floats, float]:
    """Return how many volts each share of the load takes, and the 95 % half width of the first.

    The slowest share is tied to the ohmic one by the ratio given; the middle one is fitted, and tied too
    where it comes out below nought or above what any cell has.
    """
    r1, r2 = ratios
    first, middle, slowest = shares
    tied = first + r2 * slowest
    solved, width = _solved(seen, [tied, middle], trend, block)
    ratio = solved[1] / solved[0] if solved[0] > 0.0 else r1
    if not 0.0 <= ratio <= MOST_MIDDLE * r1:
        ratio = min(max(ratio, 0.0), MOST_MIDDLE * r1)
        solved, width = _solved(seen, [tied + ratio * middle], trend, block)
    return solved[0] * np.array([1.0, ratio, r2]), width


def _solved(seen: Floats, shares: list[Floats], trend: list[Floats], block: int) -> tuple[Floats, float]:
    """Return the slopes of shares that volts fall by, and the 95 % half width of the first from residuals in blocks."""
    columns = np.column_stack([*(-share for share in shares), *trend])
    scale = np.linalg.norm(columns, axis=0)
    scale[scale == 0.0] = 1.0
    columns = columns / scale
    inverse = np.linalg.pinv(columns.T @ columns, rcond=1e-13, hermitian=True)
    solved = inverse @ (columns.T @ seen)
    rest = seen - columns @ solved
    blocks = np.add.reduceat(columns * rest[:, None], np.arange(0, rest.size, max(1, block)), axis=0)
    variance = float((inverse @ (blocks.T @ blocks) @ inverse)[0, 0])
    return (solved / scale)[: len(shares)], Z95 * float(np.sqrt(max(variance, 0.0)) / scale[0])
