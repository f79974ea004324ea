"""What the charger's mAh say about a pack's capacity: never less than was put back, and how much where it rested after.

The charger brings the pack from where the last flight left it to full. What left the pack is known from the charger's
meter but for a few per cent; the rest volts after the flight say how far down that was, as well as packs keep to their
chemistry's curve.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from turnback.assess.bands import entered
from turnback.assess.draws import Z_BAND
from turnback.assess.spreads import spread
from turnback.physics.normal import normal_cdf, normal_quantile
from turnback.records.finding import Spread
from turnback.records.plan import LastFlight
from turnback.rules.chemistry import Chemistry
from turnback.rules.typical import Typical, typical

Array = NDArray[np.float64]

NODES = 9  # equal shares of each thing that is not known of the charge
LEAST_DRAINED_SHARE = 0.02  # a pack that rests full after a flight tells nothing


def _equal_shares(row: Typical) -> Array:
    """Return values at the middles of equal shares of a band: two half-normals that meet at its value."""
    z = normal_quantile((np.arange(NODES) + 0.5) / NODES) / Z_BAND
    return row.value + z * np.where(z > 0.0, row.high - row.value, row.value - row.low)


def _out_ah(last: LastFlight) -> Array:
    """Return what left the pack, at equal shares of what is not known of the charger, shape ``(k,)``."""
    return last.charger_mah * 1e-3 * _equal_shares(typical("care")["charger_share"])


def _volts_sd() -> float:
    return float(np.hypot(typical("care")["rest_curve_v"].value, entered("rest_v").width / Z_BAND))


def capacity_score(capacity_ah: Array, last: LastFlight, chemistry: Chemistry) -> Array:
    """Return how well each capacity fits what the charger put back: a log likelihood, shape ``(j,)``.

    Without rest volts after the flight only what is too small does not fit.
    """
    full = _equal_shares(typical("care")["charged_share"])
    left_soc = full - _out_ah(last)[:, None] / capacity_ah[:, None, None]  # (j, k, f)
    if last.rest_v_after_per_cell is None:
        steepness = 0.01  # an edge one per cent of the pack wide: a sampled step would jump
        return _log_mean(normal_cdf(left_soc / steepness))
    misfit = (last.rest_v_after_per_cell - _rest_v(left_soc, chemistry)) / _volts_sd()
    return _log_mean(np.exp(-0.5 * misfit**2))


def _log_mean(likelihood: Array) -> Array:
    return np.asarray(np.log(np.maximum(likelihood.mean(axis=(1, 2)), 1e-300)))


def _rest_v(soc: Array, chemistry: Chemistry) -> Array:
    """Return rest volts, the steep foot of the curve carried on below empty."""
    foot = (chemistry.ocv_v[1] - chemistry.ocv_v[0]) / (chemistry.ocv_soc[1] - chemistry.ocv_soc[0])
    return np.asarray(np.interp(soc, chemistry.ocv_soc, chemistry.ocv_v) + foot * np.minimum(soc, 0.0))


def measured_capacity_ah(last: LastFlight | None, chemistry: Chemistry) -> Array | None:
    """Return the capacities that the last flight alone speaks for, in equal shares, ascending; None where it does not.

    Notes
    -----
    Capacity = what left the pack / (charge when full - charge at the rest volts after the flight).
    """
    if last is None or last.rest_v_after_per_cell is None:
        return None
    volts = last.rest_v_after_per_cell + _volts_sd() * normal_quantile((np.arange(NODES) + 0.5) / NODES)
    after = np.interp(volts, chemistry.ocv_v, chemistry.ocv_soc)
    drained = _equal_shares(typical("care")["charged_share"])[:, None] - after
    if drained.min() < LEAST_DRAINED_SHARE:
        return None
    return np.sort((_out_ah(last)[:, None, None] / drained).ravel())


def least_capacity_ah(last: LastFlight | None) -> float | None:
    """Return what the pack holds at least, by the charger's mAh, at the unfavourable end; None with no flight."""
    return None if last is None else spread(_out_ah(last)).low


def measured_spread(last: LastFlight | None, chemistry: Chemistry) -> Spread | None:
    """Return the capacity by the last flight alone, with its ends."""
    measured = measured_capacity_ah(last, chemistry)
    return None if measured is None else spread(measured)


def replaced_by(capacity_ah: Array, measured_ah: Array) -> Array:
    """Return measured capacities in the order of the drawn ones: the smallest stays the smallest."""
    rank = np.argsort(np.argsort(capacity_ah, kind="stable"), kind="stable")
    return np.asarray(np.quantile(measured_ah, (rank + 0.5) / capacity_ah.size))
