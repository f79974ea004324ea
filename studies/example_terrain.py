"""Make the example terrain: the public 3 arc-second grid that matplotlib ships as sample data, kept as a GeoTIFF.

Run ``python studies/example_terrain.py`` with matplotlib and rasterio installed; it writes examples/terrain again.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import numpy as np
import rasterio
from numpy.typing import NDArray
from rasterio.transform import from_origin

TARGET = Path(__file__).parent.parent / "examples" / "terrain" / "jacksboro_fault.tif"
SOURCE = (
    "Shuttle Radar Topography Mission, 3 arc-seconds (NASA/USGS, public domain), "
    "from the sample data of matplotlib (jacksboro_fault_dem.npz)"
)


def source_grid() -> tuple[NDArray[np.int16], dict[str, Any]]:
    """Return the heights in metres, row 0 in the north, and the rasterio profile that places them.

    The source names its corners by pixel edges, and calls the north edge ``ymin`` (drawn rows count downward).
    """
    import matplotlib as mpl  # noqa: PLC0415 - needed by this study only

    file = Path(mpl.get_data_path()) / "sample_data" / "jacksboro_fault_dem.npz"
    with np.load(file) as held:
        heights = np.asarray(held["elevation"], dtype=np.int16)
        west, north = float(held["xmin"]), max(float(held["ymin"]), float(held["ymax"]))
        step = float(held["dx"]), float(held["dy"])
    profile = {
        "driver": "GTiff", "dtype": "int16", "count": 1, "height": heights.shape[0], "width": heights.shape[1],
        "crs": "EPSG:4326", "transform": from_origin(west, north, *step), "nodata": -32768,
        "compress": "deflate", "predictor": 2, "zlevel": 9, "tiled": True, "blockxsize": 128, "blockysize": 128,
    }  # fmt: skip
    return heights, profile


def write(target: Path) -> None:
    """Write the GeoTIFF."""
    heights, profile = source_grid()
    with rasterio.open(target, "w", **profile) as raster:
        raster.write(heights, 1)
        raster.set_band_unit(1, "m")
        raster.update_tags(source=SOURCE, units="m")


if __name__ == "__main__":
    write(TARGET)
    sys.stdout.write(f"{TARGET.name}: {TARGET.stat().st_size} bytes\n")
