"""The ground around a place, fetched."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from turnback.base.errors import bad_input
from turnback.readers.terrain_address import no_template
from turnback.readers.terrain_cache import TerrainCache
from turnback.readers.terrain_fetch import Fetched
from turnback.readers.terrain_fetch import fetch_terrain as _fetch_terrain

MOST_CACHE_BYTES: Final = 10**12


def fetch_terrain(
    template: str,
    lat_deg: float,
    lon_deg: float,
    radius_m: float,
    out: Path,
    *,
    cache: Path,
    cache_limit_bytes: float,
) -> Fetched:
    """Fetch the ground around a place into a GeoTIFF that a plan can name.

    Parameters
    ----------
    template : str
        Address of an open elevation service, with places for a tile's corner; empty where the user set none.
    lat_deg, lon_deg, radius_m : float
        The launch point, WGS-84 degrees, and how far around it.
    out : Path
        The raster to write.
    cache : Path
        Folder where what was fetched is kept,
    cache_limit_bytes : float
        and how much of it.

    Raises
    ------
    InputError
        If nobody answers (offline), the service has no such ground, or an input is out of range.
    """
    if not template:
        raise no_template()
    if not 0 <= cache_limit_bytes <= MOST_CACHE_BYTES:
        raise bad_input("--cache-mb", "is outside 0 to 1000000 MB", "enter megabytes, such as 500")
    return _fetch_terrain(template, lat_deg, lon_deg, radius_m, out, TerrainCache(cache, int(cache_limit_bytes)))
