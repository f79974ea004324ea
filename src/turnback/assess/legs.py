"""Cut a flight into legs that energy is spent on, and fly them in every world."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from turnback.assess.track import Phase, Track
from turnback.rules.typical import typical

Array = NDArray[np.float64]

MOST_LEGS_STRAIGHT = 20
MOST_LEGS = 80  # of a track that turns: each leg has one direction to the wind


@dataclass(frozen=True, slots=True)
class Legs:
    """Legs of one flight; arrays have shape ``(s,)``.

    A leg with no length is flown on the spot for `still_s` seconds; a leg with length takes as long as wind allows.
    `climb_m` is gained (or lost) on the leg; `height_m` is its mean height above launch, for the wind.
    """

    length_m: Array
    climb_m: Array
    east: Array
    north: Array
    """Unit vector of the leg's track over ground."""
    height_m: Array
    still_s: Array
    end_along_m: Array
    """Distance flown at the end of each leg."""
    far: int
    """The leg at whose end the aircraft is farthest from the launch point, its look round included."""


def planned_legs(track: Track) -> Legs:
    """Return the legs of the planned flight: up, out, look round, home, down, and a go-around."""
    out, home = track.phase == Phase.OUT, track.phase == Phase.HOME
    turn = _thinned(track, np.flatnonzero(out))
    points = np.concatenate([_points(track, turn), _points(track, _thinned(track, np.flatnonzero(home)))])
    return _legs(points, hover_after=turn.size - 1, hover_s=track.hover_s)


def legs_turning_at(track: Track, station: int) -> Legs:
    """Return the legs of a flight that turns back at a station and flies straight home."""
    way = np.flatnonzero(track.outbound())
    turn = _thinned(track, way[way <= station])
    last = _points(track, turn)[-1]
    share = np.linspace(1.0, 0.0, max(3, min(MOST_LEGS_STRAIGHT // 2, turn.size)))[1:, None]
    flown_m = last[3] + (1.0 - share[:, 0]) * float(np.hypot(last[0], last[1]))
    home = np.column_stack([last[None, :2] * share, np.full(share.size, last[2]), flown_m])
    return _legs(np.concatenate([_points(track, turn), home]), hover_after=turn.size - 1, hover_s=0.0)


def _points(track: Track, rows: NDArray[np.int64]) -> Array:
    """Return place, height and distance flown of some stations, one row each."""
    return np.column_stack([track.x_m[rows], track.y_m[rows], track.height_m[rows], track.along_m[rows]])


def _thinned(track: Track, rows: NDArray[np.int64]) -> NDArray[np.int64]:
    """Keep first, last and some of the stations: power changes slowly along a leg."""
    most = MOST_LEGS_STRAIGHT if track.straight else MOST_LEGS
    if rows.size <= most:
        return rows
    return rows[np.unique(np.linspace(0, rows.size - 1, most).round().astype(np.int64))]


def _legs(points: Array, hover_after: int, hover_s: float) -> Legs:
    style = typical("style")
    pace_mps = style["climb_mps"].value
    steps = np.diff(points, axis=0)
    length = steps[:, 3]  # along the track: between two stations it may turn
    chord = np.hypot(steps[:, 0], steps[:, 1])
    safe = np.where(chord > 0.0, chord, 1.0)
    rise = float(points[0, 2])
    settle = float(points[-1, 2])
    body = np.column_stack(
        [length, steps[:, 2], steps[:, 0] / safe, steps[:, 1] / safe, (points[1:, 2] + points[:-1, 2]) / 2.0,
         np.where(length > 0.0, 0.0, np.abs(steps[:, 2]) / pace_mps)]
    )  # fmt: skip
    up = [0.0, rise, 0.0, 0.0, rise / 2.0, abs(rise) / pace_mps]
    look = [0.0, 0.0, 0.0, 0.0, points[hover_after, 2], hover_s]
    down = [0.0, -settle, 0.0, 0.0, settle / 2.0, abs(settle) / pace_mps]
    around = [0.0, 0.0, 0.0, 0.0, 5.0, style["landing_hover_s"].value]
    rows = np.vstack([up, body[:hover_after], look, body[hover_after:], down, around])
    length_m, climb_m, east, north, height_m, still_s = rows.T
    farthest = int(np.argmax(np.hypot(points[:, 0], points[:, 1])))
    far = farthest + (1 if farthest >= hover_after else 0)
    return Legs(length_m, climb_m, east, north, height_m, still_s, np.cumsum(length_m), far)


@dataclass(frozen=True, slots=True)
class Flown:
    """How each leg is flown in each world; arrays have the worlds' shape plus ``(s,)``."""

    airspeed_mps: Array
    climb_mps: Array
    duration_s: Array
    """Infinite where the wind cannot be beaten."""


def fly(
    legs: Legs, cruise_mps: Array, most_mps: Array, wind_mps: Array, wind_to_east: Array, wind_to_north: Array
) -> Flown:
    """Return airspeed, climb and time of every leg.

    The pilot flies at cruise, and faster (up to the aircraft's greatest level speed) where the wind would leave less
    than the least ground speed. The track is held by crabbing: along-track ground speed is
    ``sqrt(v² - w_cross²) + w_along`` (the wind triangle).

    Parameters
    ----------
    cruise_mps, most_mps : ndarray, worlds' shape
    wind_mps : ndarray, worlds' shape + ``(s,)``
        Wind at each leg's height.
    wind_to_east, wind_to_north : ndarray, worlds' shape
        Unit vector toward which the wind blows.
    """
    least = typical("style")["least_ground_speed_mps"].value
    along = wind_mps * (wind_to_east[..., None] * legs.east + wind_to_north[..., None] * legs.north)
    cross = wind_mps * (wind_to_north[..., None] * legs.east - wind_to_east[..., None] * legs.north)
    needed = np.hypot(np.maximum(least - along, 0.0), cross)
    moving = np.minimum(np.maximum(cruise_mps[..., None], needed), np.maximum(most_mps, cruise_mps)[..., None])
    ground = np.sqrt(np.maximum(moving**2 - cross**2, 0.0)) + along
    beaten = (moving >= np.abs(cross) * (1.0 - 1e-9)) & (ground > 0.5)
    travels = legs.length_m > 0.0
    with np.errstate(divide="ignore", invalid="ignore"):
        travel_s = np.where(beaten, legs.length_m / np.where(beaten, ground, 1.0), np.inf)
    duration = np.where(travels, travel_s, legs.still_s)
    with np.errstate(divide="ignore", invalid="ignore"):
        climb = np.where(duration > 0.0, legs.climb_m / duration, 0.0)
    # On the spot the aircraft flies against the wind to stay there.
    return Flown(np.where(travels, moving, wind_mps), climb, duration)
