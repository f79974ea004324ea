"""The turn-back map of the demo plan: all layers over real ground, and over 10,000 x 10,000 cells of 1 m.

The promises, on two cores: 344 x 403 cells of real ground, all layers, both links, take at most 0.2 s after compiling;
10,000 x 10,000 cells of 1 m take at most 90 s in the kernel, 6 min until the file is written, 6 GiB of memory; and the
kernel is at least 100 times as fast as casting a ray of its own to every cell (both links' losses alone), which is
measured on some cells spread over the grid and scaled up: nobody waits for all of them.

The table of what the pack allows is made once for each height and does not grow with the grid: it is timed apart.
`SIDE` in the environment makes the large grid smaller; its promises then do not count.
"""

from __future__ import annotations

import json
import os
import resource
import sys
import tempfile
import time
from dataclasses import replace
from pathlib import Path
from typing import Any, Final

import matplotlib.cbook
import numpy as np
from numpy.typing import NDArray
from tests.made_ground import fractal

from turnback.assess.bearings_ways import plan_height_m
from turnback.assess.homing import Flown, layers_at, worlds_of
from turnback.assess.map_energy import energy_table
from turnback.assess.reception import CANOPIES_M
from turnback.flows.flight import Flight
from turnback.flows.home_map import home_map
from turnback.physics.rays import ray_losses
from turnback.readers.case import read_case
from turnback.records.case import Case
from turnback.records.route import HeightReference
from turnback.report.map_geotiff import write_geotiff

PLAN: Final = Path(__file__).resolve().parent.parent / "examples" / "demo.toml"
PROMISED: Final = {"real_s": 0.2, "kernel_s": 90.0, "written_s": 360.0, "memory_gib": 6.0, "ratio": 100.0}
FULL_SIDE: Final = 10_000
CAST: Final = 2000
"""Cells to which a ray of its own is cast."""


def case_over(heights_m: NDArray[np.float32], cell_m: float) -> Case:
    """Return the demo plan over other ground, launched from the centre of a cell off the middle."""
    case = read_case(PLAN)
    rows, columns = heights_m.shape
    row, column = rows // 2 + rows // 9, columns // 2 - columns // 11
    terrain = replace(
        case.terrain, heights_m=heights_m, known=np.ones(heights_m.shape, dtype=np.bool_),
        x_west_m=-column * cell_m, y_north_m=row * cell_m, cell_m=cell_m, radius_m=min(rows, columns) * cell_m / 2.0,
        source="made for a benchmark", notes=(),
    )  # fmt: skip
    return replace(case, terrain=terrain, launch_height_m=float(heights_m[row, column]), people_areas=None)


def stages(case: Case, times: int) -> dict[str, float]:
    """Return the best seconds of each stage: the pack's table, and all layers."""
    flight, height_m = Flight(case, seed=1), plan_height_m(case.route)
    rows, columns = case.terrain.heights_m.shape
    far_m = float(np.hypot(rows, columns)) * case.terrain.cell_m
    worlds = worlds_of(flight.craft.draws, flight.ground)
    flown = Flown(height_m, True, case.launch_height_m, 0.95)
    found: dict[str, float] = {}
    for _ in range(times):
        start_s = time.perf_counter()
        energy = energy_table(flight.craft, case, height_m, HeightReference.GROUND, far_m)
        middle_s = time.perf_counter()
        layers_at(worlds, flight.ground, case.terrain, energy, flown)
        end_s = time.perf_counter()
        for key, took_s in (("energy_s", middle_s - start_s), ("layers_s", end_s - middle_s)):
            found[key] = min(found.get(key, np.inf), took_s)
    return found


def real() -> dict[str, float]:
    """Return the stages over 344 x 403 cells of real ground."""
    held: Any = matplotlib.cbook.get_sample_data("jacksboro_fault_dem.npz")
    heights = held["elevation"]
    case = case_over(np.ascontiguousarray(heights, dtype=np.float32), 90.0)
    stages(case, 1)  # compiles
    return stages(case, 5)


