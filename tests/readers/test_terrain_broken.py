"""Broken rasters, each with the exact sentence it must get, and hostile ones, which must fetch nothing."""

from __future__ import annotations

import gzip
import logging
import socket
import threading
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import rasterio
from rasterio.enums import ColorInterp
from rasterio.transform import Affine, from_origin

from turnback.base.errors import InputError
from turnback.readers.terrain import read_terrain

WHERE = "plan.toml: site.terrain"
LAT, LON, RADIUS_M = 46.505, 8.005, 300.0
SLOPE = np.add.outer(np.arange(40), np.arange(40)).astype(np.float32) + 500.0
PLACE = from_origin(8.0, 46.51, 0.00025, 0.00025)  # 40 x 40 pixels around the launch point


def tif(path: Path, heights: Any = SLOPE, *, unit: str | None = "m", **profile: Any) -> Path:
    """Write a GeoTIFF, sound unless `profile` says otherwise; None leaves a part out."""
    bands = np.atleast_3d(heights).transpose(2, 0, 1) if np.ndim(heights) == 2 else np.asarray(heights)
    facts = {"crs": "EPSG:4326", "transform": PLACE, "dtype": bands.dtype, "nodata": None, **profile}
    kept = {key: value for key, value in facts.items() if value is not None}
    count, height, width = bands.shape
    with rasterio.open(path, "w", driver="GTiff", count=count, height=height, width=width, **kept) as raster:
        raster.write(bands)
        if unit:
            raster.set_band_unit(1, unit)
    return path


def plain(path: Path, content: bytes) -> Path:
    path.write_bytes(content)
    return path


def with_hole_at_launch(path: Path) -> Path:
    heights = SLOPE.copy()
    heights[10:31, 10:31] = -32768
    return tif(path, heights, nodata=-32768)


