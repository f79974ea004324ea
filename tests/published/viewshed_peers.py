"""What is seen from a place, by two general programs: GRASS (`r.viewshed`) and xarray-spatial.

Both answer visibility alone. GRASS is a program of Debian (`grass-core`), run as a process of its own; what is timed is
that one command, reading and writing its own raster, without starting the session.
"""

from __future__ import annotations

import shutil
import subprocess
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

import numpy as np
import rasterio
from numpy.typing import NDArray
from rasterio.transform import from_origin

EFFECTIVE: Final = 1.0 - 6371.0 / 8500.0
"""The refraction that makes an Earth of 6371 km one of 8500 km."""
ANY_CRS: Final = "EPSG:32616"
WEST_M, NORTH_M = 500_000.0, 4_000_000.0


@dataclass(frozen=True)
class Seen:
    """Which cells are seen, and how long it took to find out."""

    visible: NDArray[np.bool_]
    seconds: float


def grass_seen(
    height_m: NDArray[Any], cell_m: float, row: int, column: int, observer_m: float, target_m: float
) -> Seen:
    """Return what `r.viewshed` sees from the centre of a cell, with the curvature of an Earth of 8500 km."""
    folder = Path(tempfile.mkdtemp())

    def run(*words: str) -> None:
        subprocess.run(words, check=True, capture_output=True, text=True)

    try:
        rows, columns = height_m.shape
        with rasterio.open(
            folder / "ground.tif", "w", driver="GTiff", width=columns, height=rows, count=1, dtype="float32",
            crs=ANY_CRS, transform=from_origin(WEST_M, NORTH_M, cell_m, cell_m),
        ) as made:  # fmt: skip
            made.write(height_m.astype(np.float32), 1)
        run("grass", "-c", ANY_CRS, str(folder / "place"), "-e")
        inside = ("grass", str(folder / "place" / "PERMANENT"), "--exec")
        run(*inside, "r.in.gdal", f"input={folder / 'ground.tif'}", "output=ground")
        run(*inside, "g.region", "raster=ground")
        east, north = WEST_M + (column + 0.5) * cell_m, NORTH_M - (row + 0.5) * cell_m
        script = folder / "timed.sh"
        script.write_text(
            "#!/bin/sh\nset -e\nstart=$(date +%s%N)\n"
            f"r.viewshed -b -c -r --quiet input=ground output=seen coordinates={east},{north} "
            f"observer_elevation={observer_m} target_elevation={target_m} refraction_coeff={EFFECTIVE} memory=2000\n"
            f"end=$(date +%s%N)\necho $((end - start)) > {folder / 'took'}\n",
            encoding="utf-8",
        )
        script.chmod(0o755)
        run(*inside, str(script))
        run(*inside, "r.out.gdal", "input=seen", f"output={folder / 'seen.tif'}", "format=GTiff", "type=Byte", "-f")
        with rasterio.open(folder / "seen.tif") as found:
            visible = found.read(1) == 1
        return Seen(visible, int((folder / "took").read_text(encoding="utf-8")) * 1e-9)
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def xarray_spatial_seen(
    height_m: NDArray[Any], cell_m: float, row: int, column: int, observer_m: float, target_m: float
) -> Seen:
    """Return what xarray-spatial sees, over a flat Earth, after its kernels are compiled."""
    import xarray
    from xrspatial import viewshed  # type: ignore[import-untyped]

    rows, columns = height_m.shape
    x, y = np.arange(columns) * cell_m, np.arange(rows)[::-1] * cell_m
    ground = xarray.DataArray(height_m.astype(np.float64), dims=("y", "x"), coords={"y": y, "x": x})
    took = []
    for _ in range(3):
        start_s = time.perf_counter()
        found = viewshed(
            ground.copy(), x=float(x[column]), y=float(y[row]), observer_elev=observer_m, target_elev=target_m
        )
        took.append(time.perf_counter() - start_s)
    return Seen(np.asarray(found.values > -1.0), min(took))
