"""The GeoTIFF of a map holds its layers to the last bit, where they lie, and in the order that far readers need."""

from __future__ import annotations

import struct
import tracemalloc
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pyproj
import pytest
import rasterio
from tests.report.made_map import LAT_DEG, LON_DEG, made, nowhere

from turnback.base.errors import InputError
from turnback.physics.geodesy import east_north_m, lat_lon_deg
from turnback.records.home_map import LAYERS, NO_DATA, HomeMap, Reason
from turnback.report import map_files_tiff
from turnback.report.map_files_meanings import MEANINGS, REASON_MEANINGS
from turnback.report.map_geotiff import write_geotiff

MAP = made(1101)


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a written map, larger than two tiles."""
    path = tmp_path_factory.mktemp("map") / "map.tif"
    write_geotiff(MAP, path)
    return path


def directories(path: Path) -> list[dict[int, tuple[int, ...]]]:
    """Return each directory of a classic TIFF: its place under 0, and by tag its whole numbers."""
    content = path.read_bytes()
    found, at = [], struct.unpack_from("<L", content, 4)[0]
    while at:
        (count,) = struct.unpack_from("<H", content, at)
        tags: dict[int, tuple[int, ...]] = {0: (at,)}
        for place in range(at + 2, at + 2 + 12 * count, 12):
            key, kind, number = struct.unpack_from("<HHL", content, place)
            if kind in (3, 4):
                code, size = {3: ("H", 2), 4: ("L", 4)}[kind]
                start = place + 8 if number * size <= 4 else struct.unpack_from("<L", content, place + 8)[0]
                tags[key] = struct.unpack_from(f"<{number}{code}", content, start)
        found.append(tags)
        (at,) = struct.unpack_from("<L", content, at + 2 + 12 * count)
    return found


def test_every_layer_stands_in_it_to_the_last_bit(written: Path) -> None:
    with rasterio.open(written) as file:
        assert file.descriptions == tuple(LAYERS)
        assert set(file.dtypes) == {"int16"}
        assert file.nodatavals == (NO_DATA,) * len(LAYERS)
        for band, key in enumerate(LAYERS, start=1):
            assert np.array_equal(file.read(band), MAP.layers[key].values)


def test_scale_and_unit_of_each_band_are_those_of_its_layer(written: Path) -> None:
    with rasterio.open(written) as file:
        assert file.scales == tuple(scale for scale, _ in LAYERS.values())
        assert file.offsets == (0.0,) * len(LAYERS)
        assert tuple(unit or "" for unit in file.units) == tuple(unit for _, unit in LAYERS.values())
        for band, key in enumerate(LAYERS, start=1):
            assert file.tags(band)["MEANING"] == MEANINGS[key]
        codes = file.tags(list(LAYERS).index("reason") + 1)["CODES"]
        assert codes == "; ".join(f"{int(reason)} {REASON_MEANINGS[reason]}" for reason in Reason)


def test_what_the_file_says_of_itself(written: Path) -> None:
    with rasterio.open(written) as file:
        tags = file.tags()
    assert tags["TIFFTAG_SOFTWARE"].startswith("Turnback ")
    assert (tags["HEIGHT_FLOWN_M"], tags["HEIGHT_ABOVE"], tags["SEED"]) == ("60.0", "launch", "7")
    assert "does not know your local law" in tags["CAUTION"]
    assert tags["TITLE"] == "An invented valley"
    assert tags["CORRECTED_BY_A_RANGE_WALK"] == "control"
    assert not [key for key in tags if "DATE" in key]  # the same map, the same bytes


def test_gdal_takes_it_for_cloud_optimised(written: Path) -> None:
    with rasterio.open(written) as file:
        said = file.tags(ns="IMAGE_STRUCTURE")
        assert (said["LAYOUT"], said["COMPRESSION"], said["INTERLEAVE"]) == ("COG", "DEFLATE", "BAND")
        assert set(file.block_shapes) == {(512, 512)}
        assert file.overviews(1) == [2, 4]  # 1101, 551, 276: the last fits one tile


def test_directories_stand_first_and_small_overviews_before_large_ones(written: Path) -> None:
    """The order that the OGC's standard for cloud-optimised files asks for (21-026, requirement class "tiles")."""
    found = directories(written)
    widths = [each[256][0] for each in found]
    assert widths == [1101, 551, 276]
    assert [each[254][0] for each in found] == [0, 1, 1]
    assert max(each[0][0] for each in found) < min(min(each[324]) for each in found)
    ends = [(min(each[324]), max(each[324])) for each in found]
    assert ends[2][1] < ends[1][0]
    assert ends[1][1] < ends[0][0]
    for each in found:
        offsets, sizes = each[324], each[325]
        assert list(offsets) == sorted(offsets)
        content = written.read_bytes()
        for offset, size in zip(offsets, sizes, strict=True):
            assert struct.unpack_from("<L", content, offset - 4)[0] == size  # as the file's sign promises
            assert content[offset + size : offset + size + 4] == content[offset + size - 4 : offset + size]


