"""What of a fit carries over to a flight: all of it from the air; from the ground only what is worse than predicted.

A weak transmitter, a torn antenna or a bad plug is as weak in the air. What stands between, counted on foot, is partly
the ground's: grass, people, cars, and the ground's own echo, all of which a flight leaves below. It is still kept where
it takes, as nobody measured that the air is better; and never kept where it gives, as an echo from the ground that
adds to the level at hand height may take from it higher up.
"""

from __future__ import annotations

from dataclasses import dataclass

from turnback.records.finding import Spread
from turnback.records.walk import WalkFit, WalkMode
from turnback.rules.typical import typical
from turnback.rules.walk import SPREAD_MOST


@dataclass(frozen=True, slots=True)
class CarriedOver:
    """What a brief at this site is corrected by. See `WalkFit` for the meaning of each."""

    offset_db: Spread
    excess_exponent: Spread
    sigma_ratio: Spread
    reference_m: float
    walked_m: float


def carried_over(fit: WalkFit) -> CarriedOver:
    """Return the bands to keep with the site.

    From a walk on foot, offset and exponent below nought are nought, and sigma is not below the model's. From a flight
    all is kept, but for a sigma that a short calm flight made too small. No sigma is kept beyond twice the model's.

    Parameters
    ----------
    fit : WalkFit

    Returns
    -------
    CarriedOver
        Medians and ends keep their meaning: what is done to them is done to every world alike.
    """
    on_foot = fit.mode is WalkMode.ON_FOOT
    least_ratio = 1.0 if on_foot else typical("walk")["least_sigma_share"].value
    return CarriedOver(
        offset_db=_at_least(fit.offset_db, 0.0) if on_foot else fit.offset_db,
        excess_exponent=_at_least(fit.excess_exponent, 0.0) if on_foot else fit.excess_exponent,
        sigma_ratio=_at_most(_at_least(fit.sigma_ratio, least_ratio), SPREAD_MOST.value),
        reference_m=fit.reference_m,
        walked_m=fit.walked_m,
    )


def _at_least(values: Spread, least: float) -> Spread:
    return Spread(max(values.mid, least), max(values.low, least), max(values.high, least))


def _at_most(values: Spread, most: float) -> Spread:
    return Spread(min(values.mid, most), min(values.low, most), min(values.high, most))
