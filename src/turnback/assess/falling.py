"""Where it comes down, and how hard, if the motors stop at any part of the route."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from turnback.assess.falling_loss import after_loss
from turnback.assess.falling_people import Fallen, names, near, with_areas
from turnback.assess.falling_ring import ring
from turnback.assess.falling_worlds import (
    MOST_MPS,
    FallWorlds,
    Headings,
    fall_worlds,
    headings,
    velocity_mps,
)
from turnback.assess.flight_energy import Craft
from turnback.assess.judge import found
from turnback.assess.spreads import bands_along, spread
from turnback.assess.track import Phase, Track
from turnback.physics.fall import HIGHEST_FALL_M, fall_to_ground, kinetic_energy_j
from turnback.physics.terrain_grid import TerrainGrid
from turnback.records.areas import PeopleAreas
from turnback.records.fall import EnergyThreshold, FallPlace, FallResult
from turnback.records.finding import Finding, Severity, Spread
from turnback.records.result import EnergyResult
from turnback.records.terrain import Terrain
from turnback.rules.falling import FALL_AREA, FALL_AREA_NEAR, FALL_ENERGY, PUBLISHED

Array = NDArray[np.float64]

PLACES_OUT = 9
PLACES_HOME = 8
MOST_TERMINAL_MPS = 4.0 * 95.0
STEP_SHARE = 0.15  # of the fall's shortest time scale: 1e-4 of the answer
AROUND_M = 300.0
AROUND_RATIO = 6.0  # of the height: the ground that a fall can reach


def falls(
    craft: Craft,
    track: Track,
    terrain: Terrain,
    launch_ground_m: float,
    areas: PeopleAreas | None,
    energy: EnergyResult,
) -> FallResult:
    """Return the falls along the planned route, over the real ground, in every world.

    Parameters
    ----------
    craft : Craft
        The draws.
    track : Track
        The route's stations.
    terrain : Terrain
        What it falls onto.
    launch_ground_m : float
        Ground at the launch point, above sea level.
    areas : PeopleAreas or None
        None where the plan names no file of them.
    energy : EnergyResult
        How long the pack lasts, for an aircraft that flies on.
    """
    worlds, way = fall_worlds(craft), headings(track)
    above = (track.height_m + launch_ground_m - terrain.ground_m(track.x_m, track.y_m))[way.stations]
    above = np.clip(above, 0.0, HIGHEST_FALL_M)
    ground = _ground_around(terrain, track, way, float(above.max()))
    chosen = _chosen(track, way)
    fallen = _falls_from(worlds, track, way, chosen, above, ground)
    if areas is not None and areas.areas:
        x_m, y_m = track.x_m[way.stations], track.y_m[way.stations]
        more = np.setdiff1d(near(areas, x_m, y_m, fallen, straight=track.straight), chosen)
        both = [*fallen, *_falls_from(worlds, track, way, more, above, ground)]
        fallen = with_areas([both[k] for k in np.argsort(np.concatenate([chosen, more]), kind="stable")], areas)
    places = tuple(each.place for each in fallen)
    worst = int(np.argmax([place.energy_j.mid for place in places]))
    loss = after_loss(craft, worlds, track, float(above.max()), places, fallen[worst].speed_mps, energy)
    return FallResult(
        action=craft.draws.world.aircraft.action,
        places=places,
        worst=worst,
        meets=names(areas, places),
        areas_given=areas is not None,
        after_loss_s=loss.time_s,
        after_loss_m=loss.away_m,
        after_loss_speed_mps=loss.speed_mps,
        after_loss_energy_j=loss.energy_j,
        terminal_mps=spread(worlds.terminal_mps()),
        mass_kg=spread(worlds.mass_kg),
        thresholds=_thresholds(worlds, places[worst]),
    )


def fall_findings(fall: FallResult) -> list[Finding]:
    """Return a stop where a fall can end among people, and what the worst fall brings to the ground, as a note."""
    worst = fall.places[fall.worst]
    given = {"from_m": worst.from_launch_m, "above_ground_m": worst.above_ground_m, "speed_mps": worst.speed_mps.mid}
    note = found(FALL_ENERGY, Severity.NOTE, worst.energy_j, evidence=given)
    findings = [replace(note, limit=None)]
    if fall.meets:
        place = max(fall.places, key=lambda each: (each.share_in_areas, bool(each.areas)))
        first = (place.areas or fall.meets)[0] or "unnamed"
        evidence: dict[str, float | str] = {
            "fall_areas": float(len(fall.meets)), "first": first, "from_m": place.from_launch_m,
            "share": place.share_in_areas,
        }  # fmt: skip
        findings.insert(0, found(FALL_AREA, Severity.STOP, evidence=evidence))
    elif max(place.share_in_areas for place in fall.places) > FALL_AREA_NEAR.value:
        findings.insert(0, found(FALL_AREA_NEAR, Severity.LIMIT))
    return findings


def _chosen(track: Track, way: Headings) -> NDArray[np.int64]:
    """Return some of the planned stations: way out with far end, way home; nothing twice."""
    picked = []
    for phase, most in ((Phase.OUT, PLACES_OUT), (Phase.HOME, PLACES_HOME)):
        rows = np.flatnonzero(track.phase[way.stations] == phase)
        if rows.size:
            some = rows[np.unique(np.linspace(0, rows.size - 1, min(most, rows.size)).round().astype(np.int64))]
            at = way.stations[some]
            place = np.column_stack([track.x_m[at], track.y_m[at], track.height_m[at]]).round(3)
            picked.append(some[np.sort(np.unique(place, axis=0, return_index=True)[1])])
    return np.concatenate(picked)


def _ground_around(terrain: Terrain, track: Track, way: Headings, highest_m: float) -> TerrainGrid:
    """Return the ground that falls can reach, cut out of the terrain: a large one is not copied whole."""
    margin = AROUND_M + AROUND_RATIO * highest_m
    x, y = track.x_m[way.stations], track.y_m[way.stations]
    rows, columns = terrain.heights_m.shape

    def cells(low: float, high: float, count: int) -> tuple[int, int]:
        first = int(np.clip(np.floor(low / terrain.cell_m), 0, count - 2))
        return first, int(np.clip(np.ceil(high / terrain.cell_m), first + 1, count - 1)) + 1

    left, right = cells(x.min() - margin - terrain.x_west_m, x.max() + margin - terrain.x_west_m, columns)
    top, bottom = cells(terrain.y_north_m - y.max() - margin, terrain.y_north_m - y.min() + margin, rows)
    heights = np.array(terrain.heights_m[top:bottom, left:right], order="C")
    west, north = terrain.x_west_m + left * terrain.cell_m, terrain.y_north_m - top * terrain.cell_m
    return TerrainGrid(heights, west, north, terrain.cell_m)


def _falls_from(
    worlds: FallWorlds, track: Track, way: Headings, chosen: NDArray[np.int64], above: Array, ground: TerrainGrid
) -> list[Fallen]:
    if not chosen.size:
        return []
    at, above_m = way.stations[chosen], above[chosen]
    east, north, up = velocity_mps(worlds, way, chosen, above_m)
    fall = fall_to_ground(
        worlds.mass_kg,
        worlds.drag_area_m2,
        worlds.density_kg_m3,
        above_m[:, None],
        east,
        north,
        up,
        np.clip(worlds.wind_east_mps + worlds.gust_east_mps, -MOST_MPS, MOST_MPS),
        np.clip(worlds.wind_north_mps + worlds.gust_north_mps, -MOST_MPS, MOST_MPS),
        worlds.roughness_m,
        track.x_m[at][:, None],
        track.y_m[at][:, None],
        ground,
        STEP_SHARE,
    )
    reach = np.hypot(fall.x_m - track.x_m[at][:, None], fall.y_m - track.y_m[at][:, None])
    energy = kinetic_energy_j(worlds.mass_kg, fall.speed_mps)
    reach_m, fall_s, speed_mps, energy_j = (_spreads(each) for each in (reach, fall.fall_s, fall.speed_mps, energy))
    middle_x, middle_y = np.median(fall.x_m, axis=1), np.median(fall.y_m, axis=1)
    fallen = []
    for k, station in enumerate(at):
        x, y = fall.x_m[k], fall.y_m[k]
        outline = ring(x, y, float(middle_x[k]), float(middle_y[k]))
        place = FallPlace(
            along_m=float(track.along_m[station]),
            from_launch_m=float(track.from_launch_m[station]),
            x_m=float(track.x_m[station]),
            y_m=float(track.y_m[station]),
            above_ground_m=float(above_m[k]),
            homeward=bool(track.phase[station] == Phase.HOME),
            centre_x_m=float(middle_x[k]),
            centre_y_m=float(middle_y[k]),
            ring_x_m=outline[0],
            ring_y_m=outline[1],
            reach_m=reach_m[k],
            fall_s=fall_s[k],
            speed_mps=speed_mps[k],
            energy_j=energy_j[k],
            areas=(),
            share_in_areas=0.0,
        )
        fallen.append(Fallen(place, x, y, fall.speed_mps[k]))
    return fallen


def _spreads(values: Array) -> list[Spread]:
    """Return the best estimate and the ends of each row."""
    return [Spread(float(mid), float(low), float(high)) for mid, low, high in zip(*bands_along(values.T), strict=True)]


def _thresholds(worlds: FallWorlds, worst: FallPlace) -> tuple[EnergyThreshold, ...]:
    """Return the published thresholds, each beside what its clause is about."""
    at_terminal_j = kinetic_energy_j(worlds.mass_kg, np.minimum(worlds.terminal_mps(), MOST_TERMINAL_MPS))
    own: dict[str, Spread] = {
        "energy.eu_c0_speed": spread(worlds.level_mps),
        "energy.eu_c1_energy": spread(at_terminal_j),
    }
    by_unit = {"kg": spread(worlds.mass_kg), "J": worst.energy_j}
    return tuple(
        EnergyThreshold(
            row.key,
            row.value,
            row.unit,
            own[row.key] if row.key in own else by_unit[row.unit],
            row.clause,
            row.source,
        )
        for row in PUBLISHED
    )
