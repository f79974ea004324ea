"""The plan's radio along a record: levels at both ends over the plan's ground, and what ruled where the link went."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.against_power import chance_z
from turnback.assess.against_track import Stations, means
from turnback.assess.draw_set import DrawSet
from turnback.assess.reception import (
    CANOPIES_M,
    TO_AIRCRAFT,
    TO_GROUND,
    direction_levels_db,
    limit_dbm,
    loss_and_sigma_db,
    pattern_of_elevation_db,
)
from turnback.assess.spreads import bands_along, spread
from turnback.base.constants import EFFECTIVE_EARTH_RADIUS_KM
from turnback.physics.rays import RaySet, ray_losses
from turnback.physics.terrain_grid import TerrainGrid
from turnback.records.case import Case
from turnback.records.channel import Quantity
from turnback.records.debrief import AtLoss, Compare, Compared
from turnback.records.finding import Spread
from turnback.records.flight_record import FlightRecord
from turnback.records.happened import Event, EventKind
from turnback.rules.record_learn import RECORDED_LEAST
from turnback.rules.typical import typical

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

LOSSES: Final = (EventKind.LINK_LOST, EventKind.RADIO_LOSS_ACTION, EventKind.ENDS_ALOFT)
"""Where the link was lost, by what tells it best."""
LINK_ENDS: Final = frozenset({EventKind.LINK_LOST, EventKind.CHANNELS_FROZEN, EventKind.RADIO_LOSS_ACTION})
LEAST_ABOVE_GROUND_M: Final = 0.5
ENDS: Final = (
    (Compare.LEVEL, Quantity.LINK_LEVEL, TO_AIRCRAFT, "aircraft"),
    (Compare.LEVEL_BACK, Quantity.LINK_LEVEL_BACK, TO_GROUND, "ground"),
)


@dataclass(frozen=True, slots=True, eq=False)
class RadioSeen:
    """The control link at the stations whose ground is known.

    Parameters
    ----------
    rows : ndarray of int, shape (m,)
        Which stations.
    rays : RaySet
    margin_db : mapping of way to ndarray, shape (j, m)
    sigma_db : ndarray, shape (j, m)
    """

    rows: NDArray[np.intp]
    rays: RaySet
    margin_db: dict[str, Floats]
    sigma_db: Floats


def radio_seen(case: Case, ground: TerrainGrid, draws: DrawSet, at: Stations) -> RadioSeen | None:
    """Return the model's margin of the control link at every station; None where none has a place on the ground."""
    rows = np.flatnonzero(at.placed) if at.on_site else np.empty(0, np.intp)
    if rows.size:
        rows = rows[case.terrain.covers(at.x_m[rows], at.y_m[rows])]
    if not rows.size:
        return None
    link = draws.world.control
    x_m, y_m = at.x_m[rows], at.y_m[rows]
    under_m = case.terrain.ground_m(x_m, y_m)
    rays = ray_losses(
        ground, draws.world.site.antenna_height_m.value, x_m, y_m,
        np.maximum(at.height_m[rows] + case.launch_height_m, under_m + LEAST_ABOVE_GROUND_M),
        np.array([link.frequency_mhz]), canopy_height_m=CANOPIES_M,
    )  # fmt: skip
    loss_db, sigma_db = loss_and_sigma_db(draws, rays, 0, link)
    taken_db = pattern_of_elevation_db(link, np.nan_to_num(rays.elevation_rad)) + loss_db
    ways = {way: level[:, None] - taken_db for way, level in direction_levels_db(draws, link).items()}
    return RadioSeen(rows, rays, ways, sigma_db)


def compared_levels(
    record: FlightRecord, events: tuple[Event, ...], radio: RadioSeen, draws: DrawSet, at: Stations
) -> list[Compared]:
    """Hold levels against the model, each end by itself: what a level is after the link went is not looked at.

    The band holds shadowing beside the plan's unknowns; the residual only what is left of it over the way flown.
    """
    found = []
    until_s = min((each.start_s for each in events if each.kind in LINK_ENDS), default=np.inf)
    for what, quantity, way, end in ENDS:
        series = record.get(quantity)
        if series is None or series.t_s.size < 2 or way not in radio.margin_db:
            continue
        recorded = means(series, at.t_s)
        counts = np.isfinite(recorded[radio.rows]) & at.flying[radio.rows] & (at.t_s[radio.rows] < until_s)
        if counts.sum() < RECORDED_LEAST.value:
            continue
        level_dbm = radio.margin_db[way] + limit_dbm(draws, draws.world.control, end)[:, None]
        level_dbm = level_dbm + _set_power_db(record, draws, at, radio.rows) if way == TO_AIRCRAFT else level_dbm
        found.append(_held(what, at, recorded, level_dbm, radio, counts))
    return found


