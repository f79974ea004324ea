"""Make the example flight record: an invented flight, flown by the simulator of the studies over the demo's ground.

Run ``python -m studies.record_example``; it writes examples/records again. What is put in: the control link is lost on
the way out, the aircraft turns for home by itself, its pack is weak, and the link comes back on the way.
"""

from __future__ import annotations

import gzip
import math
from pathlib import Path
from typing import Final

import numpy as np
from studies.record_flown import columns as at
from studies.record_flown.design import Design, draw
from studies.record_flown.flyer import fly_one

FOLDER: Final = Path(__file__).resolve().parent.parent / "examples" / "records"
LAUNCH: Final = (36.6021, -84.2185)
"""Degrees: where the demo plan starts."""
EVERY: Final = 20
SEED: Final = 4
METRES_PER_DEGREE: Final = 111_195.0


def design() -> Design:
    """Return the flight: a craft and plan by seed, with the faults that are told above."""
    drawn = draw(SEED, ("lost, returns", "weak pack"))
    back = drawn.plan.back_at
    faults = drawn.faults._replace(fade=back - 9.0, fade_end=back + 6.0, fade_ramp=0.8)
    plan = drawn.plan._replace(rate_mode=0.0, course=2.2)
    return Design(drawn.seed, drawn.craft, plan, faults, drawn.faults_named)


def table() -> dict[str, np.ndarray]:
    """Return the columns by name, at 50 rows a second."""
    log = fly_one(design()).log[::EVERY].astype(np.float64)
    rows = len(log)
    fresh = np.repeat(np.arange(0, rows, 5), 5)[:rows]  # place and radio come ten times a second
    east_m = METRES_PER_DEGREE * math.cos(math.radians(LAUNCH[0]))
    modes = np.array(["rate", "self-level", "automatic return", "descend", "stopped"])
    found = {"time (s)": np.round(np.arange(rows) * EVERY * 1e-3, 3)}
    for k, axis in enumerate(("roll", "pitch", "yaw")):
        found[f"{axis} rate (deg/s)"] = np.round(np.degrees(log[:, at.GYRO + k]), 1)
        found[f"asked {axis} rate (deg/s)"] = np.round(np.degrees(log[:, at.DEMAND + k]), 1)
    for k, axis in enumerate("xyz"):
        found[f"acceleration {axis} (g)"] = np.round(log[:, at.ACC + k] / 9.80665, 3)
    found |= {
        "roll (deg)": np.round(np.degrees(log[:, at.ROLL]), 1),
        "pitch (deg)": np.round(np.degrees(log[:, at.PITCH]), 1),
        "heading (deg)": np.round(np.degrees(log[:, at.HEADING]) % 360.0, 1),
        **{f"motor {k + 1}": np.round(1000.0 + 1000.0 * log[:, at.OUT + place])
           for k, place in enumerate((3, 1, 2, 0))},
        "roll stick": np.round(1500.0 + 500.0 * log[:, at.STICK]),
        "pitch stick": np.round(1500.0 + 500.0 * log[:, at.STICK + 1]),
        "yaw stick": np.round(1500.0 + 500.0 * log[:, at.STICK + 2]),
        "throttle": np.round(1000.0 + 1000.0 * log[:, at.STICK + 3]),
        "mode": modes[log[:, at.MODE].astype(int)],
        "armed": log[:, at.ARMED].astype(int),
        "pack (V)": np.round(log[:, at.VOLTS], 2),
        "current (A)": np.round(log[:, at.CURRENT], 1),
        "used (mAh)": np.round(1000.0 * log[:, at.CHARGE]),
        "link level (dBm)": np.round(np.maximum(log[fresh, at.LEVEL], -125.0)),
        "link quality (%)": np.round(100.0 * log[fresh, at.QUALITY]),
        "latitude": np.round(LAUNCH[0] + log[fresh, at.NORTH] / METRES_PER_DEGREE, 7),
        "longitude": np.round(LAUNCH[1] + log[fresh, at.EAST] / east_m, 7),
        "height above launch (m)": np.round(-log[fresh, at.DOWN], 1),
        "ground speed (km/h)": np.round(3.6 * np.hypot(log[fresh, at.VEL], log[fresh, at.VEL + 1]), 1),
        "course (deg)": np.round(np.degrees(np.arctan2(log[fresh, at.VEL + 1], log[fresh, at.VEL])) % 360.0, 1),
    }  # fmt: skip
    return found


def main() -> None:
    """Write the example."""
    FOLDER.mkdir(exist_ok=True)
    columns = table()
    lines = ["# An invented flight; the ground it is laid over is real. Nobody flew it.", ",".join(columns)]
    lines += [",".join(f"{cell}" for cell in row) for row in zip(*columns.values(), strict=True)]
    data = ("\n".join(lines) + "\n").encode()
    with gzip.GzipFile(FOLDER / "link-lost.csv.gz", "wb", mtime=0) as file:
        file.write(data)


if __name__ == "__main__":
    main()
