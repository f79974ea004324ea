"""How far each link holds on every bearing of a rose: all rays cast at once, by the numbers of a brief."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from turnback.assess.draw_set import DrawSet
from turnback.assess.reception import cast_rays, reach_of, score_of
from turnback.assess.track import Track
from turnback.physics.terrain_grid import TerrainGrid

Array = NDArray[np.float64]


def link_reaches_m(ground: TerrainGrid, draws: DrawSet, tracks: list[Track], launch_m: float) -> dict[str, Array]:
    """Return, for each link by name, the distance to which it holds, shape ``(b, j)``: bearings by draws.

    Parameters
    ----------
    ground : TerrainGrid
    draws : DrawSet
        Of ``j`` draws.
    tracks : list of Track
        Straight out, one for each of the ``b`` bearings; only their way out is looked at.
    launch_m : float
        Ground at the launch point, above sea level.
    """
    world = draws.world
    links = [world.control] if world.video is None else [world.control, world.video]
    outward = [_outward(track) for track in tracks]
    rays = cast_rays(ground, draws, _joined(outward), launch_m, links)
    edges = np.cumsum([0, *(track.x_m.size for track in outward)])
    reaches = {}
    for which, link in enumerate(links):
        score = score_of(draws, rays, which, link)
        each = [reach_of(score[:, edges[i] : edges[i + 1]], track) for i, track in enumerate(outward)]
        reaches[link.name] = np.stack(each)
    return reaches


def _outward(track: Track) -> Track:
    out = track.outbound()
    return replace(
        track,
        x_m=track.x_m[out], y_m=track.y_m[out], height_m=track.height_m[out], ground_m=track.ground_m[out],
        along_m=track.along_m[out], from_launch_m=track.from_launch_m[out], phase=track.phase[out],
    )  # fmt: skip


def _joined(tracks: list[Track]) -> Track:
    """Return the stations of several tracks as one list of places: good for rays, not to be flown."""
    return Track(
        x_m=np.concatenate([track.x_m for track in tracks]),
        y_m=np.concatenate([track.y_m for track in tracks]),
        height_m=np.concatenate([track.height_m for track in tracks]),
        ground_m=np.concatenate([track.ground_m for track in tracks]),
        along_m=np.concatenate([track.along_m for track in tracks]),
        from_launch_m=np.concatenate([track.from_launch_m for track in tracks]),
        phase=np.concatenate([track.phase for track in tracks]),
        hover_s=0.0,
        straight=False,
        covered=all(track.covered for track in tracks),
    )
