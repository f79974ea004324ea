"""A step of the volts from one reading to the next that the current does not explain."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil
from typing import Final

import numpy as np

from turnback.assess.link_events_parts import Floats, Span, inside, no_channel, too_slow
from turnback.assess.power_events_fit import Load, RestFit, most_volts
from turnback.assess.power_events_volts import Volts
from turnback.assess.signals import held_at, rows_between
from turnback.records.channel import Quantity
from turnback.records.happened import Event, EventKind, Happened
from turnback.rules.record_power import STEP_EXPLAINED, STEP_HZ, STEP_SHARE, STEP_SPAN_S, STEP_SPREADS

LAG_S: Final = 0.15
"""Current and volts may lie this far apart."""
REACH_S: Final = 0.3
LASTS_S: Final = 0.05
BEGINS_SHARE: Final = 0.25
"""A filtered step began where this much of it is done."""
READ_OFF: Final = 0.01
"""Boards read volts to about one in a hundred."""
BEYOND: Final = 0.5
"""What is explained has its own margin: so much of the limit must lie beyond it."""
MOST_EVENTS: Final = 50
MOST_ROWS: Final = 2000
LOAD_HZ: Final = 50.0
QUIET_LOAD: Final = 0.1
"""Without a resistance, a step counts only while the load changes by less than this share of its usual most."""
NOT_AMPERES: Final = 1.5
"""Volts do not go straight with a squared output or throttle: so much more may be explained."""


@dataclass(frozen=True, slots=True, eq=False)
class _Thin:
    """The load as means of blocks."""

    t_s: Floats
    amount: Floats


def find_steps(
    volts: Volts, load: Load | None, fit: RestFit | None, looked: tuple[Span, ...], chemistry_told: str | None = None
) -> Happened:
    """Find steps of the volts within two readings, or within what a filter takes.

    Parameters
    ----------
    volts : Volts
    load : Load or None
    fit : RestFit or None
        Its resistance bounds what the current explains.
    looked : tuple of (start, end)
    chemistry_told : str or None
        Bounds the volts of a full pack.
    """
    if load is None:
        return Happened((), (no_channel(EventKind.VOLT_STEP, Quantity.CURRENT, Quantity.THROTTLE),))
    if volts.rate_hz < STEP_HZ.value:
        return Happened((), (too_slow(EventKind.VOLT_STEP, volts.channels[0], volts.rate_hz, STEP_HZ.value),))
    t_s, v = volts.t_s, volts.volts
    apart = max(2, ceil(STEP_SPAN_S.value * volts.rate_hz))
    if v.size <= apart + 2:
        return Happened()
    rise = v[apart:] - v[:-apart]
    usual_v = float(np.median(v[:: max(1, v.size // 20_000)]))
    some = np.abs(rise[:: max(1, rise.size // 50_000)])
    some = some[some > 0.0]
    spread_v = 1.4826 * float(np.median(some)) if some.size else 0.0
    limit_v = max(STEP_SHARE.value * usual_v, STEP_SPREADS.value * spread_v)
    # motors stop without the throttle: where that alone is recorded, rising volts are no sign
    over = -rise > limit_v if load.by_throttle else np.abs(rise) > limit_v
    first = np.flatnonzero(over & (t_s[apart:] - t_s[:-apart] < 1.0))
    first = first[inside(t_s[first + 1], looked)]
    if not first.size:
        return Happened()
    if first.size > MOST_ROWS:
        first = np.sort(first[np.argsort(-np.abs(rise[first]), kind="stable")[:MOST_ROWS]])
    change, explained_v = _explained(volts, load, fit, first, np.sign(rise[first]), chemistry_told)
    keep = np.abs(rise[first]) - explained_v > BEYOND * limit_v
    first, change, explained_v = first[keep], change[keep], explained_v[keep]
    events: list[Event] = []
    for rows in np.split(np.arange(first.size), np.flatnonzero(np.diff(t_s[first]) > REACH_S) + 1):
        if not rows.size or len(events) >= MOST_EVENTS:
            break
        best = rows[int(np.argmax(np.abs(rise[first[rows]])))]
        event = _told(volts, load, (int(first[best]), apart), float(change[best]), float(explained_v[best]), limit_v)
        events += [event] if event is not None else []
    return Happened(tuple(events))


def _thinned(load: Load) -> _Thin:
    """Return the load at about 50 readings a second, each a mean: its noise explains nothing."""
    stride = max(1, round(load.t_s.size / max(load.t_s[-1] - load.t_s[0], 1e-3) / LOAD_HZ))
    whole = load.t_s.size // stride * stride
    amount = load.amount[:whole].reshape(-1, stride).mean(axis=1, dtype=np.float64)
    return _Thin(load.t_s[:whole:stride], amount)


def _explained(
    volts: Volts, load: Load, fit: RestFit | None, first: np.ndarray, sign: np.ndarray, chemistry_told: str | None
) -> tuple[Floats, Floats]:
    """Return the change of load that could explain each change of the volts, and how many volts it explains.

    Falling volts are explained only by a load that rises, rising volts by one that falls: it counts how far the load
    goes that way within the lag. What one unit of load takes is bounded from above: open-circuit volts are never above
    a full pack's, so the volts that are missing at a load, over that load, are no less than the ohmic resistance.
    """
    thin = _thinned(load)
    reach_s = LAG_S + 1.0 / max(volts.fresh_hz or volts.rate_hz, 1e-3)
    step_s = float(np.median(np.diff(thin.t_s))) if thin.t_s.size > 1 else reach_s
    half = max(1, ceil(reach_s / step_s))
    padded = np.pad(thin.amount, half, mode="edge")
    at = np.clip(np.searchsorted(thin.t_s, volts.t_s[first], side="right") - 1, 0, thin.t_s.size - 1)
    seen = np.lib.stride_tricks.sliding_window_view(padded, 2 * half + 1)[at] * -sign[:, None]
    change = (seen - np.minimum.accumulate(seen, axis=1)).max(axis=1)
    # the load just before, as a mean of what came before the lag
    before = np.maximum(at - half - np.arange(max(1, round(REACH_S / step_s)))[:, None], 0)
    drawn = thin.amount[before].mean(axis=0)
    per_unit = np.full(first.size, np.inf if fit is None else fit.resistance_ohm + fit.half_width_ohm)
    most_v = most_volts(volts, load, chemistry_told)
    if most_v is not None:
        before_v = volts.volts[np.maximum(first - 1, 0)].astype(np.float64)
        with np.errstate(divide="ignore", invalid="ignore"):
            missing_v = np.maximum(most_v - before_v, 0.0) + READ_OFF * most_v
            bound = np.where(drawn > 0.0, missing_v / drawn, np.inf)
        # a fit to a hardly changing load comes out too low: it counts where there is no bound
        per_unit = np.where(np.isfinite(bound), bound, per_unit)
    if not np.isfinite(per_unit).all():
        usual = float(np.percentile(thin.amount, 95.0))
        quiet = np.where(change < QUIET_LOAD * max(usual, 1e-9), 0.0, np.inf)
        return change, np.where(np.isfinite(per_unit), _times(per_unit, change, load), quiet)
    return change, _times(per_unit, change, load)


def _times(per_unit: Floats, change: Floats, load: Load) -> Floats:
    """Return the volts that a change of load explains."""
    finite = np.where(np.isfinite(per_unit), per_unit, 0.0)
    return STEP_EXPLAINED.value * (1.0 if load.amperes else NOT_AMPERES) * finite * change


def _told(
    volts: Volts, load: Load, where: tuple[int, int], change: float, explained_v: float, limit_v: float
) -> Event | None:
    """Return one step, unless the volts came straight back: one odd reading is none."""
    t_s, v = volts.t_s, volts.volts
    first, apart = where
    lasts_s = max(LASTS_S, 2.5 / max(volts.rate_hz, 1e-3), 1.5 / max(volts.fresh_hz, 1e-3) if volts.fresh_hz else 0.0)
    first_s, last_s = float(t_s[first]), float(t_s[first + apart])
    before = v[rows_between(t_s, first_s - lasts_s, first_s + 1e-9)]
    after = v[rows_between(t_s, last_s, last_s + lasts_s + 1e-9)]
    if before.size < 2 or after.size < 2:
        return None
    before_v, after_v = float(np.median(before)), float(np.median(after))
    step_v = after_v - before_v
    done = (v[first : first + apart + 1] - before_v) / (step_v or 1.0)
    begun = np.flatnonzero(done > BEGINS_SHARE)
    same_way = np.sign(step_v) == np.sign(v[first + apart] - v[first])
    enough = abs(step_v) >= max(0.7 * limit_v, explained_v + 0.35 * limit_v)
    if not begun.size or not enough or not same_way:
        return None
    onset = first + int(begun[0])
    start_s = float(t_s[onset])
    around_s = np.array([start_s - REACH_S, start_s + REACH_S])
    was, now = held_at(load.t_s, load.amount, around_s)
    values = {"step_v": step_v, "limit_v": limit_v, "before_v": before_v, "after_v": after_v}
    if load.amperes:
        values |= {"current_change_a": float(now - was), "current_spread_a": change}
    if volts.cells:
        values["cell_step_v"] = step_v / volts.cells
    end_s = float(t_s[min(onset + 1, t_s.size - 1)])
    channels = (*volts.channels, *load.channels)
    return Event(EventKind.VOLT_STEP, start_s, end_s, channels, STEP_SHARE.key, values)
