"""Make the example of a debrief: an invented flight low behind a real ridge, as its pilot's radio recorded it.

Run ``python -m studies.debrief_example``; it writes examples/records/behind-the-ridge.csv.gz again and prints where
the aircraft came down. The flight is flown by the simulator of the studies (`studies.debrief_flown`), which shares no
code with what looks back on it: over the ground of examples/terrain, with the aircraft of
examples/parts/aircraft-motors-stop.toml. Behind the ridge the control link is lost, the motors stop, it falls.
"""

from __future__ import annotations

import gzip
import math
from pathlib import Path
from typing import Final

import numpy as np
import rasterio
from numpy.typing import NDArray
from studies.debrief_flown import own_columns as to
from studies.debrief_flown.own import flown
from studies.debrief_flown.own_flights import Draft, drawn, hover_output, lay_way
from studies.debrief_flown.own_terrain import FILE as TERRAIN
from studies.debrief_flown.own_terrain import Place
from studies.record_flown import columns as at
from studies.record_flown.sensors import slow

FILE: Final = Path(__file__).resolve().parent.parent / "examples" / "records" / "behind-the-ridge.csv.gz"
LAUNCH: Final = (36.6021, -84.2185)
"""Degrees: where examples/debrief.toml starts."""
SEED: Final = 41
BEARING_DEG: Final = 255.0
LEG_M: Final = 1120.0
ABOVE_M: Final = 14.0
SPEED_MPS: Final = 13.0
RATE_HZ: Final = 20
HEARD_HZ: Final = 5
"""So often something comes back from the aircraft."""
LOOKS_ON_S: Final = 4.0
"""So long the pilot watches a frozen screen before the radio's record is stopped."""
DEGREE_M: Final = 111_320.0
FELL_AT_M: Final = (-998.0, -267.0)
"""East and north of the launch point: where the simulator laid it down. No file holds it."""
Floats = NDArray[np.float64]


