"""Take out of a brief what tells where it was flown, before any face is made of it.

What is taken out, and what cannot be: ``docs/redacting.md``.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from turnback.records.fall import FallResult
from turnback.records.finding import Finding
from turnback.records.ground_plan import MapResult, RoseResult
from turnback.records.result import AirResult, BriefResult, LinkResult, ProfileResult
from turnback.records.terrain import TerrainNote, TerrainNoteKind
from turnback.report.language import text

HEIGHT_DECIMALS: Final = 3  # the last digits of a difference would tell how large the two heights were
MAP_CELLS_M: Final = (5.0, 10.0, 20.0, 30.0, 50.0, 100.0, 200.0, 500.0, 1000.0)
LEAST_MAP_CELLS: Final = 3
UNNAMED: Final = "unnamed"
AREA: Final = "first"
"""The place of a people area's name in a finding's evidence."""
FILE_FACTS: Final = frozenset({TerrainNoteKind.UNIT_CONVERTED, TerrainNoteKind.SCALED})
"""They say how a file was written, which tells one country's files from another's, and nothing against the heights."""
PIXEL_SIZES: Final = frozenset({TerrainNoteKind.COARSENED, TerrainNoteKind.CELLS_WIDE})

Heights = NDArray[np.float64]
Names = dict[str, str]


def redacted(result: BriefResult) -> BriefResult:
    """Return a brief without names, and with every height counted from the launch point; once is as good as twice.

    Parameters
    ----------
    result : BriefResult
        Its profile begins at the launch point.

    Returns
    -------
    BriefResult
        A new record. Title, terrain file and people areas have general names. Heights are whole millimetres above the
        launch point. Air pressure, density and density altitude, which tell the height of a place, are not a number.
        The map is a grid of a round cell, because the cells of a raster in degrees tell the latitude.
    """
    if result.heights_above == "launch":
        return result
    launch_m = float(result.profile.ground_m[0])
    names = _names(result)
    return replace(
        result,
        title=text("A flight"),
        findings=tuple(_finding(finding, names, launch_m) for finding in result.findings),
        deciding=None if result.deciding is None else _finding(result.deciding, names, launch_m),
        air=_air(result.air),
        control=_link(result.control, launch_m),
        video=None if result.video is None else _link(result.video, launch_m),
        profile=_profile(result.profile, launch_m),
        terrain_source=told_source(assumed=result.terrain_assumed),
        terrain_notes=tuple(told_note(note) for note in result.terrain_notes if note.kind not in FILE_FACTS),
        fall=None if result.fall is None else _fall(result.fall, names),
        rose=None if result.rose is None else _rose(result.rose, launch_m),
        ground_plan=None if result.ground_plan is None else _map(result.ground_plan, names, launch_m),
        heights_above="launch",
    )


def above_launch_m(height_m: Any, launch_m: float) -> Any:
    """Return heights above the launch point, whole millimetres.

    Parameters
    ----------
    height_m : float or ndarray
        Above sea level.
    launch_m : float
        Of the launch point, above sea level.
    """
    return np.round(height_m - launch_m, HEIGHT_DECIMALS) + 0.0  # no minus zero


def _names(result: BriefResult) -> Names:
    """Number the people areas in the order in which the flight, the falls and the map meet them."""
    found: list[str] = [_area_of(finding) for finding in result.findings if AREA in finding.evidence]
    if result.fall is not None:
        found += [*result.fall.meets, *(name for place in result.fall.places for name in place.areas)]
    if result.ground_plan is not None:
        found += [name for name, _ in result.ground_plan.areas]
    alike = dict.fromkeys("" if name == UNNAMED else name for name in found)
    numbered = {name: text("area {number}", number=place) for place, name in enumerate(alike, 1)}
    return {**numbered, UNNAMED: numbered[""]} if "" in numbered else numbered


def _area_of(finding: Finding) -> str:
    return str(finding.evidence[AREA])


def _finding(finding: Finding, names: Names, launch_m: float) -> Finding:
    evidence = dict(finding.evidence)
    if AREA in evidence:
        evidence[AREA] = names[_area_of(finding)]
    height_m = evidence.get("obstacle_height_m")
    if isinstance(height_m, (int, float)) and not finding.rule.startswith("return."):  # those count from launch already
        evidence |= {"obstacle_height_m": float(above_launch_m(height_m, launch_m)), "above": "launch"}
    return replace(finding, evidence=evidence)


def _air(air: AirResult) -> AirResult:
    return replace(air, pressure_hpa=math.nan, density_kg_m3=math.nan, density_altitude_m=math.nan)


def _link(link: LinkResult, launch_m: float) -> LinkResult:
    return replace(link, obstacle_height_m=above_launch_m(link.obstacle_height_m, launch_m))


def _profile(side: ProfileResult, launch_m: float) -> ProfileResult:
    return replace(
        side,
        ground_m=above_launch_m(side.ground_m, launch_m),
        antenna_m=float(above_launch_m(side.antenna_m, launch_m)),
        aircraft_m=float(above_launch_m(side.aircraft_m, launch_m)),
        return_m=None if side.return_m is None else float(above_launch_m(side.return_m, launch_m)),
        route_m=above_launch_m(side.route_m, launch_m),
    )


def told_source(*, assumed: bool) -> str:
    """Return what a terrain is called that may not be named."""
    if assumed:
        return text("flat ground or typed-in ridges")
    return text("a file whose name is left out")


def told_note(note: TerrainNote) -> TerrainNote:
    """Return a note with a number that tells no more than the note needs."""
    if note.kind in PIXEL_SIZES:  # the size of a pixel of some seconds of arc tells the latitude
        step = 10.0 ** math.floor(math.log10(note.value)) if note.value > 0.0 else 1.0
        return replace(note, value=math.floor(note.value / step + 0.5) * step)
    if note.kind is TerrainNoteKind.KNOWN_REACH:  # so would the distance to the edge of a file of whole degrees
        step = 100.0 if note.value >= 1000.0 else 10.0
        return replace(note, value=math.floor(note.value / step) * step)
    if note.kind is TerrainNoteKind.COVER_MISSING:
        return replace(note, value=math.ceil(note.value * 100.0) / 100.0)
    return note


def _fall(fall: FallResult, names: Names) -> FallResult:
    places = tuple(replace(place, areas=_named(place.areas, names)) for place in fall.places)
    return replace(fall, places=places, meets=_named(fall.meets, names))


def _named(areas: Iterable[str], names: Names) -> tuple[str, ...]:
    return tuple(names[name] for name in areas)


def _rose(rose: RoseResult, launch_m: float) -> RoseResult:
    if rose.height_above != "sea level":
        return rose
    return replace(rose, height_m=float(above_launch_m(rose.height_m, launch_m)), height_above="launch")


def _map(ground: MapResult, names: Names, launch_m: float) -> MapResult:
    """Lay the map on a grid of a round cell whose nodes hold the launch point."""
    rows, columns = ground.heights_m.shape
    west_m, north_m = ground.x_west_m, ground.y_north_m
    east_m, south_m = west_m + (columns - 1) * ground.cell_m, north_m - (rows - 1) * ground.cell_m
    cell_m = round_cell_m(ground.cell_m, min(east_m - west_m, north_m - south_m))
    x_m, y_m = nodes(west_m, east_m, cell_m), nodes(south_m, north_m, cell_m)[::-1]
    right, down = (x_m - west_m) / ground.cell_m, (north_m - y_m) / ground.cell_m
    across = between(ground.heights_m.astype(np.float64), right)
    heights_m = above_launch_m(between(across.T, down).T, launch_m)
    nearest = np.ix_(np.rint(down).astype(np.intp), np.rint(right).astype(np.intp))
    return replace(
        ground,
        heights_m=heights_m.astype(np.float32),
        known=ground.known[nearest],
        x_west_m=float(x_m[0]),
        y_north_m=float(y_m[0]),
        cell_m=cell_m,
        marks=tuple(replace(mark, height_m=float(above_launch_m(mark.height_m, 0.0))) for mark in ground.marks),
        areas=tuple((names[name], ring) for name, ring in ground.areas),
    )


def round_cell_m(cell_m: float, side_m: float) -> float:
    """Return the next round size of a cell, smaller where the map would have too few; whole metres hold at the ends."""
    fitting = [size for size in MAP_CELLS_M if side_m / size >= LEAST_MAP_CELLS]
    larger = [size for size in fitting if size >= cell_m]
    return larger[0] if larger else fitting[-1] if fitting else side_m / LEAST_MAP_CELLS


def nodes(low_m: float, high_m: float, cell_m: float) -> Heights:
    """Return the whole multiples of a cell between two ends, so that the launch point, 0, is one of them."""
    first, last = math.ceil(low_m / cell_m - 1e-9), math.floor(high_m / cell_m + 1e-9)
    return np.arange(first, last + 1, dtype=np.float64) * cell_m


def between(heights_m: Heights, column: Heights) -> Heights:
    """Return heights at broken columns, shape ``(ny, n)``, on the straight line between two whole ones."""
    left = np.clip(column.astype(np.intp), 0, heights_m.shape[1] - 2)
    share = np.clip(column - left, 0.0, 1.0)
    return heights_m[:, left] * (1.0 - share) + heights_m[:, left + 1] * share