def test_overviews_hold_numbers_of_the_map_and_no_means(written: Path) -> None:
    values = MAP.layers["reason"].values
    with rasterio.open(written, overview_level=0) as file:
        half = file.read(4)
    assert half.shape == (551, 551)
    assert np.array_equal(half, values[::2, ::2])
    assert set(np.unique(half)) <= set(np.unique(values))


def test_its_place_is_that_of_the_product_and_of_proj(written: Path) -> None:
    """Corners of the map within 1 mm of PROJ's azimuthal equidistant plane, and within 0.1 m of ours."""
    with rasterio.open(written) as file:
        crs, place = pyproj.CRS.from_wkt(file.crs.to_wkt()), file.transform
        assert (file.width, file.height) == (1101, 1101)
    x_m = np.array([-2000.0, 2000.0, 2000.0, -2000.0])
    y_m = np.array([2000.0, 2000.0, -2000.0, -2000.0])
    columns, rows = np.array([0, 1100, 1100, 0]), np.array([0, 0, 1100, 1100])
    east, north = place.c + (columns + 0.5) * place.a, place.f + (rows + 0.5) * place.e
    assert east == pytest.approx(x_m, abs=1e-6)
    assert north == pytest.approx(y_m, abs=1e-6)
    lon, lat = pyproj.Transformer.from_crs(crs, "EPSG:4326", always_xy=True).transform(east, north)
    ours_east, ours_north = east_north_m(lat, lon, LAT_DEG, LON_DEG)
    assert ours_east == pytest.approx(x_m, abs=1e-3)
    assert ours_north == pytest.approx(y_m, abs=1e-3)
    away = pyproj.Geod(ellps="WGS84").inv([LON_DEG] * 4, [LAT_DEG] * 4, lon, lat)[2]
    assert away == pytest.approx(np.hypot(x_m, y_m), abs=0.1)


@pytest.mark.parametrize(("lat", "lon"), [(-54.3, 179.98), (71.2, -25.7), (0.0, 0.0)])
def test_the_plane_holds_anywhere_and_20_km_out(tmp_path: Path, lat: float, lon: float) -> None:
    write_geotiff(made(21, launch_lat_deg=lat, launch_lon_deg=lon), tmp_path / "map.tif")
    with rasterio.open(tmp_path / "map.tif") as file:
        crs = pyproj.CRS.from_wkt(file.crs.to_wkt())
    far = np.array([-20_000.0, 20_000.0])
    lat_deg, lon_deg = lat_lon_deg(far, far[::-1], lat, lon)
    east, north = pyproj.Transformer.from_crs("EPSG:4326", crs, always_xy=True).transform(lon_deg, lat_deg)
    assert east == pytest.approx(far, abs=0.01)
    assert north == pytest.approx(far[::-1], abs=0.01)


def test_a_map_without_a_place_has_none_on_earth(tmp_path: Path) -> None:
    path = tmp_path / "map.tif"
    write_geotiff(nowhere(made(21)), path)
    with rasterio.open(path) as file:
        assert not file.crs.is_geographic
        assert not file.crs.is_projected
        assert 'UNIT["metre",1' in file.crs.to_wkt()
        assert file.transform.c == -2100.0
    content = path.read_bytes()
    assert str(LAT_DEG).encode() not in content
    for number in (LAT_DEG, LON_DEG):
        assert struct.pack("<d", number) not in content