def truncated(path: Path) -> Path:
    whole = tif(path, np.random.default_rng(1).normal(500, 9, (400, 400)).astype(np.float32), unit=None,
                transform=from_origin(8.0, 46.51, 2.5e-5, 2.5e-5)).read_bytes()  # fmt: skip
    return plain(path, whole[: len(whole) // 3])


def headless(path: Path) -> Path:
    return plain(path, tif(path).read_bytes()[:40])


def palette(path: Path) -> Path:
    tif(path, SLOPE.astype(np.uint8), unit=None)
    with rasterio.open(path, "r+") as raster:
        raster.write_colormap(1, {1: (255, 0, 0, 255)})
    return path


def coloured(path: Path) -> Path:
    tif(path, np.stack([SLOPE.astype(np.uint8)] * 3), unit=None, photometric="RGB")
    with rasterio.open(path) as raster:
        assert raster.colorinterp[0] is ColorInterp.red
    return path


def folder(path: Path) -> Path:
    path.mkdir()
    return path


def zipped(path: Path) -> Path:
    inner = tif(path.with_name("inner.tif"))
    with zipfile.ZipFile(path, "w") as archive:
        archive.write(inner, "inner.tif")
    return path


def many_pixels(path: Path) -> Path:
    place = from_origin(7.95, 46.55, 5e-6, 5e-6)  # half a metre; sparse: a few kilobytes on disk
    with rasterio.open(path, "w", driver="GTiff", count=1, height=20000, width=20000, dtype="int16",
                       crs="EPSG:4326", transform=place, tiled=True, sparse_ok=True):  # fmt: skip
        pass
    return path


def wide_blocks(path: Path) -> Path:
    with rasterio.open(path, "w", driver="GTiff", count=1, height=12000, width=12000, dtype="int16",
                       crs="EPSG:4326", transform=from_origin(7.95, 46.55, 1e-5, 1e-5), tiled=True, sparse_ok=True,
                       blockxsize=12000, blockysize=12000):  # fmt: skip
        pass
    return path


Make = Callable[[Path], Path]
BROKEN: list[tuple[str, str, Make, str]] = [
    ("missing", "no.tif", lambda p: p,
     "no.tif does not exist; correct the path; it counts from the file that names it."),
    ("folder", "hill", folder, "hill is a folder; give the raster file inside it."),
    ("empty", "e.tif", lambda p: plain(p, b""), "e.tif is empty; copy or download it again."),
    ("text", "t.tif", lambda p: plain(p, b"a hill, quite steep\n" * 9),
     "t.tif is not a raster of heights in a format read here; give a GeoTIFF or an SRTM HGT tile."),
    ("noise", "n.bin", lambda p: plain(p, bytes(range(7, 250)) * 40),
     "n.bin is not a raster of heights in a format read here; give a GeoTIFF or an SRTM HGT tile."),
    ("web page", "w.tif", lambda p: plain(p, b"\n<!DOCTYPE html><html>log in first</html>"),
     "w.tif is a web page, not a raster; download it again: the site sent a page in its place."),
    ("zip", "z.tif", zipped, "z.tif is a zip archive; unpack it and give the raster inside."),
    ("gzip", "N46E008.hgt", lambda p: plain(p, gzip.compress(b"\0" * 99)),
     "N46E008.hgt is packed with gzip; unpack it and give the raster inside."),
    ("pointer", "l.tif", lambda p: plain(p, b"version https:spec/v1\noid sha256:0\n"),
     "l.tif is only a pointer to the file; fetch the file itself."),
    ("recipe", "v.tif", lambda p: plain(p, b"<VRTDataset rasterXSize='9' rasterYSize='9'></VRTDataset>"),
     "v.tif is a recipe that points to other files; give the raster itself, such as a GeoTIFF."),
    ("photo", "p.jpg", lambda p: plain(p, b"\xff\xd8\xff\xe0" + b"\0" * 99),
     "p.jpg is a picture, not heights; give the heights themselves, such as a GeoTIFF."),
    ("PNG", "p.png", lambda p: plain(p, b"\x89PNG\r\n\x1a\n" + b"\0" * 99),
     "p.png is a picture, not heights; give the heights themselves, such as a GeoTIFF."),
    ("HDF5", "h.nc", lambda p: plain(p, b"\x89HDF\r\n\x1a\n" + b"\0" * 99),
     "h.nc is HDF5 or netCDF, which is not read here; convert it to GeoTIFF."),
    ("netCDF", "h.nc", lambda p: plain(p, b"CDF\x01" + b"\0" * 99),
     "h.nc is netCDF, which is not read here; convert it to GeoTIFF."),
    ("only a header", "x.tif", headless, "x.tif is a damaged GeoTIFF: it cannot be opened; copy or download it again."),
    ("truncated", "x.tif", truncated,
     "x.tif ends early or is damaged: its heights cannot be read; copy or download it again."),
    ("short HGT", "N46E008.hgt", lambda p: plain(p, b"\x01\xf4" * 5000),
     "N46E008.hgt is not a whole SRTM tile named after its south-west corner; "
     "name it like N36W085.hgt and see that it holds 1201 x 1201 or 3601 x 3601 heights of two bytes."),
    ("renamed HGT", "hill.hgt", lambda p: plain(p, b"\x01\xf4" * 1201 * 1201),
     "hill.hgt is not a whole SRTM tile named after its south-west corner; "
     "name it like N36W085.hgt and see that it holds 1201 x 1201 or 3601 x 3601 heights of two bytes."),
    ("no projection", "x.tif", lambda p: tif(p, crs=None),
     "x.tif has no projection; assign the one its maker names, such as EPSG:4326 for degrees."),
    ("no place", "x.tif", lambda p: tif(p, transform=None),
     "x.tif does not say where its pixels lie; give it a georeference (corner and pixel size)."),
    ("no pixel size", "x.tif", lambda p: tif(p, transform=Affine(1e-12, 0, 8.0, 0, -1e-12, 46.5)),
     "x.tif does not say where its pixels lie; give it a georeference (corner and pixel size)."),
    ("projection of its own", "x.tif", lambda p: tif(p, crs='LOCAL_CS["field",UNIT["metre",1]]'),
     "x.tif has a projection of its own that is not tied to the Earth; reproject it to EPSG:4326 or UTM."),
    ("metres called degrees", "x.tif", lambda p: tif(p, transform=from_origin(443000, 5150000, 30, 30)),
     "x.tif says its corners are degrees, yet one lies at 443000, 5150000; "
     "they look like metres: assign the projection they are in, such as a UTM zone."),
    ("degrees called metres", "x.tif", lambda p: tif(p, crs="EPSG:32632"),
     "x.tif says its corners are metres, yet all lie within 46.510 of 0; they look like degrees: assign EPSG:4326."),
    ("elsewhere", "x.tif", lambda p: tif(p, transform=from_origin(18.0, 46.51, 0.00025, 0.00025)),
     "x.tif does not hold the launch point 46.505, 8.005; give a raster that holds it, or correct the launch point."),
    ("swapped", "x.tif", lambda p: tif(p, transform=from_origin(46.5, 8.01, 0.00025, 0.00025)),
     "x.tif does not hold the launch point 46.505, 8.005; latitude and longitude look swapped: exchange them."),
    ("east for west", "x.tif", lambda p: tif(p, transform=from_origin(-8.01, 46.51, 0.00025, 0.00025)),
     "x.tif does not hold the launch point 46.505, 8.005; the longitude's sign looks wrong: west is negative."),
    ("other side of the Earth", "x.tif", lambda p: tif(p, crs="EPSG:32756", transform=from_origin(3e5, 6.2e6, 30, 30)),
     "x.tif does not hold the launch point 46.505, 8.005; give a raster that holds it, or correct the launch point."),
    ("complex", "x.tif", lambda p: tif(p, SLOPE.astype(np.complex64)),
     "x.tif holds complex numbers, not heights; give a raster of heights."),
    ("RGB", "x.tif", coloured,
     "x.tif is a coloured picture, not heights; give the heights themselves, not a map drawn from them."),
    ("palette", "x.tif", palette,
     "x.tif is a coloured picture, not heights; give the heights themselves, not a map drawn from them."),
    ("grey", "x.tif", lambda p: tif(p, SLOPE.astype(np.uint8)),
     "x.tif holds only 256 grey steps, as a shaded picture does; "
     "give the heights themselves; if these are heights, store them as 16-bit or decimal numbers."),
    ("kelvin", "x.tif", lambda p: tif(p, unit="K"),
     "x.tif gives its values in 'K', not in metres or feet; give a raster of heights."),
    ("decimetres", "x.tif", lambda p: tif(p, SLOPE * 20.0, unit=None),
     "x.tif has heights up to 11440 m, above any ground on Earth (8849 m); "
     "they may be feet or decimetres: name the unit in the file's band, or convert them to metres."),
    ("sea floor", "x.tif", lambda p: tif(p, SLOPE - 2500.0),
     "x.tif has heights down to -1994 m, below any dry ground on Earth (-430 m); "
     "declare the value that marks voids, or set the sea floor to 0 m."),
    ("zero", "x.tif", lambda p: tif(p, SLOPE * 0.0),
     "x.tif has the one height 0 m everywhere within reach; "
     "the file may be blank; give another, or leave the terrain out and flat ground is assumed."),
    ("constant", "x.tif", lambda p: tif(p, SLOPE * 0.0 + 431.0),
     "x.tif has the one height 431 m everywhere within reach; "
     "the file may be blank; give another, or leave the terrain out and flat ground is assumed."),
    ("all void", "x.tif", lambda p: tif(p, SLOPE * 0.0 - 32768.0, nodata=-32768),
     "x.tif has no height within reach of the launch point; give another raster."),
    ("all nan", "x.tif", lambda p: tif(p, SLOPE * np.float32(np.nan)),
     "x.tif has no height within reach of the launch point; give another raster."),
    ("void at launch", "x.tif", with_hole_at_launch,
     "x.tif has no height at the launch point itself; move it, or mend the void there."),
    ("one pixel", "x.tif", lambda p: tif(p, SLOPE[:1, :1]),
     "x.tif is 1 x 1 pixels: no grid; give a raster of at least 2 x 2 pixels."),
    ("coarse", "x.tif", lambda p: tif(p, transform=from_origin(5.0, 49.0, 0.1, 0.1)),
     "x.tif has pixels 11.1 km wide, too coarse to show a hill; "
     "give a raster with pixels under 1 km, better 30 m."),
    ("block", "x.tif", wide_blocks,
     "x.tif is stored in blocks of 12000 x 12000 pixels, too large to unpack safely; "
     "store it again in tiles, or crop it."),
]  # fmt: skip


@pytest.mark.parametrize(("file", "make", "sentence"), [row[1:] for row in BROKEN], ids=[row[0] for row in BROKEN])
def test_a_broken_raster_gets_its_sentence(
    file: str, make: Make, sentence: str, tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    path = make(tmp_path / file)
    capfd.readouterr()
    with pytest.raises(InputError) as told:
        read_terrain(path, LAT, LON, RADIUS_M, WHERE)
    assert str(told.value) == f"{WHERE}: {sentence}"
    out, err = capfd.readouterr()
    assert out == ""
    assert err == ""


def test_a_raster_with_too_many_pixels_in_reach_is_not_read(tmp_path: Path) -> None:
    with pytest.raises(InputError) as told:
        read_terrain(many_pixels(tmp_path / "x.tif"), 46.5, 8.0, 20_000.0, WHERE)
    assert str(told.value) == (
        f"{WHERE}: x.tif has 400 million pixels within reach, more than 250 million; "
        "crop it, resample it to wider pixels, or fly a shorter route."
    )


def test_all_faults_of_one_raster_are_told_together(tmp_path: Path) -> None:
    with pytest.raises(InputError) as told:
        read_terrain(tif(tmp_path / "x.tif", SLOPE[:1].astype(np.complex64), crs=None), LAT, LON, RADIUS_M, WHERE)
    assert [fault.what for fault in told.value.faults] == [
        "x.tif holds complex numbers, not heights",
        "x.tif has no projection",
        "x.tif is 40 x 1 pixels: no grid",
    ]


def test_all_faults_of_the_launch_point_are_told_together(tmp_path: Path) -> None:
    with pytest.raises(InputError) as told:
        read_terrain(tif(tmp_path / "x.tif"), 121.0, float("nan"), 5.0, WHERE)
    assert [fault.where for fault in told.value.faults] == [
        f"{WHERE}: latitude of the launch point",
        f"{WHERE}: longitude of the launch point",
        f"{WHERE}: radius",
    ]


@pytest.fixture
def listener() -> Iterator[tuple[int, list[bytes]]]:
    """A server of this machine that notes whoever calls."""
    server = socket.create_server(("127.0.0.1", 0))
    server.settimeout(0.2)
    calls: list[bytes] = []
    stop = threading.Event()

    def listen() -> None:
        while not stop.is_set():
            try:
                caller, _ = server.accept()
            except TimeoutError:
                continue
            with caller:
                caller.settimeout(1.0)
                calls.append(caller.recv(200))

    thread = threading.Thread(target=listen)
    thread.start()
    yield server.getsockname()[1], calls
    stop.set()
    thread.join()
    server.close()


@pytest.mark.parametrize(
    "path",
    ["/vsicurl/http://127.0.0.1:{port}/x.tif", "http://127.0.0.1:{port}/x.tif", "zip+https://127.0.0.1:{port}/x.zip",
     "/vsizip/x.zip/x.tif", "<VRTDataset><SRS>http://127.0.0.1:{port}</SRS></VRTDataset>", "x\0.tif"],
)  # fmt: skip
def test_a_path_that_is_no_plain_file_is_refused(path: str, listener: tuple[int, list[bytes]]) -> None:
    port, calls = listener
    with pytest.raises(InputError, match="is not a plain file of this machine; copy the raster here and give its path"):
        read_terrain(path.format(port=port), LAT, LON, RADIUS_M, WHERE)
    assert calls == []


def test_a_sound_raster_that_points_to_a_remote_overview_fetches_nothing(
    tmp_path: Path, listener: tuple[int, list[bytes]]
) -> None:
    port, calls = listener
    fine = np.random.default_rng(2).normal(500, 5, (800, 800)).astype(np.float32)
    for number, address in enumerate((f"/vsicurl/http://127.0.0.1:{port}/o.tif", f"http://127.0.0.1:{port}/o.tif")):
        path = tif(tmp_path / f"{number}.tif", fine, transform=from_origin(8.0, 46.51, 1.25e-5, 1.25e-5))
        with rasterio.open(path, "r+") as raster:
            raster.update_tags(ns="OVERVIEWS", OVERVIEW_FILE=address)
        pam = (
            f'<PAMDataset><Metadata domain="OVERVIEWS"><MDI key="OVERVIEW_FILE">{address}</MDI></Metadata></PAMDataset>'
        )
        path.with_name(path.name + ".aux.xml").write_text(pam)
        terrain = read_terrain(path, LAT, LON, 200.0, WHERE)
        assert terrain.launch_ground_m == pytest.approx(500.0, abs=25.0)
    assert calls == []


def test_logging_is_left_as_it_was(tmp_path: Path) -> None:
    log = logging.getLogger("rasterio")
    before = log.level, log.propagate
    read_terrain(tif(tmp_path / "x.tif"), LAT, LON, RADIUS_M, WHERE)
    assert (log.level, log.propagate) == before