def ground(half_m: float = 1600.0, step_m: float = 40.0) -> Place:
    """Return the ground around the launch point, on straight lines between the pixels of the example terrain."""
    with rasterio.open(TERRAIN) as raster:
        heights = raster.read(1).astype(np.float64)
        west, north, pixel = float(raster.transform.c), float(raster.transform.f), float(raster.transform.a)
    axis = np.arange(-half_m, half_m + 1.0, step_m)
    row = (north - LAUNCH[0] - axis / DEGREE_M) / pixel - 0.5
    column = (LAUNCH[1] + axis / (DEGREE_M * math.cos(math.radians(LAUNCH[0]))) - west) / pixel - 0.5
    j, i = np.floor(row).astype(int), np.floor(column).astype(int)
    down, right = (row - j)[:, None], (column - i)[None, :]
    upper = heights[np.ix_(j, i)] * (1.0 - right) + heights[np.ix_(j, i + 1)] * right
    lower = heights[np.ix_(j + 1, i)] * (1.0 - right) + heights[np.ix_(j + 1, i + 1)] * right
    found = upper * (1.0 - down) + lower * down
    middle = float(found[len(axis) // 2, len(axis) // 2])
    return Place(*LAUNCH, middle, found - middle, step_m, -half_m, -half_m)


def design() -> Draft:
    """Return the flight: the plan's aircraft, with all the ways in which no aircraft is its plan."""
    d = drawn(SEED)
    mass, cells, capacity = 0.683, 6.0, 1.27
    own = {
        "mass": mass, "thrust_max": 11.5, "cells": cells, "capacity": capacity, "r_pack": cells * 0.0055,
        "r_slow": cells * 0.002, "charge0": 0.975, "cda": 0.0170, "lift_drag": 0.25, "merit": 0.42, "idle_w": 9.0,
        "disc": math.pi / 4.0 * (0.0254 * 5.1) ** 2, "arm": 0.08 * math.sqrt(2.0), "blades": 3.0, "unbalance": 0.5,
        "level0": -58.5, "sensitivity": -105.0, "action": 0.0, "loss_after": 1.0, "tilt_max": math.radians(45.0),
    }  # fmt: skip
    ixx = 0.0034
    d.craft = d.craft._replace(**own, ixx=ixx, iyy=ixx * 1.2, izz=ixx * 1.8)
    d.craft = d.craft._replace(hover=hover_output(d.craft))
    d.base = d.craft
    d.place = ground()
    wind = 2.5
    d.plan = d.plan._replace(rate_mode=0.0, course=math.radians(BEARING_DEG), wind=wind, gust=0.5, clumsy=0.012,
                             wind_from=math.radians(250.0))  # fmt: skip
    d.leg, d.height, d.air_c = LEG_M, 20.0, 16.0
    d.set(mode=1.0, sensitivity_back=-104.0, back_db=1.0, air=0.955, heat=900.0 * 0.03 * cells * capacity, cold_c=22.0,
          acts=np.zeros((0, 3)), **d.place.world())  # fmt: skip
    lay_way(d, SPEED_MPS, above=ABOVE_M)
    return d


def table(log: NDArray[np.float32]) -> dict[str, NDArray[np.generic]]:
    """Return the columns by name, as a radio keeps them: of the aircraft it holds the last that came back."""
    rng = np.random.default_rng([SEED, 23])
    gone = np.flatnonzero((log[:, to.HEARD_BACK] < 0.5) & (-log[:, at.DOWN] > 5.0))
    end = int(gone[-1] if not gone.size else gone[0] + 1000 * LOOKS_ON_S)
    rows = np.arange(0, min(end, len(log)), 1000 // RATE_HZ)
    part = log[rows].astype(np.float64)
    n = len(part)
    fresh = (part[:, to.HEARD_BACK] > 0.5) & (np.arange(n) % (RATE_HZ // HEARD_HZ) == 0)
    fresh[0] = True
    held = np.maximum.accumulate(np.where(fresh, np.arange(n), 0))
    came = part[held]
    north = part[:, at.NORTH] + slow(rng, n, 0.7, RATE_HZ * 15.0)
    east = part[:, at.EAST] + slow(rng, n, 0.7, RATE_HZ * 15.0)
    speed = np.hypot(came[:, at.VEL], came[:, at.VEL + 1])
    heard = part[:, to.HEARD_BACK] > 0.5
    modes = np.array(["rate", "self-level", "automatic return", "descend", "stopped"])
    clock = 36_000.0 + 1_840.0 + rows * 1e-3
    return {
        "Time": np.array([f"{int(s // 3600):02d}:{int(s // 60) % 60:02d}:{s % 60:06.3f}" for s in clock]),
        "Link level (dBm)": np.round(came[:, at.LEVEL] + rng.normal(0.0, 0.6, n)[held]).astype(int),
        "link quality %": np.where(heard, np.round(100.0 * came[:, at.QUALITY]), 0).astype(int),
        "Level back (dBm)": np.round(came[:, to.LEVEL_BACK] + rng.normal(0.0, 0.6, n)[held]).astype(int),
        "TX power (mW)": np.full(n, 100),
        "Pack V": np.round(came[:, at.VOLTS] + rng.normal(0.0, 0.02, n)[held], 1),
        "Current A": np.round(came[:, at.CURRENT] * 1.02, 1),
        "used mAh": np.round(1000.0 * came[:, at.CHARGE]).astype(int),
        "Lat": np.round(LAUNCH[0] + north[held] / DEGREE_M, 6),
        "Lon": np.round(LAUNCH[1] + east[held] / (DEGREE_M * math.cos(math.radians(LAUNCH[0]))), 6),
        "height above launch (m)": np.round(-came[:, at.DOWN] + slow(rng, n, 0.4, RATE_HZ * 10.0)[held], 1),
        "ground speed km/h": np.round(3.6 * speed, 1),
        "Course °": np.round(np.degrees(np.arctan2(came[:, at.VEL + 1], came[:, at.VEL])) % 360.0).astype(int),
        "sats": np.round(15.0 + slow(rng, n, 1.0, RATE_HZ * 20.0)[held]).astype(int),
        "Pitch rad": np.round(came[:, to.ATT_SEEN + 1], 2),
        "Roll rad": np.round(came[:, to.ATT_SEEN], 2),
        "Heading rad": np.round(came[:, to.HEADING_SEEN], 2),
        "flight mode": modes[came[:, at.MODE].astype(int)],
        "stick roll %": np.round(100.0 * part[:, to.SENT]).astype(int),
        "stick pitch %": np.round(100.0 * part[:, to.SENT + 1]).astype(int),
        "stick yaw %": np.round(100.0 * part[:, to.SENT + 2]).astype(int),
        "Throttle %": np.round(100.0 * part[:, to.SENT + 3]).astype(int),
    }


def main() -> None:
    """Write the example."""
    log = flown(design(), SEED)
    columns = table(log)
    lines = ["# An invented flight over real ground, as a radio records it. Nobody flew it.", ",".join(columns)]
    lines += [",".join(f"{cell}" for cell in row) for row in zip(*columns.values(), strict=True)]
    with gzip.GzipFile(FILE, "wb", mtime=0) as file:
        file.write(("\n".join(lines) + "\n").encode())
    down = log[-1]
    print(f"down {down[at.EAST]:.0f} m east, {down[at.NORTH]:.0f} m north of the launch point")


if __name__ == "__main__":
    main()
