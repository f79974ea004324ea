"""A step of the volts from one reading to the next that the current does not explain."""

from __future__ import annotations

from typing import Final

import numpy as np

from turnback.assess.link_events_parts import Floats, Span, inside, no_channel, too_slow
from turnback.assess.power_events_fit import Load, RestFit, Volts
from turnback.assess.signals import held_at, rows_between
from turnback.records.channel import Quantity
from turnback.records.happened import Event, EventKind, Happened
from turnback.rules.record_power import STEP_EXPLAINED, STEP_HZ, STEP_SHARE, STEP_SPREADS

LAG_S: Final = 0.15
"""Current and volts may lie this far apart."""
REACH_S: Final = 0.3
LASTS_S: Final = 0.05
MOST_EVENTS: Final = 50
LOAD_HZ: Final = 50.0
QUIET_LOAD: Final = 0.2
"""Without a resistance, a step counts only while the load changes by less than this share of its usual range."""


def find_steps(volts: Volts, load: Load | None, fit: RestFit | None, looked: tuple[Span, ...]) -> Happened:
    """Find steps of the volts within two readings.

    Parameters
    ----------
    volts : Volts
    load : Load or None
    fit : RestFit or None
        Its resistance tells what the current explains.
    looked : tuple of (start, end)
    """
    if load is None:
        return Happened((), (no_channel(EventKind.VOLT_STEP, Quantity.CURRENT, Quantity.THROTTLE),))
    fresh_hz = volts.fresh_hz or volts.rate_hz
    if min(fresh_hz, volts.rate_hz) < STEP_HZ.value and volts.rate_hz < STEP_HZ.value:
        slow = too_slow(EventKind.VOLT_STEP, volts.channels[0], volts.rate_hz, STEP_HZ.value)
        return Happened((), (slow,))
    t_s, v = volts.t_s, volts.volts
    rise = v[2:] - v[:-2]
    usual_v = float(np.median(v[:: max(1, v.size // 20_000)]))
    some = np.abs(rise[:: max(1, rise.size // 50_000)])
    some = some[some > 0.0]
    spread_v = 1.4826 * float(np.median(some)) if some.size else 0.0
    limit_v = max(STEP_SHARE.value * usual_v, STEP_SPREADS.value * spread_v)
    rows = np.flatnonzero((np.abs(rise) > limit_v) & (t_s[2:] - t_s[:-2] < 1.0)) + 1
    rows = rows[inside(t_s[rows], looked)]
    if not rows.size:
        return Happened()
    spread = _load_spread(load, t_s[rows], LAG_S + 1.0 / fresh_hz)
    beyond = np.abs(rise[rows - 1]) - _explained_v(load, fit, spread)
    rows, spread = rows[beyond > limit_v], spread[beyond > limit_v]
    events: list[Event] = []
    for row, changed in zip(rows.tolist(), spread.tolist(), strict=True):
        if events and t_s[row] < events[-1].start_s + REACH_S:
            continue
        event = _told(volts, load, row, changed, limit_v)
        if event is not None:
            events.append(event)
        if len(events) >= MOST_EVENTS:
            break
    return Happened(tuple(events))


def _load_spread(load: Load, at_s: Floats, reach_s: float) -> Floats:
    """Return greatest minus least load around each moment."""
    stride = max(1, round(load.t_s.size / max(load.t_s[-1] - load.t_s[0], 1e-3) / LOAD_HZ))
    t_s, amount = load.t_s[::stride], load.amount[::stride].astype(np.float64)
    step_s = float(np.median(np.diff(t_s))) if t_s.size > 1 else reach_s
    half = max(1, round(reach_s / step_s))
    padded = np.pad(amount, half, mode="edge")
    view = np.lib.stride_tricks.sliding_window_view(padded, 2 * half + 1)
    at = np.searchsorted(t_s, at_s, side="right") - 1
    at = np.clip(at, 0, t_s.size - 1)
    return np.asarray([float(np.ptp(view[one])) for one in at]) if at.size < 2000 else np.ptp(view, axis=1)[at]


def _explained_v(load: Load, fit: RestFit | None, spread: Floats) -> Floats:
    """Return how many volts a change of load explains; all of them where nobody knows."""
    if fit is not None:
        return STEP_EXPLAINED.value * fit.resistance_ohm * spread
    some = load.amount[:: max(1, load.amount.size // 20_000)]
    usual = float(np.percentile(some, 95.0) - np.percentile(some, 5.0))
    return np.where(spread < QUIET_LOAD * max(usual, 1e-9), 0.0, np.inf)


def _told(volts: Volts, load: Load, row: int, changed: float, limit_v: float) -> Event | None:
    """Return one step, unless the volts came straight back: one odd reading is none."""
    t_s, v = volts.t_s, volts.volts
    near = np.diff(v[row - 1 : row + 2])
    onset = row + int(np.argmax(np.abs(near)))
    lasts_s = max(LASTS_S, 2.5 / max(volts.rate_hz, 1e-3), 1.5 / max(volts.fresh_hz, 1e-3) if volts.fresh_hz else 0.0)
    before = v[rows_between(t_s, float(t_s[onset]) - max(REACH_S, lasts_s) - 1.0 / volts.rate_hz, float(t_s[onset]))][
        :-1
    ]
    after = v[rows_between(t_s, float(t_s[onset]), float(t_s[onset]) + lasts_s)]
    if before.size < 2 or after.size < 2:
        return None
    step_v = float(np.median(after) - np.median(before))
    if abs(step_v) < 0.7 * limit_v or np.sign(step_v) != np.sign(v[row + 1] - v[row - 1]):
        return None
    start_s = float(t_s[onset])
    around_s = np.array([start_s - REACH_S, start_s + REACH_S])
    was, now = held_at(load.t_s, load.amount, around_s)
    values = {"step_v": step_v, "limit_v": limit_v, "before_v": float(np.median(before))}
    values |= {"after_v": float(np.median(after))}
    if load.amperes:
        values |= {"current_change_a": float(now - was), "current_spread_a": changed}
    if volts.cells:
        values["cell_step_v"] = step_v / volts.cells
    channels = (*volts.channels, *load.channels)
    return Event(
        EventKind.VOLT_STEP, start_s, float(t_s[min(onset + 1, t_s.size - 1)]), channels, STEP_SHARE.key, values
    )
