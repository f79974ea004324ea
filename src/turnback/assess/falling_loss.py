"""What the set radio-loss action makes of a lost control link: how long, how far, how fast, with what energy."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.consumption import hover_and_cruise_w
from turnback.assess.falling_worlds import FallWorlds
from turnback.assess.flight_energy import Craft, start_soc
from turnback.assess.spreads import spread
from turnback.assess.track import Track
from turnback.physics.fall import kinetic_energy_j
from turnback.physics.wind import ground_speed_mps
from turnback.records.aircraft import RadioLossAction
from turnback.records.fall import FallPlace
from turnback.records.finding import Spread
from turnback.records.result import EnergyResult

Array = NDArray[np.float64]

LAYERS = 16  # heights that the wind is averaged over, from flight height to the ground
MOST_SPEED_MPS = 380.0
MOST_S = 1e6  # stands for never among numbers that are sorted


@dataclass(frozen=True, slots=True)
class Loss:
    """From the loss of the control link on, at the worst place."""

    time_s: Spread
    away_m: Spread
    speed_mps: Spread
    energy_j: Spread


@dataclass(frozen=True, slots=True)
class _Lost:
    """What every action is worked out from."""

    craft: Craft
    worlds: FallWorlds
    track: Track
    highest_m: float
    """Greatest height of the route above the ground."""
    places: Sequence[FallPlace]
    fall_mps: Array
    """Speed at the ground of the fall of greatest energy, shape ``(n,)``."""
    energy: EnergyResult


def after_loss(
    craft: Craft,
    worlds: FallWorlds,
    track: Track,
    highest_m: float,
    places: Sequence[FallPlace],
    fall_mps: Array,
    energy: EnergyResult,
) -> Loss:
    """Return what the set action makes of it. An action that is not known counts as the one that goes farthest."""
    return ACTIONS[craft.draws.world.aircraft.action](_Lost(craft, worlds, track, highest_m, places, fall_mps, energy))


def _falls(lost: _Lost) -> Loss:
    """Motors stop: the fall, each figure at the place where it is greatest."""
    return Loss(
        max((place.fall_s for place in lost.places), key=_mid),
        max((place.reach_m for place in lost.places), key=_mid),
        max((place.speed_mps for place in lost.places), key=_mid),
        max((place.energy_j for place in lost.places), key=_mid),
    )


def _descends(lost: _Lost) -> Loss:
    """Descend in place, from the greatest height: anything between holding its place and drifting with the wind."""
    worlds = lost.worlds
    seconds = lost.highest_m / worlds.sink_mps
    heights = (np.arange(LAYERS) + 0.5) / LAYERS * lost.highest_m
    drift = worlds.drift_share * worlds.wind_mps()
    speed = np.hypot(worlds.sink_mps, drift * float(worlds.factor(np.array([0.0]))[0]))
    return Loss(
        spread(seconds),
        spread(drift * float(worlds.factor(heights).mean()) * seconds),
        spread(speed),
        spread(kinetic_energy_j(worlds.mass_kg, speed)),
    )


def _flies_on(lost: _Lost) -> Loss:
    """Keep last sticks: until the ground stops it, at once or never soon, or the pack is flat.

    Sticks may stand at anything, full output too: how fast it then meets the ground is bounded by its greatest level
    speed before the wind, or by the speed at which drag carries its weight.
    """
    worlds, craft = lost.worlds, lost.craft
    draws, cells = craft.draws, craft.draws.world.pack.cells
    _, cruise_w = hover_and_cruise_w(draws, craft.thrust, craft.scale)
    joules = start_soc(craft) * draws["pack.capacity_ah"] * 3600.0 * craft.chemistry.nominal_v * cells
    flat_s = np.maximum(joules / cruise_w, lost.energy.time_to_land_by_s.high)[worlds.rows]
    wind = worlds.wind_mps() * float(worlds.factor(np.array([lost.highest_m]))[0])
    away = flat_s * (worlds.airspeed_mps + wind)
    speed = np.maximum(lost.fall_mps, worlds.airspeed_mps + wind)
    most = np.minimum(np.maximum(speed, np.maximum(worlds.terminal_mps(), worlds.level_mps + wind)), MOST_SPEED_MPS)
    meets, worst = spread(speed), spread(most)
    energy, worst_j = (spread(kinetic_energy_j(worlds.mass_kg, each)) for each in (speed, most))
    far = spread(away)
    return Loss(
        Spread(float("inf"), 0.0, float("inf")),
        Spread(far.mid, 0.0, far.high),
        Spread(meets.mid, meets.low, worst.high),
        Spread(energy.mid, energy.low, worst_j.high),
    )


def _returns(lost: _Lost) -> Loss:
    """Automatic return, from the farthest place: home if it works; where it fails, a fall like any other."""
    worlds, track, draws = lost.worlds, lost.track, lost.craft.draws
    planned = np.flatnonzero(track.planned())
    far = planned[int(np.argmax(track.from_launch_m[planned]))]
    away_m = float(track.from_launch_m[far])
    band = draws.world.aircraft.return_height_m
    height_m = lost.highest_m if band is None else max(band.value, lost.highest_m)
    wind = float(worlds.factor(np.array([height_m]))[0])
    east, north = (-track.x_m[far] / max(away_m, 1.0), -track.y_m[far] / max(away_m, 1.0))
    along = wind * (worlds.wind_east_mps * east + worlds.wind_north_mps * north)
    cross = wind * (worlds.wind_north_mps * east - worlds.wind_east_mps * north)
    ground = ground_speed_mps(
        draws["aircraft.return_mps"][worlds.rows], along.clip(-99.0, 99.0), cross.clip(-99.0, 99.0)
    )
    beaten = ground > 0.0  # not a number where it is not
    seconds = np.where(beaten, away_m / np.where(beaten, ground, 1.0), MOST_S)
    fallen = _falls(lost)
    return Loss(_or_never(spread(seconds)), Spread(away_m, 0.0, away_m), fallen.speed_mps, fallen.energy_j)


ACTIONS: Final[dict[RadioLossAction, Callable[[_Lost], Loss]]] = {
    RadioLossAction.MOTORS_STOP: _falls,
    RadioLossAction.DESCEND_IN_PLACE: _descends,
    RadioLossAction.KEEP_LAST_STICKS: _flies_on,
    RadioLossAction.AUTOMATIC_RETURN: _returns,
    RadioLossAction.UNKNOWN: _flies_on,
}


def _or_never(seconds: Spread) -> Spread:
    """Say infinite where the wind is not beaten."""
    low, mid, high = (end if end < MOST_S / 2.0 else float("inf") for end in (seconds.low, seconds.mid, seconds.high))
    return Spread(mid, low, high)


def _mid(value: Spread) -> float:
    return value.mid
