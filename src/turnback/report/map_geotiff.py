"""The layers of a turn-back map as one cloud-optimised GeoTIFF."""

from __future__ import annotations

import warnings
from collections.abc import Callable
from pathlib import Path
from typing import Any, Final

from turnback import __version__
from turnback.records.home_map import LAYERS, NO_DATA, HomeMap, Reason
from turnback.report.files import writing_whole
from turnback.report.map_files_meanings import MEANINGS, REASON_MEANINGS
from turnback.report.map_files_tiff import Tag, read_tags, write_tiff
from turnback.report.svg import STEERING

KEPT_TAGS: Final = (305, 33550, 33922, 34735, 34736, 34737, 42112, 42113)
"""Software, place, projection, what the bands are, nodata: the entries that GDAL writes for us."""
CAUTION: Final = "An estimate, not a permission. This does not know your local law."
PLANE: Final = "Local metres east and north of the launch point"
_SHAPE: Final = 16  # of the small file from which those entries are taken


def write_geotiff(found: HomeMap, path: Path, tell: Callable[[float], None] | None = None) -> None:
    """Write every layer of a map as one band of a cloud-optimised GeoTIFF: int16 with scale, unit and nodata.

    Parameters
    ----------
    found : HomeMap
    path : Path
        Replaced whole, or left as it was: nothing half-written stands there at any time.
    tell : callable, optional
        Gets the share done, 0 to 1. What it raises ends the writing and leaves nothing behind.

    Raises
    ------
    InputError
        If the place cannot be written.

    Notes
    -----
    Bands stand in the order of `LAYERS`. Overviews hold the nearest cell: a mean of codes means nothing, and a mean of
    chances would hide the worst. The plane is `turnback.physics.geodesy.east_north_m`, which PROJ calls ``aeqd``.
    Where the launch point is not known, the coordinates are plain local metres without a place on Earth.
    """
    keys = [key for key in LAYERS if key in found.layers]
    with writing_whole(path) as handle:
        write_tiff(handle, [found.layers[key].values for key in keys], _head(found, keys), NO_DATA, tell)


def crs_wkt(found: HomeMap) -> str:
    """Return the coordinate system of the map as WKT, centred on the launch point where that is known."""
    if found.launch_lat_deg is None or found.launch_lon_deg is None:
        return f'LOCAL_CS["{PLANE}",UNIT["metre",1],AXIS["Easting",EAST],AXIS["Northing",NORTH]]'
    return (
        f'PROJCS["{PLANE}",GEOGCS["WGS 84",DATUM["WGS_1984",SPHEROID["WGS 84",6378137,298.257223563]],'
        'PRIMEM["Greenwich",0],UNIT["degree",0.0174532925199433]],PROJECTION["Azimuthal_Equidistant"],'
        f'PARAMETER["latitude_of_center",{found.launch_lat_deg!r}],'
        f'PARAMETER["longitude_of_center",{found.launch_lon_deg!r}],PARAMETER["false_easting",0],'
        'PARAMETER["false_northing",0],UNIT["metre",1],AXIS["Easting",EAST],AXIS["Northing",NORTH]]'
    )


def _head(found: HomeMap, keys: list[str]) -> dict[int, Tag]:
    """Return the entries that say what and where it is, taken from a small file that GDAL writes in memory."""
    from rasterio.crs import CRS  # noqa: PLC0415 - heavy
    from rasterio.errors import NotGeoreferencedWarning  # noqa: PLC0415
    from rasterio.io import MemoryFile  # noqa: PLC0415
    from rasterio.transform import Affine  # noqa: PLC0415

    half = found.cell_m / 2.0
    place = Affine(found.cell_m, 0.0, found.x_west_m - half, 0.0, -found.cell_m, found.y_north_m + half)
    with warnings.catch_warnings(), MemoryFile() as memory:
        warnings.simplefilter("ignore", NotGeoreferencedWarning)
        with memory.open(
            driver="GTiff", width=_SHAPE, height=_SHAPE, count=len(keys), dtype="int16", nodata=NO_DATA,
            transform=place, crs=CRS.from_wkt(crs_wkt(found)),
        ) as file:  # fmt: skip
            _describe(file, found, keys)
        tags = read_tags(bytes(memory.read()))
    return {key: tags[key] for key in KEPT_TAGS if key in tags}


def _describe(file: Any, found: HomeMap, keys: list[str]) -> None:
    file.scales = tuple(found.layers[key].scale for key in keys)
    file.offsets = (0.0,) * len(keys)
    file.units = tuple(found.layers[key].unit for key in keys)
    file.descriptions = tuple(keys)
    file.update_tags(**{key: STEERING.sub("\ufffd", value) for key, value in _said(found).items()})
    for number, key in enumerate(keys, start=1):
        file.update_tags(number, MEANING=MEANINGS[key])
        if key == "reason":
            file.update_tags(number, CODES=_codes())


def _said(found: HomeMap) -> dict[str, str]:
    """Return what the file says of itself; plain English, so that every reader of files gets the same."""
    said = {
        "TIFFTAG_SOFTWARE": f"Turnback {__version__}",
        "TITLE": found.title,
        "CAUTION": CAUTION,
        "HEIGHT_FLOWN_M": repr(found.height_m),
        "HEIGHT_ABOVE": found.height_above,
        "RADIUS_M": repr(found.radius_m),
        "RING_CHANCE": repr(found.ring.chance),
        "REASON_CODES": _codes(),
        "TERRAIN_SOURCE": found.terrain_source,
        "TERRAIN_ASSUMED": "yes" if found.terrain_assumed else "no",
        "DRAWS": str(found.draws),
        "SEED": str(found.seed),
        "OVERVIEWS": "nearest cell, never a mean",
        "OVR_RESAMPLING": "NEAREST",
    }
    if found.measured:
        said["CORRECTED_BY_A_RANGE_WALK"] = ", ".join(found.measured)
    return said


def _codes() -> str:
    return "; ".join(f"{reason.value} {REASON_MEANINGS[reason]}" for reason in Reason)
