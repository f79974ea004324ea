"""Ground is fetched in parts from a server on loopback, kept, and told plainly when nobody answers."""

from __future__ import annotations

import os
import socket
import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import numpy as np
import pytest
import rasterio
from rasterio.transform import from_origin

from turnback.base.errors import InputError
from turnback.readers.terrain import read_terrain
from turnback.readers.terrain_address import Box, addresses, verified_template
from turnback.readers.terrain_cache import TerrainCache
from turnback.readers.terrain_fetch import ABSENT, fetch_terrain

SIDE = 1201  # 3 arc-seconds
LAT, LON = 36.5, -84.5


@dataclass
class Service:
    """An elevation service on loopback, and what it was asked."""

    template: str
    ranges: list[str] = field(default_factory=list)
    sent_bytes: int = 0


def plane_m(lat: np.ndarray, lon: np.ndarray) -> np.ndarray:
    """Ground of our own making: it rises to the north-east."""
    return 300.0 + 400.0 * (lat - 36.0) + 200.0 * (lon + 85.0)


def write_tile(path: Path, west: float, north: float) -> None:
    step = 1.0 / (SIDE - 1)
    lat = north - np.arange(SIDE) * step
    lon = west + np.arange(SIDE) * step
    heights = np.round(plane_m(lat[:, None], lon[None, :])).astype(np.int16)
    heights += np.random.default_rng(1).integers(0, 2, heights.shape, dtype=np.int16)  # so that it does not pack small
    raw = path.with_suffix(".raw.tif")
    with rasterio.open(
        raw, "w", driver="GTiff", width=SIDE, height=SIDE, count=1, dtype="int16", crs="EPSG:4326", nodata=-32768,
        transform=from_origin(west - step / 2.0, north + step / 2.0, step, step),
    ) as made:  # fmt: skip
        made.write(heights, 1)
    from rasterio.shutil import copy

    copy(raw, path, driver="COG", compress="DEFLATE", blocksize=256)
    raw.unlink()