def _set_power_db(record: FlightRecord, draws: DrawSet, at: Stations, rows: NDArray[np.intp]) -> Floats:
    """Return by how much the recorded transmit power lies above the plan's, shape ``(m,)``; nought where none is."""
    power, band = record.get(Quantity.TRANSMIT_POWER), draws.world.control.ground_power_dbm
    if power is None or power.t_s.size < 2 or band is None:
        return np.zeros(rows.size)
    watts = means(power, at.t_s)[rows]
    with np.errstate(invalid="ignore", divide="ignore"):
        above_db = 10.0 * np.log10(watts * 1e3) - band.value
    return np.where(np.isfinite(above_db), above_db, 0.0)


def _held(
    what: Compare, at: Stations, recorded: Floats, level_dbm: Floats, radio: RadioSeen, counts: Bools
) -> Compared:
    predicted, low, high = (np.full(at.t_s.size, np.nan) for _ in range(3))
    shadow_db = radio.sigma_db * chance_z(level_dbm.shape[0], "against.shadow")[:, None]
    predicted[radio.rows] = np.median(level_dbm, axis=0)
    _, low[radio.rows], high[radio.rows] = bands_along(level_dbm + shadow_db)
    off = np.median(recorded[radio.rows][None, counts] - level_dbm[:, counts], axis=1)
    off = off + np.median(shadow_db[:, counts], axis=1) / np.sqrt(_independent(at, radio.rows[counts]))
    return Compared(what, "dBm", at.t_s, recorded, predicted, low, high, spread(off))


def _independent(at: Stations, rows: NDArray[np.intp]) -> float:
    """Return how many independent places of shadowing a way passes: its extent over the distance that repeats itself.

    Flying up and down one line passes the same places again, so the span counts, not the way.
    """
    span_m = float(np.hypot(np.ptp(at.x_m[rows]), np.ptp(at.y_m[rows])))
    return max(1.0, span_m / (2.0 * typical("walk")["correlation_m"].value))


def margin_spread(radio: RadioSeen, rows: Bools) -> Spread | None:
    """Return the least margin over some stations, the weaker way counting; None without any."""
    if not rows.any():
        return None
    margin_db = np.minimum.reduce(list(radio.margin_db.values()))
    return spread(margin_db[:, rows].min(axis=1))


def lost_at_s(events: tuple[Event, ...]) -> float | None:
    """Return when the link was lost, or where a record that ends in the air ends; None where neither is told."""
    for kind in LOSSES:
        times = [each.start_s for each in events if each.kind is kind]
        if times:
            return min(times)
    return None


def at_loss(case: Case, ground: TerrainGrid, draws: DrawSet, at: Stations, lost_s: float | None) -> AtLoss | None:
    """Return the control link at the moment it was lost; None where that has no place on the plan's ground.

    Notes
    -----
    Clearance is of the straight line between the antennas over an earth of 8500 km radius (ITU-R P.526, section 4.5):
    below zero it runs through the ground.
    """
    placed = np.flatnonzero(at.placed)
    if lost_s is None or not placed.size or not at.on_site:
        return None
    if float(np.min(np.abs(at.t_s[placed] - lost_s))) > max(2.0, 2.0 * at.step_s):
        return None
    here = np.array([lost_s])
    x_m, y_m, height_m = (np.interp(here, at.t_s[placed], each[placed]) for each in (at.x_m, at.y_m, at.height_m))
    one = replace(at, t_s=here, x_m=x_m, y_m=y_m, height_m=height_m)
    radio = radio_seen(case, ground, draws, one)
    if radio is None:
        return None
    clearance_m, obstacle_m, top_m = _clearance(case, draws, radio.rays, x_m, y_m, height_m)
    margin = margin_spread(radio, np.ones(1, np.bool_))
    return (
        None
        if margin is None
        else AtLoss(
            t_s=lost_s,
            distance_m=float(np.hypot(x_m[0], y_m[0])),
            bearing_deg=float(np.degrees(np.arctan2(x_m[0], y_m[0])) % 360.0),
            height_m=float(height_m[0]),
            clearance_m=clearance_m,
            obstacle_from_launch_m=obstacle_m,
            obstacle_height_m=top_m,
            margin_db=margin,
            line_of_sight=bool(radio.rays.line_of_sight[0]),
        )
    )


def _clearance(
    case: Case, draws: DrawSet, rays: RaySet, x_m: Floats, y_m: Floats, height_m: Floats
) -> tuple[float, float, float]:
    """Return clearance over the ruling obstacle, its distance, and its height above the launch point; NaN overhead."""
    from_m, top_m = float(rays.obstacle_km[0]) * 1e3, float(rays.obstacle_height_m[0])
    away_m = float(np.hypot(x_m[0], y_m[0]))
    if not np.isfinite(from_m) or away_m <= 0.0:
        return float("nan"), float("nan"), float("nan")
    start_m = float(case.terrain.ground_m(0.0, 0.0)) + draws.world.site.antenna_height_m.value
    end_m = max(float(height_m[0]) + case.launch_height_m, float(case.terrain.ground_m(x_m[0], y_m[0])))
    share = from_m / away_m
    bulge_m = from_m * (away_m - from_m) / (2.0 * EFFECTIVE_EARTH_RADIUS_KM * 1e3)
    line_m = start_m + share * (end_m - start_m) - bulge_m
    return line_m - top_m, from_m, top_m - case.launch_height_m