def test_a_file_past_4_gib_is_written_with_long_offsets(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(map_files_tiff, "MOST_CLASSIC_BYTES", 0)
    found, path = made(601), tmp_path / "map.tif"
    write_geotiff(found, path)
    assert path.read_bytes()[:4] == b"II+\0"
    with rasterio.open(path) as file:
        assert file.tags(ns="IMAGE_STRUCTURE")["LAYOUT"] == "COG"
        assert file.overviews(1) == [2]
        for band, layer in enumerate(found.layers.values(), start=1):
            assert np.array_equal(file.read(band), layer.values)


def test_a_map_may_leave_layers_out(tmp_path: Path) -> None:
    whole = made(31)
    kept = {key: whole.layers[key] for key in ("reason", "home_low")}  # in an order that is not the file's
    write_geotiff(made(31, layers=kept), tmp_path / "map.tif")
    with rasterio.open(tmp_path / "map.tif") as file:
        assert file.descriptions == ("home_low", "reason")
        assert np.array_equal(file.read(1), whole.layers["home_low"].values)


def test_one_layer_alone_can_be_read(tmp_path: Path) -> None:
    whole = made(31)
    write_geotiff(made(31, layers={"energy": whole.layers["energy"]}), tmp_path / "map.tif")
    with rasterio.open(tmp_path / "map.tif") as file:
        assert np.array_equal(file.read(), whole.layers["energy"].values[None])


def test_the_same_map_gives_the_same_bytes(written: Path, tmp_path: Path) -> None:
    write_geotiff(MAP, tmp_path / "again.tif")
    assert (tmp_path / "again.tif").read_bytes() == written.read_bytes()


def test_it_tells_how_far_it_is(tmp_path: Path) -> None:
    shares: list[float] = []
    write_geotiff(made(601), tmp_path / "map.tif", shares.append)
    assert shares == sorted(shares)
    assert shares[-1] == 1.0
    assert len(shares) > len(LAYERS)


class StoppedError(Exception):
    """What a person who stops it raises."""


def after(count: int, error: BaseException) -> Callable[[float], None]:
    """Return a teller that raises at its `count`-th call."""
    calls: list[float] = []

    def tell(share: float) -> None:
        calls.append(share)
        if len(calls) == count:
            raise error

    return tell


@pytest.mark.parametrize("error", [KeyboardInterrupt(), StoppedError(), OSError(28, "No space left on device")])
@pytest.mark.parametrize("there", [False, True])
def test_who_stops_it_finds_nothing_half_written(tmp_path: Path, error: BaseException, there: bool) -> None:
    path = tmp_path / "map.tif"
    if there:
        path.write_bytes(b"the old one")
    expected: Any = InputError if isinstance(error, OSError) else type(error)
    with pytest.raises(expected):
        write_geotiff(made(601), path, after(3, error))
    assert [each.name for each in tmp_path.iterdir()] == (["map.tif"] if there else [])
    assert not there or path.read_bytes() == b"the old one"


def test_a_folder_that_is_not_there_is_told_in_one_sentence(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="cannot be written"):
        write_geotiff(made(21), tmp_path / "no" / "map.tif")


def test_it_needs_less_memory_than_one_band(tmp_path: Path) -> None:
    found: HomeMap = made(1501)
    found = made(1501, layers={key: found.layers[key] for key in ("home", "home_low", "energy")})
    band = found.layers["home"].values.nbytes
    write_geotiff(made(21), tmp_path / "warm.tif")  # libraries load once
    tracemalloc.start()
    write_geotiff(found, tmp_path / "map.tif")
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert peak < band


def test_text_from_a_plan_cannot_break_the_file(tmp_path: Path) -> None:
    path = tmp_path / "map.tif"
    write_geotiff(made(21, title='a <b> & \x1b[2J\u202e "c" ]]> é'), path)
    with rasterio.open(path) as file:
        title = file.tags()["TITLE"]
    assert title == 'a <b> & \ufffd[2J\ufffd "c" ]]> é'
