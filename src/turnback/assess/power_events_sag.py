"""The largest drop of loaded volts below the volts that the pack would have at rest."""

from __future__ import annotations

from typing import Final

import numpy as np

from turnback.assess.link_events_parts import Span, inside, no_channel
from turnback.assess.power_events_fit import Load, RestFit, even_means
from turnback.assess.power_events_volts import Volts
from turnback.assess.signals import rows_between, spans_where
from turnback.records.channel import Quantity
from turnback.records.happened import Event, EventKind, Happened, NotTold, WhyNot
from turnback.rules.record_power import FIT_LEAST_S, SAG_LEAST_S, SAG_SHARE

FINE_HZ: Final = 50.0
BRIDGE_S: Final = 0.5
REACH_S: Final = 0.2


def find_sag(volts: Volts, load: Load | None, fit: RestFit | None, looked: tuple[Span, ...], unfit: WhyNot) -> Happened:
    """Find the deepest sag, if it is more than a sound pack has: by the lower of the rest volts the record allows.

    Parameters
    ----------
    volts : Volts
    load : Load or None
    fit : RestFit or None
    looked : tuple of (start, end)
    unfit : WhyNot
        Why there is no fit, where there is none.
    """
    if load is None:
        return Happened((), (no_channel(EventKind.SAG, Quantity.CURRENT, Quantity.THROTTLE),))
    if fit is None:
        return Happened((), (NotTold(EventKind.SAG, unfit, load.channels, {"needed_s": FIT_LEAST_S.value}),))
    step_s = max(1.0 / FINE_HZ, 1.0 / max(volts.rate_hz, 1e-3))
    grid_s = np.arange(fit.t_s[0], fit.t_s[-1], step_s)
    loaded_v = even_means(volts.t_s, volts.volts, grid_s)
    rest_v = np.interp(grid_s, fit.t_s, fit.rest_v)
    share = (rest_v - loaded_v) / rest_v
    spans = spans_where(
        (share > SAG_SHARE.value) & inside(grid_s, looked), grid_s, least_s=SAG_LEAST_S.value, bridge_s=BRIDGE_S
    )
    if not len(spans):
        return Happened()
    first, after = max(spans, key=lambda span: float(share[span[0] : span[1]].max()))
    deepest = first + int(np.argmax(share[first:after]))
    start_s = _onset_s(volts, fit, float(grid_s[first]))
    end_s = float(grid_s[min(after, grid_s.size - 1)])
    sag_v = float(rest_v[deepest] - loaded_v[deepest])
    values = {
        "sag_v": sag_v,
        "rest_v": float(rest_v[deepest]),
        "rest_high_v": float(np.interp(grid_s[deepest], fit.t_s, fit.rest_high_v)),
        "loaded_v": float(loaded_v[deepest]),
        "limit_share": SAG_SHARE.value,
        "times": float(len(spans)),
    }
    cells = volts.cells
    if cells:
        values["cell_sag_v"] = sag_v / cells
    if load.amperes:
        values |= {"resistance_ohm": fit.resistance_ohm, "resistance_half_width_ohm": fit.half_width_ohm}
        values["current_a"] = float(np.interp(grid_s[deepest], fit.t_s, fit.load))
        if cells:
            values |= {"cell_resistance_ohm": fit.resistance_ohm / cells}
    channels = (*volts.channels, *load.channels)
    return Happened((Event(EventKind.SAG, start_s, max(end_s, start_s), channels, SAG_SHARE.key, values),))


def _onset_s(volts: Volts, fit: RestFit, near_s: float) -> float:
    """Return the time of the first row, at the full rate, that lies under the limit."""
    rows = rows_between(volts.t_s, near_s - REACH_S, near_s + REACH_S)
    t_s = volts.t_s[rows]
    below = np.flatnonzero(volts.volts[rows] < (1.0 - SAG_SHARE.value) * np.interp(t_s, fit.t_s, fit.rest_v))
    return float(t_s[below[0]]) if below.size else near_s