def cast_s(case: Case) -> float:
    """Return the seconds that a ray of its own to every cell would take, from some cells."""
    flight = Flight(case, seed=1)
    terrain, rng = case.terrain, np.random.default_rng(3)
    rows, columns = (rng.integers(1, size - 1, CAST) for size in terrain.heights_m.shape)
    x, y = terrain.x_west_m + columns * terrain.cell_m, terrain.y_north_m - rows * terrain.cell_m
    height = terrain.heights_m[rows, columns].astype(np.float64) + 50.0
    mhz = np.array([link.frequency_mhz for link in (flight.world.control, flight.world.video) if link is not None])

    def cast(count: int) -> Any:
        return ray_losses(
            flight.ground, 1.5, x[:count], y[:count], height[:count], mhz, canopy_height_m=CANOPIES_M,
            most_samples=20_000,
        )  # fmt: skip

    cast(4)
    start_s = time.perf_counter()
    cast(CAST)
    return (time.perf_counter() - start_s) / CAST * terrain.heights_m.size


def large(side: int) -> dict[str, float]:
    """Return what a large map takes."""
    case = case_over(fractal(side, 0.06 * side, 5), 1.0)
    told: list[tuple[float, float]] = []
    start_s = time.perf_counter()
    found = home_map(case, tell=lambda share: told.append((share, time.perf_counter())))
    made_s = time.perf_counter() - start_s
    with tempfile.TemporaryDirectory() as folder:
        before_s = time.perf_counter()
        write_geotiff(found, Path(folder) / "map.tif")
        file_s = time.perf_counter() - before_s
        megabytes = (Path(folder) / "map.tif").stat().st_size / 1e6
    layers = len(found.layers)
    del found
    kernel_s = min(stages(case, 1)["layers_s"], made_s)  # it was part of the map: it took no longer there
    memory_gib = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 2**20
    brute_s = cast_s(case)
    return {
        "side": side, "layers": layers, "kernel_s": kernel_s, "map_s": made_s, "file_s": file_s,
        "written_s": made_s + file_s, "file_mb": megabytes, "memory_gib": memory_gib, "cast_h": brute_s / 3600.0,
        "ratio": brute_s / kernel_s, "told": float(len(told)),
    }  # fmt: skip


def main() -> int:
    """Print tables and one JSON line; return 1 if a promise is not kept."""
    small = real()
    print("344 x 403 cells of real ground, all layers, both links, two cores")
    print(f"{'sweep and chances, all layers':44}{small['layers_s']:10.3f} s")
    print(f"{'what the pack allows, all bearings':44}{small['energy_s']:10.3f} s")
    side = int(os.environ.get("SIDE", FULL_SIDE))
    big = large(side)
    print(f"\n{side:,} x {side:,} cells of 1 m, {big['layers']:.0f} layers")
    for name, key, unit in (
        ("kernel, all layers", "kernel_s", "s"), ("map, with all it needs", "map_s", "s"),
        ("file written", "file_s", "s"), ("file", "file_mb", "MB"), ("greatest memory", "memory_gib", "GiB"),
        (f"a ray to each cell, from {CAST} of them", "cast_h", "h"), ("that over the kernel", "ratio", "times"),
    ):  # fmt: skip
        print(f"{name:44}{big[key]:10.2f} {unit}")
    kept = small["layers_s"] <= PROMISED["real_s"] and side == FULL_SIDE
    kept = kept and all(big[key] <= PROMISED[key] for key in ("kernel_s", "written_s", "memory_gib"))
    kept = kept and big["ratio"] >= PROMISED["ratio"]
    promised = {f"promised_{key}": value for key, value in PROMISED.items()}
    print(json.dumps({"benchmark": "turn_back_map", "real_s": small["layers_s"], "real_energy_s": small["energy_s"],
                      **big, **promised, "kept": kept}))  # fmt: skip
    return 0 if kept else 1


if __name__ == "__main__":
    sys.exit(main())
