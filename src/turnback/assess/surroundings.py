"""The air, the wind and the side view, as a report shows them."""

from __future__ import annotations

import numpy as np

from turnback.assess.coming_back import canopy_m, set_height_m
from turnback.assess.draw_set import DrawSet
from turnback.assess.spreads import spread
from turnback.assess.track import Phase, Track
from turnback.base.constants import ZERO_CELSIUS_K
from turnback.physics.air import density_altitude_m, density_kg_m3, pressure_from_qnh_pa
from turnback.physics.profile import fresnel_radius_m
from turnback.records.result import AirResult, LinkResult, ProfileResult
from turnback.records.terrain import Terrain
from turnback.records.world import World

SIDE_VIEW_POINTS = 240


def air_result(draws: DrawSet, track: Track) -> AirResult:
    """Return air and wind at the launch point, and the wind at the route's greatest height above ground."""
    site = draws.world.site
    pressure_pa = float(pressure_from_qnh_pa(site.qnh_pa.value, site.launch_height_m))
    density = float(density_kg_m3(site.temperature_c.value + ZERO_CELSIUS_K, pressure_pa))
    above_m = float((track.height_m - track.ground_m)[track.planned()].max())
    aloft = draws.wind_mps(np.array([above_m]), np.array([0.0]))[:, 0, 0]
    at_10_m = draws["site.wind_mps"]
    return AirResult(
        density_kg_m3=density,
        density_altitude_m=float(density_altitude_m(density)),
        temperature_c=site.temperature_c.value,
        pressure_hpa=pressure_pa / 100.0,
        wind_mps=spread(at_10_m),
        wind_at_height_mps=spread(aloft),
        wind_from_deg=site.wind_from_deg.value,
        gust_mps=spread(at_10_m * draws["site.gust_factor"]),
    )


def profile_result(terrain: Terrain, world: World, track: Track, link: LinkResult) -> ProfileResult:
    """Return the side view along the straight line from the launch point to the place where a link is weakest."""
    launch_m = world.site.launch_height_m
    x, y = track.x_m[link.worst], track.y_m[link.worst]
    ray_m = max(float(np.hypot(x, y)), 1.0)
    farthest = float(track.from_launch_m[track.planned()].max())
    distance = np.linspace(0.0, max(farthest, ray_m), SIDE_VIEW_POINTS)
    ground = terrain.ground_m(distance / ray_m * x, distance / ray_m * y)
    from_m = np.clip(distance, 1e-3, ray_m - 1e-3)
    radius = fresnel_radius_m(from_m / 1e3, (ray_m - from_m) / 1e3, link.frequency_mhz)
    out = track.phase == Phase.OUT
    return ProfileResult(
        distance_m=distance,
        ground_m=np.asarray(ground),
        canopy_m=canopy_m(world),
        antenna_m=float(terrain.ground_m(0.0, 0.0)) + world.site.antenna_height_m.value,
        aircraft_distance_m=ray_m,
        aircraft_m=float(track.height_m[link.worst]) + launch_m,
        fresnel_radius_m=np.where(distance <= ray_m, radius, 0.0),
        ray_link=link.name,
        return_m=None if world.aircraft.return_height_m is None else set_height_m(world) + launch_m,
        route_distance_m=track.from_launch_m[out],
        route_m=track.height_m[out] + launch_m,
    )