@pytest.fixture(scope="module")
def tiles(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("tiles")
    write_tile(folder / "N36W085.tif", -85.0, 37.0)
    write_tile(folder / "N36W084.tif", -84.0, 37.0)
    (folder / "page.tif").write_text("<html>sign in first</html>", encoding="utf-8")
    return folder


@pytest.fixture
def service(tiles: Path) -> Iterator[Service]:
    asked = Service("")

    class Handler(BaseHTTPRequestHandler):
        protocol_version = "HTTP/1.1"

        def log_message(self, *_: object) -> None:
            return

        def do_HEAD(self) -> None:
            self._answer(body=False)

        def do_GET(self) -> None:
            self._answer(body=True)

        def _answer(self, *, body: bool) -> None:
            path = tiles / Path(self.path).name
            if not path.is_file():
                self.send_response(404)
                self.send_header("Content-Length", "0")
                self.end_headers()
                return
            data, wanted = path.read_bytes(), self.headers.get("Range", "")
            first, last = 0, len(data) - 1
            if wanted.startswith("bytes="):
                start, end = wanted[6:].split("-")
                first, last = int(start), min(int(end or last), last)
                asked.ranges.append(wanted)
                self.send_response(206)
                self.send_header("Content-Range", f"bytes {first}-{last}/{len(data)}")
            else:
                self.send_response(200)
            self.send_header("Accept-Ranges", "bytes")
            self.send_header("Content-Length", str(last - first + 1))
            self.end_headers()
            if body:
                asked.sent_bytes += last - first + 1
                self.wfile.write(data[first : last + 1])

    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    asked.template = f"http://127.0.0.1:{server.server_address[1]}/{{NS}}{{lat}}{{EW}}{{lon}}.tif"
    yield asked
    server.shutdown()
    server.server_close()
    thread.join()


def test_only_the_part_that_is_needed_is_asked_for(service: Service, tiles: Path, tmp_path: Path) -> None:
    found = fetch_terrain(
        service.template, LAT, LON, 2000.0, tmp_path / "ground.tif", TerrainCache(tmp_path / "kept", 10**8)
    )
    assert (found.host, found.pieces, found.kept, found.missing) == ("127.0.0.1", 1, 0, 0)
    assert service.ranges, "the raster was not read by ranges"
    assert service.sent_bytes < 0.5 * (tiles / "N36W085.tif").stat().st_size


def test_what_was_fetched_is_ground_that_a_plan_can_name(service: Service, tmp_path: Path) -> None:
    out = tmp_path / "ground.tif"
    fetch_terrain(service.template, LAT, LON, 2000.0, out, TerrainCache(tmp_path / "kept", 10**8))
    ground = read_terrain(out, LAT, LON, 2000.0, "site.terrain")
    assert ground.missing_fraction == 0.0
    assert ground.launch_ground_m == pytest.approx(float(plane_m(np.array(LAT), np.array(LON))), abs=1.5)
    assert "fetched from 127.0.0.1" in ground.source


def test_two_tiles_are_joined(service: Service, tmp_path: Path) -> None:
    out = tmp_path / "ground.tif"
    found = fetch_terrain(service.template, LAT, -84.0, 3000.0, out, TerrainCache(tmp_path / "kept", 10**8))
    assert found.pieces == 2
    ground = read_terrain(out, LAT, -84.0, 3000.0, "site.terrain")
    assert ground.known.all()
    east_m = float(ground.ground_m(2500.0, 0.0)) - float(ground.ground_m(-2500.0, 0.0))
    assert east_m == pytest.approx(200.0 * 5000.0 / (111_320.0 * np.cos(np.deg2rad(LAT))), abs=2.0)


def test_the_second_time_nobody_is_asked(service: Service, tmp_path: Path) -> None:
    cache = TerrainCache(tmp_path / "kept", 10**8)
    fetch_terrain(service.template, LAT, LON, 2000.0, tmp_path / "one.tif", cache)
    before = len(service.ranges)
    found = fetch_terrain(service.template, LAT, LON, 2000.0, tmp_path / "two.tif", cache)
    assert found.kept == 1
    assert len(service.ranges) == before
    assert (tmp_path / "one.tif").read_bytes() == (tmp_path / "two.tif").read_bytes()


def test_a_damaged_piece_is_fetched_again(service: Service, tmp_path: Path) -> None:
    cache = TerrainCache(tmp_path / "kept", 10**8)
    fetch_terrain(service.template, LAT, LON, 2000.0, tmp_path / "one.tif", cache)
    (piece,) = cache.folder.glob("*.tif")
    piece.write_bytes(piece.read_bytes()[:300])
    found = fetch_terrain(service.template, LAT, LON, 2000.0, tmp_path / "two.tif", cache)
    assert found.kept == 0
    assert (tmp_path / "one.tif").read_bytes() == (tmp_path / "two.tif").read_bytes()


def test_the_cache_stays_under_its_limit(service: Service, tmp_path: Path) -> None:
    cache = TerrainCache(tmp_path / "kept", 60_000)
    for k in range(4):
        fetch_terrain(service.template, 36.2 + 0.2 * k, LON, 2000.0, tmp_path / "ground.tif", cache)
    assert 0 < cache.size_bytes() <= 60_000
    assert cache.found("never fetched") is None


def ten_bytes(path: Path) -> None:
    path.write_bytes(b"0123456789")


def test_the_longest_unused_goes_first(tmp_path: Path) -> None:
    """By hand: room for two of three; the first was used again, so the second goes."""
    cache = TerrainCache(tmp_path, 25)
    for age, key in ((30.0, "first"), (20.0, "second")):
        path = cache.keep(key, ten_bytes)
        used = time.time() - age
        os.utime(path, (used, used))
    assert cache.found("first") is not None
    newest = cache.keep("third", ten_bytes)
    assert cache.found("second") is None
    assert cache.found("first") is not None
    assert cache.found("third") == newest
    TerrainCache(tmp_path, 10).trim()
    assert cache.size_bytes() == 10


def test_a_cache_of_nothing_still_fetches(service: Service, tmp_path: Path) -> None:
    cache = TerrainCache(tmp_path / "kept", 0)
    fetch_terrain(service.template, LAT, LON, 500.0, tmp_path / "ground.tif", cache)
    assert (tmp_path / "ground.tif").is_file()
    assert cache.size_bytes() == 0


def faults_of(template: str, folder: Path, lat: float = LAT, lon: float = LON, radius_m: float = 1000.0) -> str:
    with pytest.raises(InputError) as caught:
        fetch_terrain(template, lat, lon, radius_m, folder / "ground.tif", TerrainCache(folder / "kept", 10**8))
    assert not (folder / "ground.tif").exists()
    assert not list(folder.glob(".*"))
    return caught.value.faults[0].sentence()


def test_offline_it_says_so(tmp_path: Path) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))  # bound, not listening: nobody answers here
        port = taken.getsockname()[1]
        said = faults_of(f"http://127.0.0.1:{port}/{{NS}}{{lat}}{{EW}}{{lon}}.tif", tmp_path)
    assert "nobody answers at 127.0.0.1" in said
    assert "offline" in said


