"""Sound rasters of many kinds: the ground read back is the ground written, and what is not known is said."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pyproj
import pytest
import rasterio
from rasterio.transform import from_origin
from rasterio.warp import Resampling, reproject
from scipy.ndimage import map_coordinates

from turnback.base.errors import InputError
from turnback.physics.geodesy import lat_lon_deg
from turnback.readers.terrain import read_terrain
from turnback.records.terrain import Terrain, TerrainKind, TerrainNoteKind

WHERE = "plan.toml: site.terrain"
LAT, LON = 46.505, 8.005
STEP_DEG = 1.0 / 3600.0
SIZE = 240
CORNER = (LON - SIZE / 2 * STEP_DEG, LAT + SIZE / 2 * STEP_DEG)


def plane_m(lat: Any, lon: Any) -> Any:
    """A slope that is a plane in degrees: 900 m at the launch point."""
    return 900.0 + 4000.0 * (lat - LAT) - 2500.0 * (lon - LON)


def degrees_grid(size: int = SIZE, corner: tuple[float, float] = CORNER) -> tuple[Any, Any]:
    centre = (np.arange(size) + 0.5) * STEP_DEG
    return np.meshgrid(corner[1] - centre, corner[0] + centre, indexing="ij")


def write(path: Path, heights: Any, unit: str | None = "m", **profile: Any) -> Path:
    facts = {"crs": "EPSG:4326", "transform": from_origin(*CORNER, STEP_DEG, STEP_DEG), **profile}
    bands = np.asarray(heights)[None] if np.ndim(heights) == 2 else np.asarray(heights)
    count, height, width = bands.shape
    with rasterio.open(path, "w", driver="GTiff", count=count, height=height, width=width,
                       dtype=bands.dtype, **facts) as raster:  # fmt: skip
        raster.write(bands)
        if unit:
            raster.set_band_unit(1, unit)
    return path


def notes(terrain: Terrain) -> dict[TerrainNoteKind, float]:
    return {note.kind: note.value for note in terrain.notes}


def off_plane_m(terrain: Terrain) -> float:
    """The largest error at cell centres within the radius."""
    rows, columns = terrain.heights_m.shape
    x_m, y_m = np.meshgrid(
        terrain.x_west_m + np.arange(columns) * terrain.cell_m, terrain.y_north_m - np.arange(rows) * terrain.cell_m
    )
    lat, lon = lat_lon_deg(x_m, y_m, LAT, LON)
    circle = np.hypot(x_m, y_m) <= terrain.radius_m
    return float(np.abs(terrain.heights_m - plane_m(lat, lon))[circle & terrain.known].max())


def test_a_plane_in_degrees_is_read_back(tmp_path: Path) -> None:
    terrain = read_terrain(write(tmp_path / "x.tif", plane_m(*degrees_grid())), LAT, LON, 2000.0, WHERE)
    assert off_plane_m(terrain) < 0.01
    assert terrain.kind is TerrainKind.MEASURED
    assert not terrain.assumed
    assert terrain.launch_ground_m == pytest.approx(900.0, abs=0.01)
    assert 15.0 < terrain.cell_m < 31.0  # one arc-second: 30.9 m by 21.3 m at this latitude
    assert terrain.notes == ()
    assert (terrain.void_fraction, terrain.missing_fraction, terrain.voids_filled) == (0.0, 0.0, 0)
    middle = terrain.heights_m.shape[0] // 2
    assert terrain.x_west_m == pytest.approx(-middle * terrain.cell_m)
    assert terrain.y_north_m == pytest.approx(middle * terrain.cell_m)
    assert terrain.heights_m.dtype == np.float32
    assert terrain.heights_m.flags.c_contiguous
    assert not terrain.heights_m.flags.writeable


@pytest.mark.parametrize("epsg", [32632, 2056, 3035])
def test_a_projected_raster_is_read_back(epsg: int, tmp_path: Path) -> None:
    turn = pyproj.Transformer.from_crs(4326, epsg, always_xy=True)
    middle = turn.transform(LON, LAT)
    east, north = middle[0] - 3000.0, middle[1] + 3000.0
    x, y = np.meshgrid(east + (np.arange(300) + 0.5) * 20.0, north - (np.arange(300) + 0.5) * 20.0)
    lon, lat = turn.transform(x, y, direction="INVERSE")
    path = write(tmp_path / "x.tif", plane_m(lat, lon), crs=f"EPSG:{epsg}", transform=from_origin(east, north, 20, 20))
    terrain = read_terrain(path, LAT, LON, 2500.0, WHERE)
    assert off_plane_m(terrain) < 0.05
    assert terrain.cell_m == pytest.approx(20.0, rel=0.01)


def test_a_south_up_raster_is_read_back(tmp_path: Path) -> None:
    heights = plane_m(*degrees_grid())[::-1]
    south = CORNER[1] - SIZE * STEP_DEG
    place = rasterio.Affine(STEP_DEG, 0, CORNER[0], 0, STEP_DEG, south)
    assert (
        off_plane_m(read_terrain(write(tmp_path / "x.tif", heights, transform=place), LAT, LON, 2000.0, WHERE)) < 0.01
    )


def test_a_turned_raster_is_read_back(tmp_path: Path) -> None:
    place = (
        rasterio.Affine.translation(LON, LAT)
        @ rasterio.Affine.rotation(30.0)
        @ rasterio.Affine.scale(STEP_DEG, -STEP_DEG)
        @ rasterio.Affine.translation(-SIZE / 2, -SIZE / 2)
    )
    row, column = np.meshgrid(np.arange(SIZE) + 0.5, np.arange(SIZE) + 0.5, indexing="ij")
    lon = place.a * column + place.b * row + place.c
    lat = place.d * column + place.e * row + place.f
    path = write(tmp_path / "x.tif", plane_m(lat, lon), transform=place)
    assert off_plane_m(read_terrain(path, LAT, LON, 1500.0, WHERE)) < 0.01


def test_rough_ground_agrees_with_proj_and_a_spline_of_degree_one(tmp_path: Path) -> None:
    rough = np.random.default_rng(5).uniform(600.0, 1400.0, (SIZE, SIZE)).astype(np.float32)
    terrain = read_terrain(write(tmp_path / "x.tif", rough), LAT, LON, 1800.0, WHERE)
    steps = terrain.x_west_m + np.arange(terrain.heights_m.shape[1]) * terrain.cell_m
    x_m, y_m = np.meshgrid(steps, steps[::-1])
    lon, lat = pyproj.Proj(proj="aeqd", datum="WGS84", lat_0=LAT, lon_0=LON)(x_m, y_m, inverse=True)
    pixel = (CORNER[1] - lat) / STEP_DEG - 0.5, (lon - CORNER[0]) / STEP_DEG - 0.5
    expected = map_coordinates(rough.astype(np.float64), pixel, order=1)
    assert np.abs(terrain.heights_m - expected).max() < 0.02  # white noise of 800 m: 0.02 m is 1 mm of place


def test_rough_ground_agrees_with_the_warp_of_gdal(tmp_path: Path) -> None:
    lat, lon = degrees_grid()
    rough = (900.0 + 120.0 * np.sin(lat * 900.0) * np.cos(lon * 700.0)).astype(np.float32)
    terrain = read_terrain(write(tmp_path / "x.tif", rough), LAT, LON, 1800.0, WHERE)
    expected = np.full(terrain.heights_m.shape, np.nan, dtype=np.float32)
    half = terrain.cell_m / 2.0
    reproject(
        rough, expected, src_transform=from_origin(*CORNER, STEP_DEG, STEP_DEG), src_crs="EPSG:4326",
        dst_transform=from_origin(terrain.x_west_m - half, terrain.y_north_m + half, terrain.cell_m, terrain.cell_m),
        dst_crs=f"+proj=aeqd +lat_0={LAT} +lon_0={LON} +datum=WGS84", resampling=Resampling.bilinear,
        tolerance=0.0,
    )  # fmt: skip
    # GDAL widens its kernel where cells are a hair wider than pixels, hence not to the millimetre (relief 240 m)
    assert np.abs(terrain.heights_m - expected).max() < 0.5
    assert np.abs(terrain.heights_m - expected).mean() < 0.1


@pytest.mark.parametrize(
    ("unit", "metres"), [("ft", 0.3048), ("US survey foot", 1200 / 3937), ("Feet", 0.3048), ("cm", 0.01)]
)
def test_heights_in_feet_become_metres(unit: str, metres: float, tmp_path: Path) -> None:
    path = write(tmp_path / "x.tif", plane_m(*degrees_grid()) / metres, unit=unit)
    terrain = read_terrain(path, LAT, LON, 1500.0, WHERE)
    assert off_plane_m(terrain) < 0.01
    assert notes(terrain) == {TerrainNoteKind.UNIT_CONVERTED: pytest.approx(metres)}


def test_feet_named_by_a_compound_projection_become_metres(tmp_path: Path) -> None:
    path = write(tmp_path / "x.tif", plane_m(*degrees_grid()) / 0.3048006096, unit=None, crs="EPSG:4326+6360")
    terrain = read_terrain(path, LAT, LON, 1500.0, WHERE)  # 6360: NAVD88 height, US survey feet
    assert off_plane_m(terrain) < 0.01


def test_a_unit_that_is_not_named_is_said_to_be_assumed(tmp_path: Path) -> None:
    terrain = read_terrain(write(tmp_path / "x.tif", plane_m(*degrees_grid()), unit=None), LAT, LON, 1500.0, WHERE)
    assert notes(terrain) == {TerrainNoteKind.UNIT_ASSUMED: 1.0}


def test_stored_numbers_are_scaled_and_the_first_band_is_used(tmp_path: Path) -> None:
    heights = plane_m(*degrees_grid())
    path = write(tmp_path / "x.tif", np.stack([((heights - 100.0) / 0.1).round().astype(np.int16)] * 2))
    with rasterio.open(path, "r+") as raster:
        raster.scales, raster.offsets = (0.1, 1.0), (100.0, 0.0)
    terrain = read_terrain(path, LAT, LON, 1500.0, WHERE)
    assert off_plane_m(terrain) < 0.06
    assert notes(terrain) == {TerrainNoteKind.SCALED: pytest.approx(0.1), TerrainNoteKind.FIRST_OF_BANDS: 2.0}


def test_a_small_void_is_filled_and_counted(tmp_path: Path) -> None:
    heights = plane_m(*degrees_grid())
    heights[130:133, 140:144] = -9999.0
    terrain = read_terrain(write(tmp_path / "x.tif", heights, nodata=-9999.0), LAT, LON, 2000.0, WHERE)
    assert terrain.voids_filled == 12
    assert notes(terrain) == {TerrainNoteKind.VOIDS_FILLED: 12.0}
    assert terrain.known.all()
    assert off_plane_m(terrain) < 1.0  # 12 pixels, the slope falls 1.1 m per pixel
    assert terrain.void_fraction == pytest.approx(12 * 30.9 * 21.3 / (np.pi * 2000.0**2), rel=0.3)


def test_a_wide_void_stays_unknown(tmp_path: Path) -> None:
    heights = plane_m(*degrees_grid())
    heights[60:90, 100:140] = np.nan
    terrain = read_terrain(write(tmp_path / "x.tif", heights), LAT, LON, 2000.0, WHERE)
    assert terrain.voids_filled == 0
    said = notes(terrain)
    assert said[TerrainNoteKind.VOIDS_LEFT] == 1200.0
    assert said[TerrainNoteKind.KNOWN_REACH] == pytest.approx(30 * 30.9, rel=0.05)
    assert off_plane_m(terrain) < 0.01  # what is known was not touched
    assert not terrain.covers(0.0, 45 * 30.9)
    assert terrain.covers(0.0, -45 * 30.9)
    assert np.isfinite(terrain.heights_m).all()
    assert terrain.void_fraction > 0.04


def test_a_void_value_that_is_not_declared_is_found(tmp_path: Path) -> None:
    heights = plane_m(*degrees_grid()).round().astype(np.int16)
    heights[130, 130] = -32768
    terrain = read_terrain(write(tmp_path / "x.tif", heights), LAT, LON, 2000.0, WHERE)
    assert notes(terrain) == {TerrainNoteKind.VOIDS_FILLED: 1.0, TerrainNoteKind.VOID_VALUE_UNDECLARED: -32768.0}


def test_a_mask_band_marks_voids(tmp_path: Path) -> None:
    heights = plane_m(*degrees_grid())
    heights[130, 130] = 0.0
    path = write(tmp_path / "x.tif", heights)
    with rasterio.Env(GDAL_TIFF_INTERNAL_MASK=True), rasterio.open(path, "r+") as raster:
        raster.write_mask(heights > 0.0)
    assert read_terrain(path, LAT, LON, 2000.0, WHERE).voids_filled == 1


def test_missing_cover_is_said(tmp_path: Path) -> None:
    whole = plane_m(*degrees_grid())
    terrain = read_terrain(write(tmp_path / "x.tif", whole[:, : SIZE // 2 + 20]), LAT, LON, 1500.0, WHERE)
    edge_m = 20 * 21.34
    assert terrain.covers(edge_m - 30.0, 0.0)
    assert not terrain.covers(edge_m + 30.0, 0.0)
    off = np.arccos(edge_m / 1500.0)  # the part of a circle beyond a chord
    beyond = (off - np.sin(off) * np.cos(off)) / np.pi
    assert terrain.missing_fraction == pytest.approx(beyond, abs=0.01)
    assert notes(terrain)[TerrainNoteKind.COVER_MISSING] == terrain.missing_fraction
    assert notes(terrain)[TerrainNoteKind.KNOWN_REACH] == pytest.approx(edge_m, abs=30.0)
    assert (
        off_plane_m(terrain) < 0.4
    )  # in the outer half pixel the edge's height is held: the slope falls 0.7 m a pixel


def test_an_srtm_tile_is_read_with_its_voids(tmp_path: Path) -> None:
    post = np.arange(1201) / 1200.0
    lat, lon = np.meshgrid(47.0 - post, 8.0 + post, indexing="ij")  # posts lie on the whole degrees
    lat_0, lon_0 = 46.5, 8.5
    heights = (900.0 + 400.0 * (lat - lat_0) - 250.0 * (lon - lon_0)).round()
    heights[605, 605] = -32768
    path = tmp_path / "N46E008.hgt"
    path.write_bytes(heights.astype(">i2").tobytes())
    terrain = read_terrain(path, lat_0, lon_0, 3000.0, WHERE)
    assert terrain.voids_filled == 1
    assert notes(terrain) == {TerrainNoteKind.VOIDS_FILLED: 1.0}
    x_m = np.array([-2500.0, 0.0, 2000.0])
    to_lat, to_lon = lat_lon_deg(x_m, x_m[::-1], lat_0, lon_0)
    expected = 900.0 + 400.0 * (to_lat - lat_0) - 250.0 * (to_lon - lon_0)
    assert np.abs(terrain.ground_m(x_m, x_m[::-1]) - expected).max() < 0.6  # heights are whole metres


def test_fine_pixels_are_averaged_and_that_is_said(tmp_path: Path) -> None:
    step = 2.5e-6  # 0.28 m by 0.19 m: finer than any cell
    size = 1200
    centre = (np.arange(size) + 0.5) * step
    corner = (LON - size / 2 * step, LAT + size / 2 * step)
    lat, lon = np.meshgrid(corner[1] - centre, corner[0] + centre, indexing="ij")
    heights = plane_m(lat, lon)
    heights[500:502, 500:502] = np.nan  # smaller than a cell
    path = write(tmp_path / "x.tif", heights, transform=from_origin(*corner, step, step))
    terrain = read_terrain(path, LAT, LON, 80.0, WHERE)
    assert terrain.cell_m == pytest.approx(0.5)
    assert notes(terrain)[TerrainNoteKind.COARSENED] == pytest.approx(0.23, abs=0.01)
    assert off_plane_m(terrain) < 0.05


def test_the_grid_never_has_more_than_its_most_cells(tmp_path: Path) -> None:
    place = from_origin(7.5, 47.0, 1 / 7200, 1 / 7200)  # 15 m by 11 m, sparse on disk
    heights = np.zeros((7200, 7200), dtype=np.int16)
    heights[3564, 3636] = 50
    path = write(tmp_path / "x.tif", heights, transform=place, sparse_ok=True, tiled=True)
    terrain = read_terrain(path, LAT, LON, 30_000.0, WHERE)
    assert max(terrain.heights_m.shape) <= 4001
    assert TerrainNoteKind.COARSENED in notes(terrain)


@pytest.mark.parametrize("launch_lon", [179.999, -179.999])
@pytest.mark.parametrize("west", [179.9, -180.1])
def test_a_raster_across_the_date_line_is_whole(launch_lon: float, west: float, tmp_path: Path) -> None:
    size = 720
    centre = (np.arange(size) + 0.5) * STEP_DEG
    lat, lon = np.meshgrid(0.1 - centre, west + centre, indexing="ij")
    east_of_line = (lon + 180.0) % 360.0
    heights = 300.0 + 1000.0 * lat + 2000.0 * np.where(east_of_line > 180.0, east_of_line - 360.0, east_of_line)
    path = write(tmp_path / "x.tif", heights, transform=from_origin(west, 0.1, STEP_DEG, STEP_DEG))
    terrain = read_terrain(path, 0.0, launch_lon, 2000.0, WHERE)
    assert terrain.missing_fraction == 0.0
    start = 2.0 * np.sign(-launch_lon)
    metres_per_degree = 6_378_137.0 * np.pi / 180.0
    x_m = np.array([-1500.0, 0.0, 1500.0])
    assert np.abs(terrain.ground_m(x_m, 0.0) - (300.0 + start + 2000.0 * x_m / metres_per_degree)).max() < 0.05


def test_longitudes_from_0_to_360_are_understood(tmp_path: Path) -> None:
    heights = plane_m(*degrees_grid())
    path = write(tmp_path / "x.tif", heights, transform=from_origin(CORNER[0] + 260.0, CORNER[1], STEP_DEG, STEP_DEG))
    terrain = read_terrain(path, LAT, LON + 260.0 - 360.0, 1500.0, WHERE)
    assert terrain.launch_ground_m == pytest.approx(900.0, abs=0.01)
    assert terrain.missing_fraction == 0.0


def test_the_same_file_gives_the_same_bytes_and_a_text_grid_the_same_ground(tmp_path: Path) -> None:
    heights = plane_m(*degrees_grid())
    path = write(tmp_path / "x.tif", heights)
    first, second = (read_terrain(path, LAT, LON, 1500.0, WHERE) for _ in range(2))
    assert first.heights_m.tobytes() == second.heights_m.tobytes()
    south = CORNER[1] - SIZE * STEP_DEG
    head = f"ncols {SIZE}\nnrows {SIZE}\nxllcorner {CORNER[0]!r}\nyllcorner {south!r}\ncellsize {STEP_DEG!r}\n"
    text = tmp_path / "x.asc"
    text.write_text(head + "\n".join(" ".join(f"{value:.3f}" for value in row) for row in heights) + "\n")
    with pytest.raises(InputError, match=r"x\.asc has no projection"):
        read_terrain(text, LAT, LON, 1500.0, WHERE)
    text.with_suffix(".prj").write_text(rasterio.CRS.from_epsg(4326).to_wkt())
    assert off_plane_m(read_terrain(text, LAT, LON, 1500.0, WHERE)) < 0.01
