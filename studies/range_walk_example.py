"""Make the example range walk: invented readings of the demo's control link, carried along two bearings.

Run ``python studies/range_walk_example.py``; it writes examples/walks again. The truth that is put in: everything
arrives 7 dB lower than the model says, as behind a loose connector, with shadows that repeat over some 15 m.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Final

import numpy as np

from turnback.assess.walk_reception import predicted
from turnback.assess.world import fill
from turnback.base.streams import stream
from turnback.flows.range_walk_kept import without_walk
from turnback.physics.terrain_grid import terrain_grid
from turnback.readers.case import read_case
from turnback.records.walk import Walk, WalkEnd, WalkMode

ROOT: Final = Path(__file__).parent.parent
RECORD: Final = ROOT / "examples" / "walks" / "on-foot-control.csv"
SPOTS: Final = ROOT / "examples" / "walks" / "spots-video.csv"
BEARINGS_DEG: Final = (285.0, 240.0)
FARTHEST_M: Final = 380.0
STEP_M: Final = 9.0
LOW_DB: Final = 7.0
SIGMA_DB: Final = 4.5
ALONE_DB: Final = 2.0
CORRELATION_M: Final = 15.0
FLOOR_DBM: Final = -97.0
POWER_MW: Final = 25.0
HEAD: Final = """\
# Invented readings: nobody walked here. Made by studies/range_walk_example.py for examples/demo.toml.
# The control link at a fixed 25 mW, read on the aircraft, which is carried at 1 m, not armed, propellers off.
"""
SPOTS_TEXT: Final = """\
# Invented spots, as noted on paper: nobody walked here. For examples/demo.toml.
# The video link at a fixed 25 mW, read at the goggles; the aircraft lies on a post.
distance_m;bearing_deg;level_dbm;height_m;power_mw;link;at
20;285;-58;1,2;25;video;ground
40;285;-66;1,2;25;video;ground
60;280;-70;1,2;25;video;ground
90;285;-75;1,2;25;video;ground
120;285;-80;1,2;25;video;ground
160;290;-84;1,2;25;video;ground
90;240;-77;1,2;25;video;ground
160;240;-86;1,2;25;video;ground
240;240;lost;1,2;25;video;ground
"""


def main() -> None:
    """Write both records."""
    case = without_walk(read_case(ROOT / "examples" / "demo.toml"), "control")
    out_m = np.arange(STEP_M, FARTHEST_M, STEP_M)
    bearing = np.deg2rad(np.repeat(BEARINGS_DEG, out_m.size))
    out_m = np.tile(out_m, len(BEARINGS_DEG))
    x_m, y_m = np.round(out_m * np.sin(bearing), 1), np.round(out_m * np.cos(bearing), 1)
    ones = np.ones(out_m.size)
    walk = Walk(
        "control", WalkMode.ON_FOOT, WalkEnd.AIRCRAFT, x_m, y_m, ones, 0.0 * ones, ones < 0.0,
        10.0 * np.log10(POWER_MW) * ones, "example",
    )  # fmt: skip
    terrain = case.terrain
    ground = terrain_grid(terrain.heights_m, terrain.x_west_m, terrain.y_north_m, terrain.cell_m)
    model_dbm = predicted(fill(case), ground, terrain, replace(walk), 1).level_dbm
    level_dbm = np.maximum(np.round(model_dbm - LOW_DB + shadows_db(x_m, y_m)), FLOOR_DBM)
    rows = [f"{x:.1f},{y:.1f},{level:.0f},{POWER_MW:.0f}" for x, y, level in zip(x_m, y_m, level_dbm, strict=True)]
    RECORD.parent.mkdir(exist_ok=True)
    RECORD.write_text(HEAD + "\n".join(["east_m,north_m,level_dbm,power_mw", *rows]) + "\n", encoding="utf-8")
    SPOTS.write_text(SPOTS_TEXT, encoding="utf-8")


def shadows_db(x_m: np.ndarray, y_m: np.ndarray) -> np.ndarray:
    """Return what each reading is off by: shadows that neighbours share, and a part of its own."""
    generator = stream(7, "examples.walk")
    away_m = np.hypot(x_m[:, None] - x_m, y_m[:, None] - y_m)
    shared = np.linalg.cholesky(np.exp(-away_m / CORRELATION_M) + 1e-9 * np.eye(x_m.size))
    both = generator.standard_normal((2, x_m.size))
    return np.asarray(SIGMA_DB * (shared @ both[0]) + ALONE_DB * both[1])


if __name__ == "__main__":
    main()
