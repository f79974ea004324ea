"""Read a raster of ground heights into local metres around the launch point."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from turnback.base.errors import Fault, InputError, bad_input
from turnback.base.ranges import within
from turnback.physics.geodesy import lat_lon_deg
from turnback.readers.terrain_facts import verified_facts
from turnback.readers.terrain_files import open_raster
from turnback.readers.terrain_pixels import Patch, Window, read_patch
from turnback.records.terrain import Terrain, TerrainKind, TerrainNote, TerrainNoteKind

MOST_CELLS: Final = 4000  # along one side; our choice: 64 MB of heights, 20 km of 10 m cells
MOST_CELLS_OF_MAP: Final = 10_000  # our choice: 400 MB of heights, 10 km of 1 m cells
SMALLEST_CELL_M: Final = 0.5  # our choice: finer than any profile is sampled
WIDEST_PIXEL_M: Final = 1000.0  # our choice: wider pixels hold no hill a flight of some kilometres meets
WIDE_PIXEL_M: Final = 120.0  # our choice: just above the 93 m of 3 arc-seconds, the coarsest grid in common use
MESH: Final = 65  # nodes a side where the projection is exact; bent by under 0.1 m between them at 60 km
RIM_PIXELS: Final = 2  # read beyond the circle, so that its edge is interpolated from both sides

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class _Place:
    """Where the raster's pixels lie, seen from the launch point."""

    raster: Any
    lat_deg: float
    lon_deg: float

    def pixel(self, x_m: Floats, y_m: Floats) -> tuple[Floats, Floats]:
        """Column and row of local metres, whole at pixel corners; NaN where the projection has no answer."""
        from rasterio.crs import CRS  # noqa: PLC0415 - heavy
        from rasterio.warp import transform  # noqa: PLC0415

        lat, lon = lat_lon_deg(x_m, y_m, self.lat_deg, self.lon_deg)
        crs = self.raster.crs
        degrees = CRS.from_epsg(4326)
        if crs != degrees:
            east, north = transform(degrees, crs, lon.ravel(), lat.ravel())
            lon, lat = (np.asarray(part, dtype=np.float64).reshape(lon.shape) for part in (east, north))
        if crs.is_geographic:
            lon = self._unwrapped(lon)
        back = ~self.raster.transform
        column = back.a * lon + back.b * lat + back.c
        row = back.d * lon + back.e * lat + back.f
        sound = np.isfinite(column) & np.isfinite(row)
        return np.where(sound, column, np.nan), np.where(sound, row, np.nan)

    def _unwrapped(self, lon: Floats) -> Floats:
        """Longitudes in the raster's own turn of the globe (some run 0 to 360), unbroken around the launch point."""
        place, raster = self.raster.transform, self.raster
        middle = place.a * raster.width / 2.0 + place.b * raster.height / 2.0 + place.c
        launch = self.lon_deg + 360.0 * np.round((middle - self.lon_deg) / 360.0)
        return np.asarray(launch + np.remainder(lon - launch + 180.0, 360.0) - 180.0)


def read_terrain(
    path: str | Path, lat: float, lon: float, radius_m: float, where: str, most_cells: int = MOST_CELLS
) -> Terrain:
    """Return the ground within a radius of the launch point.

    Parameters
    ----------
    path : str or Path
        A plain local raster file in one of `turnback.readers.terrain_files.FORMATS`.
    lat, lon : float
        The launch point in WGS-84 degrees.
    radius_m : float
        Reach wanted around it, 50 to 100,000 m.
    where : str
        File and field that named the raster, for errors.
    most_cells : int
        Along one side of the grid, 100 to 10,000: a finer raster is averaged into cells that keep to it.

    Returns
    -------
    Terrain
        Square cells of about the raster's own size, the launch point at the centre of the middle one. Bilinear from
        the raster's pixels; averaged first where the raster is much finer than the grid may be.

    Raises
    ------
    InputError
        In one sentence per fault.

    Notes
    -----
    The plane is that of `turnback.physics.geodesy.east_north_m`; the raster's own projection is undone by PROJ.
    """
    lat, lon, radius = _launch(lat, lon, radius_m, where)
    most = int(within("most_cells", most_cells, 100, MOST_CELLS_OF_MAP, ""))
    with open_raster(path, where) as raster:
        name = Path(str(path)).name
        facts = verified_facts(raster, name, where)
        place = _Place(raster, lat, lon)
        _launch_inside(place, name, where)
        cell, pixel_m = _cell_m(place, radius, name, where, most)
        reach = int(np.ceil(radius / cell)) + 1
        x_m = np.asarray(np.arange(-reach, reach + 1) * cell, dtype=np.float64)
        column, row = _mesh(place, x_m)
        window = _window(raster, column, row, shrink=max(1, int(cell / pixel_m)))
        patch = read_patch(raster, facts, window, name, where)
        rows, columns = raster.height, raster.width
    heights, void, outside = _resample(patch, window, column, row, x_m.size, (rows, columns))
    known = np.isfinite(heights)
    if not known[reach, reach]:
        raise bad_input(where, f"{name} has no height at the launch point itself", "move it, or mend the void there")
    circle = np.hypot(x_m[None, :], x_m[:, None]) <= radius
    missing = float((outside & circle).sum() / circle.sum())
    notes = [*facts.notes, *patch.notes, *_notes(cell, pixel_m, window.shrink, missing)]
    if not known[circle].all():
        away = np.hypot(x_m[None, :], x_m[:, None])[circle & ~known].min()
        notes.append(TerrainNote(TerrainNoteKind.KNOWN_REACH, float(away), "m"))
    return Terrain(
        heights_m=_guessed(heights, known),
        known=known,
        x_west_m=float(x_m[0]),
        y_north_m=float(x_m[-1]),
        cell_m=cell,
        kind=TerrainKind.MEASURED,
        source=facts.source,
        radius_m=radius,
        void_fraction=float((void & circle).sum() / max(1, int((circle & ~outside).sum()))),
        voids_filled=patch.voids_filled,
        missing_fraction=missing,
        launch_lat_deg=lat,
        launch_lon_deg=lon,
        notes=tuple(notes),
    )