def test_ground_that_the_service_does_not_have(service: Service, tmp_path: Path) -> None:
    assert "has no ground at 10.5, 20.5" in faults_of(service.template, tmp_path, 10.5, 20.5)


def test_a_web_page_is_no_ground(service: Service, tmp_path: Path) -> None:
    template = service.template.rsplit("/", 1)[0] + "/page.tif"
    assert "does not send a GeoTIFF" in faults_of(template, tmp_path)


def test_a_number_in_an_address_is_no_answer_of_a_service() -> None:
    assert ABSENT.search("HTTP response code: 404")
    assert not ABSENT.search("127.0.0.1:34049 sent no GeoTIFF")


def test_a_folder_that_is_not_there(service: Service, tmp_path: Path) -> None:
    with pytest.raises(InputError, match="cannot be written"):
        fetch_terrain(
            service.template, LAT, LON, 500.0, tmp_path / "none" / "ground.tif", TerrainCache(tmp_path / "kept", 10**8)
        )


@pytest.mark.parametrize(
    ("template", "said"),
    [
        ("/vsicurl/http://127.0.0.1/x.tif", "no address of the web"),
        ("file:///etc/passwd", "no address of the web"),
        ("http://127.0.0.1/{tile}.tif", "{tile} is no place"),
        ("http://127.0.0.1/{lat.tif", "is no place"),
        ("http://127.0.0.1/{lat}.tif", "one of latitude and longitude only"),
        ("http://127.0.0.1/{lat.__class__}{lon}.tif", "is no place"),
    ],
)
def test_an_address_that_is_none(template: str, said: str) -> None:
    with pytest.raises(InputError, match=said.replace("{", r"\{").replace("}", r"\}")):
        verified_template(template)


def test_places_out_of_range(tmp_path: Path) -> None:
    template = "http://127.0.0.1:9/{NS}{lat}{EW}{lon}.tif"
    assert "--lat" in faults_of(template, tmp_path, lat=136.0)
    assert "metres, not kilometres" in faults_of(template, tmp_path, radius_m=5.0)


def test_tiles_are_named_by_their_south_west_corner() -> None:
    template = "http://a.example/{NS}{lat}{EW}{lon}-{ns}{ew}.tif"
    found = [address for address, _ in addresses(template, Box(-0.2, -0.1, 0.1, 0.2))]
    assert found == [
        "http://a.example/S01W001-sw.tif",
        "http://a.example/S01E000-se.tif",
        "http://a.example/N00W001-nw.tif",
        "http://a.example/N00E000-ne.tif",
    ]
    beyond = [address for address, _ in addresses(template, Box(179.9, 10.1, 180.1, 10.2))]
    assert beyond == ["http://a.example/N10E179-ne.tif", "http://a.example/N10W180-nw.tif"]
