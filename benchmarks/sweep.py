"""The radio sweep over a plane of ground: against two viewsheds on real ground, and how its cost grows.

The promises, on two cores: over 344 x 403 cells, both links (two frequencies), the sweep is faster than GRASS
`r.viewshed` and than xarray-spatial's viewshed, which say what is seen and no more; from 500 to 4000 cells a side the
cost on one fractal ground 20 km wide grows no faster than N² log N; on flat ground, where every sample could rule,
it takes at most 3 times that of the fractal.

The peers are timed in the same run on the same ground and launch point, after compiling. GRASS is timed for the one
command alone, without starting its session.
"""

from __future__ import annotations

import json
import math
import sys
import time
from collections.abc import Callable
from typing import Any, Final

import matplotlib.cbook
import numpy as np
from tests.made_ground import flat, fractal
from tests.published.viewshed_peers import grass_seen, xarray_spatial_seen

from turnback.physics.sweep_grid import sweep_losses
from turnback.physics.terrain_grid import TerrainGrid, terrain_grid

LINKS_MHZ: Final = np.array([2400.0, 5800.0])
CANOPIES_M: Final = (2.0, 5.0, 10.0, 15.0, 20.0, 30.0)
ANTENNA_M, AIRCRAFT_M, CELL_M = 1.5, 50.0, 90.0
SIZES: Final = (500, 1000, 2000, 4000)
EXTENT_M: Final = 20_000.0
PROMISED_FLAT_RATIO: Final = 3.0
PROMISED_GROWTH_RATIO: Final = 1.15
"""Of the time from one size to the next over N² log N: the noise of a shared machine."""


def best_s(action: Callable[[], Any], times: int) -> float:
    """Return the best of some runs, after a warm-up."""
    action()
    took = []
    for _ in range(times):
        start_s = time.perf_counter()
        action()
        took.append(time.perf_counter() - start_s)
    return min(took)


def grid_of(heights: Any, cell_m: float) -> TerrainGrid:
    """Return a grid whose launch point stands at the centre of a cell off the middle."""
    rows, columns = heights.shape
    return terrain_grid(heights, -(columns // 2) * cell_m, (rows // 2) * cell_m, cell_m)


def real() -> dict[str, float]:
    """Return the times over real ground, ours and the peers'."""
    held: Any = matplotlib.cbook.get_sample_data("jacksboro_fault_dem.npz")
    heights = held["elevation"]
    grid = grid_of(np.asarray(heights, dtype=np.float32), CELL_M)
    rows, columns = grid.height_m.shape
    place = (grid.height_m, CELL_M, rows // 2, columns // 2, ANTENNA_M, AIRCRAFT_M)
    ours = sweep_losses(grid, ANTENNA_M, AIRCRAFT_M, True, LINKS_MHZ)
    theirs = grass_seen(*place)
    return {
        "real_s": best_s(lambda: sweep_losses(grid, ANTENNA_M, AIRCRAFT_M, True, LINKS_MHZ), 5),
        "real_trees_s": best_s(lambda: sweep_losses(grid, ANTENNA_M, AIRCRAFT_M, True, LINKS_MHZ, CANOPIES_M), 5),
        "grass_s": min(theirs.seconds, *(grass_seen(*place).seconds for _ in range(3))),
        "xarray_spatial_s": xarray_spatial_seen(*place).seconds,
        "seen_as_grass": float((ours.line_of_sight == theirs.visible).mean()),
    }


def timed(heights: Any, cell_m: float) -> float:
    """Return the seconds of a sweep over one ground."""
    grid = grid_of(np.ascontiguousarray(heights), cell_m)
    return best_s(
        lambda: sweep_losses(grid, ANTENNA_M, AIRCRAFT_M, True, LINKS_MHZ), 3 if grid.height_m.size <= 1e6 else 2
    )


def sizes() -> list[tuple[int, float, float, float]]:
    """Return side, and seconds on fractal ground, on flat ground and on fractal ground that grows.

    The first two are one ground 20 km wide, cut finer and finer: what grows is the number of cells alone. In the last
    cells stay 10 m wide and the ground grows, and with it the share of places beyond the horizon, where the
    spherical Earth has to be worked out.
    """
    found = []
    rough = fractal(SIZES[-1], 0.02 * EXTENT_M, 5)
    for side in SIZES:
        part, cell_m = SIZES[-1] // side, EXTENT_M / side
        found.append(
            (side, timed(rough[::part, ::part], cell_m), timed(flat(side), cell_m),
             timed(fractal(side, 0.1 * side, 5), 10.0))
        )  # fmt: skip
    return found


def main() -> int:
    """Print tables and one JSON line; return 1 if a promise is not kept."""
    found = real()
    print(f"344 x 403 cells of real ground, {LINKS_MHZ.size} links, two cores")
    for name, key in (
        ("turnback, losses of both links", "real_s"), ("turnback, and paths under six canopies", "real_trees_s"),
        ("xarray-spatial, what is seen", "xarray_spatial_s"), ("GRASS r.viewshed, what is seen", "grass_s"),
    ):  # fmt: skip
        print(f"{name:44}{found[key] * 1e3:10.1f} ms")
    print(f"{'seen as GRASS sees':44}{100.0 * found['seen_as_grass']:10.2f} %")
    rows = sizes()
    print(f"\n{'cells a side':>14}{'fractal s':>12}{'flat s':>12}{'over N² log N':>16}{'of 10 m s':>12}{'over':>8}")
    growth = growth_wider = 0.0
    for k, (side, rough_s, even_s, wider_s) in enumerate(rows):
        ratio = wider = float("nan")
        if k:
            before, before_s, _, before_wider_s = rows[k - 1]
            least = (side / before) ** 2 * math.log(side) / math.log(before)
            ratio, wider = rough_s / before_s / least, wider_s / before_wider_s / least
            growth, growth_wider = max(growth, ratio), max(growth_wider, wider)
        print(f"{side:14d}{rough_s:12.3f}{even_s:12.3f}{ratio:16.2f}{wider_s:12.3f}{wider:8.2f}")
    flat_ratio = max(even_s / rough_s for _, rough_s, even_s, _ in rows)
    kept = (
        found["real_s"] < min(found["grass_s"], found["xarray_spatial_s"])
        and growth <= PROMISED_GROWTH_RATIO
        and flat_ratio <= PROMISED_FLAT_RATIO
        and found["seen_as_grass"] >= 0.97
    )
    print(
        json.dumps(
            {
                "benchmark": "sweep", **found, "growth_over_n2logn": growth,
                "growth_of_wider_ground": growth_wider, "flat_over_fractal": flat_ratio,
                "promised_growth": PROMISED_GROWTH_RATIO, "promised_flat_ratio": PROMISED_FLAT_RATIO, "kept": kept,
            }
        )
    )  # fmt: skip
    return 0 if kept else 1


if __name__ == "__main__":
    sys.exit(main())