def _launch(lat: float, lon: float, radius_m: float, where: str) -> tuple[float, float, float]:
    swapped = "enter degrees, latitude first: the two are often swapped"
    rows = (
        ("latitude of the launch point", lat, -89.0, 89.0, "degrees", swapped),
        ("longitude of the launch point", lon, -180.0, 180.0, "degrees", swapped),
        ("radius", radius_m, 50.0, 100_000.0, "m", "enter metres, not kilometres"),
    )
    values: list[float] = []
    faults: list[Fault] = []
    for field, value, low, high, unit, slip in rows:
        try:
            values.append(float(within(f"{where}: {field}", value, low, high, unit, slip)))
        except InputError as error:
            faults += error.faults
    if faults:
        raise InputError(*faults)
    return values[0], values[1], values[2]


def _launch_inside(place: _Place, name: str, where: str) -> None:
    if _holds(place):
        return
    swapped = abs(place.lon_deg) <= 89.0 and _holds(_Place(place.raster, place.lon_deg, place.lat_deg))
    west = _holds(_Place(place.raster, place.lat_deg, -place.lon_deg))
    do = "give a raster that holds it, or correct the launch point"
    if swapped:
        do = "latitude and longitude look swapped: exchange them"
    elif west:
        do = "the longitude's sign looks wrong: west is negative"
    raise bad_input(where, f"{name} does not hold the launch point {place.lat_deg:g}, {place.lon_deg:g}", do)


def _holds(place: _Place) -> bool:
    column, row = place.pixel(np.zeros(1), np.zeros(1))
    return bool(0.0 <= column[0] <= place.raster.width and 0.0 <= row[0] <= place.raster.height)


def _cell_m(place: _Place, radius_m: float, name: str, where: str, most_cells: int) -> tuple[float, float]:
    """Side of the grid's cells, and of the raster's pixels (the geometric mean of both ways), at the launch point."""
    step = 50.0
    column, row = place.pixel(np.array([-step, step, 0.0, 0.0]), np.array([0.0, 0.0, -step, step]))
    turn = np.array([[column[1] - column[0], column[3] - column[2]], [row[1] - row[0], row[3] - row[2]]]) / (2.0 * step)
    if not np.isfinite(turn).all() or abs(np.linalg.det(turn)) < 1e-12:
        raise bad_input(where, f"{name} has a projection that fails at the launch point", "reproject it to EPSG:4326")
    sides = np.hypot(*np.linalg.inv(turn))
    pixel_m = float(np.sqrt(sides[0] * sides[1]))
    if sides.max() > WIDEST_PIXEL_M:
        raise bad_input(
            where,
            f"{name} has pixels {sides.max() / 1000.0:.1f} km wide, too coarse to show a hill",
            f"give a raster with pixels under {WIDEST_PIXEL_M / 1000.0:g} km, better 30 m",
        )
    # the narrower way keeps every pixel's own height, unless pixels are much longer than wide
    own = max(float(sides.min()), float(sides.max()) / 2.0)
    return max(own, SMALLEST_CELL_M, 2.0 * radius_m / (most_cells - 4)), pixel_m


