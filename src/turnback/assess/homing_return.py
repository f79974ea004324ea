"""On which bearings an automatic return beats the wind, by the rule of a brief."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.coming_back import WINDY_Z
from turnback.assess.draw_set import DrawSet
from turnback.assess.spreads import spread
from turnback.physics.wind import FASTEST_MPS, beatable_headwind_mps, ground_speed_mps
from turnback.records.aircraft import RadioLossAction
from turnback.records.common import Answer
from turnback.records.finding import Spread
from turnback.records.world import World
from turnback.rules.chance import BAND_HIGH, BAND_LOW
from turnback.rules.flight import RETURN_HEADWIND

Array = NDArray[np.float64]

AT_ONCE: Final = 2000  # bearings: 4 MB of draws


def rescue_set(world: World) -> bool:
    """True where an automatic return is set at a known height, and was tested on this build."""
    aircraft = world.aircraft
    return (
        aircraft.action is RadioLossAction.AUTOMATIC_RETURN
        and aircraft.return_tested is Answer.YES
        and aircraft.return_height_m is not None
    )


def beats_wind(draws: DrawSet, set_m: float, bearing_rad: Array) -> NDArray[np.bool_]:
    """Return where `coming_back.return_works` finds that a return beats the wind, shape of the bearings.

    Parameters
    ----------
    draws : DrawSet
    set_m : float
        Height of the return above launch.
    bearing_rad : ndarray, shape (n,)
        Outward, clockwise from north.
    """
    beatable = spread(beatable_headwind_mps(draws["aircraft.return_mps"], RETURN_HEADWIND.value))
    if beatable.low <= 0.0:
        return np.zeros(bearing_rad.size, dtype=np.bool_)
    return np.asarray(beatable.low >= _headwind_mps(draws, set_m, bearing_rad, BAND_HIGH.value))


def share_beaten(draws: DrawSet, set_m: float, bearing_rad: Array) -> Spread:
    """Return the share of bearings on which a return beats the wind: at best, as is likely, at the unfavourable end."""
    beatable = spread(beatable_headwind_mps(draws["aircraft.return_mps"], RETURN_HEADWIND.value))
    shares = [
        float((beats >= _headwind_mps(draws, set_m, bearing_rad, at)).mean()) if beats > 0.0 else 0.0
        for beats, at in ((beatable.mid, 0.5), (beatable.low, BAND_HIGH.value), (beatable.high, BAND_LOW.value))
    ]
    return Spread(*shares)


def _headwind_mps(draws: DrawSet, set_m: float, bearing_rad: Array, at: float) -> Array:
    """Return what the wind of one flight in twenty takes from the airspeed straight home, at a quantile of the draws.

    As `coming_back` has it: the headwind, and what holding the line costs; all of it where the line cannot be held.
    """
    wind_mps = draws.wind_mps(np.array([set_m]), np.array([WINDY_Z]))[:, 0, 0][:, None]
    to_east, to_north = (part[:, None] for part in draws.wind_to())
    airspeed = draws["aircraft.return_mps"][:, None]
    found = np.empty(bearing_rad.size)
    for first in range(0, bearing_rad.size, AT_ONCE):
        part = slice(first, first + AT_ONCE)
        east, north = -np.sin(bearing_rad[part]), -np.cos(bearing_rad[part])
        along, cross = wind_mps * (to_east * east + to_north * north), wind_mps * (to_north * east - to_east * north)
        ground = ground_speed_mps(
            airspeed, np.clip(along, -FASTEST_MPS, FASTEST_MPS), np.clip(cross, -FASTEST_MPS, FASTEST_MPS)
        )
        taken = np.where(np.isnan(ground), np.hypot(along, cross), airspeed - ground)
        found[part] = np.quantile(np.maximum(taken, 0.0), at, axis=0)
    return found
