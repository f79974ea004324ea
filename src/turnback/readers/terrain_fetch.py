"""Fetch the ground around a place: only the parts of the rasters that are needed, by ranges, through GDAL."""

from __future__ import annotations

import math
import os
import re
import socket
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final
from urllib.parse import urlsplit
from urllib.request import getproxies

from turnback.base.errors import InputError, bad_input
from turnback.base.ranges import within
from turnback.physics.geodesy import lat_lon_deg
from turnback.readers.terrain_address import Box, addresses, host_of, verified_template
from turnback.readers.terrain_cache import TerrainCache
from turnback.readers.terrain_files import silence

Tell = Callable[[float], None]

MOST_PIXELS: Final = 10_000  # along a side of one piece
STEP_DEG: Final = 0.01  # pieces are cut to this, so that the next site nearby finds them kept
RIM_DEG: Final = 0.002  # beyond the circle: pixels on both sides of its edge
PATIENCE_S: Final = 5.0
ABSENT: Final = re.compile(r"\b40[34]\b")
"""How a service says that it has no such file; a port such as 34049 says nothing of the kind."""
FARTHEST_M: Final = 50_000.0
_REMOTE: Final = {
    "GDAL_PAM_ENABLED": "NO",
    "GDAL_DISABLE_READDIR_ON_OPEN": "EMPTY_DIR",  # ask for the raster itself and nothing beside it
    "CPL_VSIL_CURL_NON_CACHED": "/vsicurl/",
    "GDAL_HTTP_CONNECTTIMEOUT": "10",
    "GDAL_HTTP_TIMEOUT": "60",
    "GDAL_HTTP_MAX_RETRY": "2",
    "GDAL_HTTP_RETRY_DELAY": "1",
    "GDAL_NUM_THREADS": "1",
    "CPL_DEBUG": "OFF",
}


@dataclass(frozen=True, slots=True)
class Fetched:
    """What was fetched.

    Attributes
    ----------
    path : Path
        The raster, a GeoTIFF.
    host : str
        Who was asked.
    columns, rows : int
    pieces, kept : int
        How many pieces it was put together from, and how many of them lay in the cache.
    missing : int
        Tiles that the service does not have, as over the sea.
    """

    path: Path
    host: str
    columns: int
    rows: int
    pieces: int
    kept: int
    missing: int


def fetch_terrain(
    template: str,
    lat_deg: float,
    lon_deg: float,
    radius_m: float,
    out: Path,
    cache: TerrainCache,
    tell: Tell | None = None,
) -> Fetched:
    """Fetch the ground within a radius of a place into a GeoTIFF that a plan can name.

    Parameters
    ----------
    template : str
        Of an open elevation service; see `turnback.readers.terrain_address`.
    lat_deg, lon_deg : float
        WGS-84 degrees; latitude -85 to 85.
    radius_m : float
        50 to 50,000 m.
    out : Path
        Replaced whole; nothing is left of a fetch that fails.
    cache : TerrainCache
    tell : callable, optional
        Told the share that is done; what it raises stops the fetch.

    Raises
    ------
    InputError
        If an input is out of range, nobody answers, or the service has no ground there.
    """
    box = _box(lat_deg, lon_deg, radius_m)
    asked = addresses(verified_template(template), box)
    pieces: list[Path] = []
    kept = 0
    for number, (address, part) in enumerate(asked):
        if tell is not None:
            tell(number / len(asked))
        piece, was_kept = _piece(address, part, cache)
        kept += was_kept
        if piece is not None:
            pieces.append(piece)
    host = host_of(template)
    if not pieces:
        raise bad_input(
            "--from",
            f"{host} has no ground at {lat_deg:g}, {lon_deg:g}",
            "look at the address, and at the place's signs",
        )
    columns, rows = _joined(pieces, out, host)
    cache.trim()
    return Fetched(out, host, columns, rows, len(pieces), kept, len(asked) - len(pieces))


def _box(lat_deg: float, lon_deg: float, radius_m: float) -> Box:
    lat = float(within("--lat", lat_deg, -85.0, 85.0, "degrees", "latitude and longitude are often swapped"))
    lon = float(within("--lon", lon_deg, -180.0, 180.0, "degrees", "west is negative"))
    radius = float(within("--radius", radius_m, 50.0, FARTHEST_M, "m", "enter metres, not kilometres"))
    north, _ = lat_lon_deg(0.0, radius, lat, lon)
    _, east = lat_lon_deg(radius, 0.0, lat, lon)
    tall, wide = abs(float(north) - lat) + RIM_DEG, abs((float(east) - lon + 180.0) % 360.0 - 180.0) * 1.02 + RIM_DEG
    return Box(*(math.floor(edge / STEP_DEG) * STEP_DEG for edge in (lon - wide, lat - tall)),
               *(math.ceil(edge / STEP_DEG) * STEP_DEG for edge in (lon + wide, lat + tall)))  # fmt: skip


def _piece(address: str, part: Box, cache: TerrainCache) -> tuple[Path | None, bool]:
    """Return the part of one raster, kept or fetched; None where the service has no such raster."""
    key = f"{address} {part.west:.4f} {part.south:.4f} {part.east:.4f} {part.north:.4f}"
    found = cache.found(key)
    if found is not None:
        if _sound(found):
            return found, True
        cache.drop(key)
    _answers(address)
    with _opened(address) as raster:
        if raster is None:
            return None, False
        heights, profile, traits = _part_of(raster, part, address)  # what fails from here on is this machine's own
    return cache.keep(key, lambda path: _write(path, heights[None], profile, traits)), False