def _mesh(place: _Place, x_m: Floats) -> tuple[Floats, Floats]:
    """Columns and rows of the raster at `MESH` x `MESH` nodes over the grid, row 0 in the north."""
    nodes = np.linspace(x_m[0], x_m[-1], MESH)
    return place.pixel(*np.meshgrid(nodes, nodes[::-1]))


def _window(raster: Any, column: Floats, row: Floats, shrink: int) -> Window:
    """The pixels the grid needs and the raster has."""
    rim = RIM_PIXELS * shrink
    left = max(0, int(np.floor(np.nanmin(column))) - rim)
    top = max(0, int(np.floor(np.nanmin(row))) - rim)
    right = min(raster.width, int(np.ceil(np.nanmax(column))) + rim)
    bottom = min(raster.height, int(np.ceil(np.nanmax(row))) + rim)
    return Window(top, left, max(1, bottom - top), max(1, right - left), shrink)


def _resample(
    patch: Patch, window: Window, column: Floats, row: Floats, cells: int, whole: tuple[int, int]
) -> tuple[NDArray[np.float32], NDArray[np.bool_], NDArray[np.bool_]]:
    """Heights at cell centres (NaN where not known), where the file had a void, and where it has no pixels."""
    heights = np.empty((cells, cells), dtype=np.float32)
    void = np.zeros((cells, cells), dtype=np.bool_)
    outside = np.zeros((cells, cells), dtype=np.bool_)
    at = np.linspace(0.0, MESH - 1.0, cells)
    left = np.minimum(at.astype(np.intp), MESH - 2)
    share = at - left
    across = [mesh[:, left] * (1.0 - share) + mesh[:, left + 1] * share for mesh in (column, row)]
    for line in range(cells):  # one line at a time: memory stays small on the widest grids
        north, part = left[line], share[line]
        columns, rows = (mesh[north] * (1.0 - part) + mesh[north + 1] * part for mesh in across)
        inside = (columns >= 0.0) & (columns <= whole[1]) & (rows >= 0.0) & (rows <= whole[0])
        right = np.where(inside, (columns - window.column) / window.shrink, 0.0)
        down = np.where(inside, (rows - window.row) / window.shrink, 0.0)
        heights[line] = np.where(inside, _bilinear(patch.heights_m, right - 0.5, down - 0.5), np.nan)
        most_row, most_column = np.array(patch.void.shape) - 1
        nearest = patch.void[np.clip(down.astype(np.intp), 0, most_row), np.clip(right.astype(np.intp), 0, most_column)]
        void[line], outside[line] = nearest & inside, ~inside
    return heights, void, outside


def _bilinear(heights: NDArray[np.float32], right: Floats, down: Floats) -> Floats:
    """Between pixel centres; in the outer half pixel the edge's height is held. A NaN that carries weight spreads."""
    rows, columns = heights.shape
    right, down = np.clip(right, 0.0, columns - 1.0), np.clip(down, 0.0, rows - 1.0)
    j, i = right.astype(np.intp), down.astype(np.intp)
    j_next, i_next = np.minimum(j + 1, columns - 1), np.minimum(i + 1, rows - 1)
    right, down = right - j, down - i
    north = heights[i, j] * (1.0 - right) + heights[i, j_next] * right
    south = heights[i_next, j] * (1.0 - right) + heights[i_next, j_next] * right
    return np.asarray(north * (1.0 - down) + south * down)


def _guessed(heights: NDArray[np.float32], known: NDArray[np.bool_]) -> NDArray[np.float32]:
    """Put a height where none is known, from the same line or else the mean, so that a sweep can run over it."""
    if known.all():
        return heights
    whole = heights.copy()
    mean = np.float32(heights[known].mean(dtype=np.float64))
    steps = np.arange(heights.shape[1], dtype=np.float64)
    for line in np.flatnonzero(~known.all(axis=1)):
        have = known[line]
        whole[line] = np.interp(steps, steps[have], heights[line][have]) if have.any() else mean
    return whole


def _notes(cell_m: float, pixel_m: float, shrink: int, missing: float) -> list[TerrainNote]:
    notes = []
    if shrink > 1 or cell_m > 1.001 * pixel_m:
        notes.append(TerrainNote(TerrainNoteKind.COARSENED, pixel_m, "m"))
    if pixel_m > WIDE_PIXEL_M:
        notes.append(TerrainNote(TerrainNoteKind.CELLS_WIDE, pixel_m, "m"))
    if missing > 0.0:
        notes.append(TerrainNote(TerrainNoteKind.COVER_MISSING, missing))
    return notes