def _answers(address: str) -> None:
    """Raise where nobody listens: offline must be told as such, and at once."""
    parts = urlsplit(address)
    if getproxies().get(parts.scheme) and parts.hostname not in ("127.0.0.1", "localhost"):
        return  # another machine asks for us: its answer tells
    port = parts.port or (443 if parts.scheme == "https" else 80)
    try:
        socket.create_connection((parts.hostname or "", port), PATIENCE_S).close()
    except OSError as error:
        raise _nobody(address) from error


def _nobody(address: str) -> InputError:
    return bad_input(
        "--from", f"nobody answers at {host_of(address)}: this machine looks offline, or the address is wrong",
        "try again with a network, or name a raster that you have in the plan",
    )  # fmt: skip


@contextmanager
def _opened(address: str) -> Iterator[Any]:
    """Open a raster behind an address; None where the service says that there is none."""
    import rasterio  # noqa: PLC0415 - heavy
    from rasterio.errors import RasterioError  # noqa: PLC0415

    host = host_of(address)
    local = urlsplit(address).hostname in ("127.0.0.1", "localhost")
    guards = {**_REMOTE, "CPL_VSIL_CURL_ALLOWED_FILENAME": f"/vsicurl/{address}"}
    if local:
        guards["GDAL_HTTP_PROXY"] = ""
    with silence(), rasterio.Env(**guards):
        try:
            raster = rasterio.open(f"/vsicurl/{address}", driver="GTiff")
        except RasterioError as error:
            said = str(error).replace(address, "")
            if ABSENT.search(said):
                yield None
                return
            if "onnect" in said or "resolve" in said or "imed out" in said:
                raise _nobody(address) from error
            raise bad_input(
                "--from", f"{host} does not send a GeoTIFF that can be read in parts",
                "use a service of cloud-optimised GeoTIFFs",
            ) from error  # fmt: skip
        with raster:
            try:
                yield raster
            except RasterioError as error:
                raise bad_input("--from", f"{host} broke off half-way", "try again") from error


def _part_of(raster: Any, part: Box, address: str) -> tuple[Any, dict[str, Any], dict[str, Any]]:
    """Return the pixels of a raster that a box of degrees needs, with all that says what they mean."""
    from rasterio.crs import CRS  # noqa: PLC0415
    from rasterio.warp import transform_bounds  # noqa: PLC0415
    from rasterio.windows import Window, from_bounds  # noqa: PLC0415

    host = host_of(address)
    if not raster.crs:
        raise bad_input("--from", f"{host} sends a raster with no projection", "use a service that names it")
    bounds = transform_bounds(CRS.from_epsg(4326), raster.crs, part.west, part.south, part.east, part.north)
    around = from_bounds(*bounds, transform=raster.transform)
    left, top = max(0, math.floor(around.col_off) - 1), max(0, math.floor(around.row_off) - 1)
    right = min(raster.width, math.ceil(around.col_off + around.width) + 1)
    bottom = min(raster.height, math.ceil(around.row_off + around.height) + 1)
    if right - left < 2 or bottom - top < 2:
        raise bad_input("--from", f"what {host} sends does not hold the place", "look at the address")
    if max(right - left, bottom - top) > MOST_PIXELS:
        raise bad_input("--radius", f"asks {host} for {right - left} x {bottom - top} pixels", "ask for less ground")
    window = Window(left, top, right - left, bottom - top)
    heights = raster.read(1, window=window)
    profile = {
        "driver": "GTiff", "width": right - left, "height": bottom - top, "count": 1, "dtype": heights.dtype,
        "crs": raster.crs, "transform": raster.window_transform(window), "nodata": raster.nodata,
        "compress": "deflate",
    }  # fmt: skip
    return heights, profile, _traits(raster)


def _traits(raster: Any) -> dict[str, Any]:
    """Return unit, scale and offset of the heights."""
    return {"units": (raster.units[0] or "",), "scales": (raster.scales[0],), "offsets": (raster.offsets[0],)}


def _write(path: Path, heights: Any, profile: dict[str, Any], traits: dict[str, Any], source: str = "") -> None:
    import rasterio  # noqa: PLC0415

    with silence(), rasterio.open(path, "w", **profile) as raster:
        raster.write(heights)
        for name, value in traits.items():
            setattr(raster, name, value)
        if source:
            raster.update_tags(SOURCE=source)


def _sound(path: Path) -> bool:
    """True where a kept piece can still be read to its end."""
    import rasterio  # noqa: PLC0415
    from rasterio.errors import RasterioError  # noqa: PLC0415

    try:
        with silence(), rasterio.open(path, driver="GTiff") as piece:
            piece.read(1)
    except (RasterioError, ValueError):
        return False
    return True


def _joined(pieces: list[Path], out: Path, host: str) -> tuple[int, int]:
    """Write the pieces as one raster beside its place, then move it in; return columns and rows."""
    import rasterio  # noqa: PLC0415
    from rasterio.merge import merge  # noqa: PLC0415

    temporary: Path | None = None
    try:
        with silence():
            with rasterio.open(pieces[0]) as first:
                profile, traits = dict(first.profile), _traits(first)
            heights, place = merge(pieces)
        profile.update(width=heights.shape[2], height=heights.shape[1], transform=place, compress="deflate")
        handle, name = tempfile.mkstemp(dir=out.parent, prefix=f".{out.name}.", suffix=".tif")
        os.close(handle)
        temporary = Path(name)
        _write(temporary, heights, profile, traits, f"fetched from {host}")
        temporary.chmod(0o644)
        temporary.replace(out)
    except OSError as error:
        raise bad_input(str(out), "cannot be written", "name a place where you may write") from error
    finally:
        if temporary is not None:
            temporary.unlink(missing_ok=True)
    return int(heights.shape[2]), int(heights.shape[1])
