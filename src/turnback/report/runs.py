"""The answers of ``ray`` and ``pack-run``, as text and as JSON."""

from __future__ import annotations

import math
from typing import Final

import numpy as np

from turnback.physics.diffraction import RayLoss
from turnback.records.common import SCHEMA
from turnback.records.profiles import PackRun
from turnback.report import numbers, words
from turnback.report.brief_json import json_text, plain
from turnback.report.cautions import CAUTIONS
from turnback.report.numbers import Units
from turnback.report.words_parameters import ORIGIN_WORDS

MOST_ROWS: Final = 30
PACK_CAUTION: Final = CAUTIONS[1]
FAILURES: Final = {
    "cannot deliver": "The pack cannot give what is asked; it fails",
    "empty": "The pack runs empty",
}


def ray_json(answer: RayLoss) -> str:
    """Return one path as JSON; the obstacle is null where nothing comes near the ray."""
    return json_text({"schema": SCHEMA, **plain(answer)})


def ray_text(answer: RayLoss) -> str:
    """Return one path as lines of text."""
    sight = "yes" if answer.line_of_sight else "no, the ground is in the way"
    rows = [
        ("Loss in free space", f"{answer.free_space_db:.2f} dB"),
        ("Loss by diffraction, to be added", f"{answer.diffraction_db:.2f} dB (ITU-R P.526, delta-Bullington)"),
        ("The ruling edge alone", f"{answer.knife_edge_db:.2f} dB"),
        ("Line of sight", sight),
        ("Least clearance, in first Fresnel radii", f"{numbers.ratio(answer.clearance_ratio)} (0.6 is clear)"),
        ("Ruling obstacle", _obstacle(answer)),
    ]
    return _rows(rows) + (
        "\nHeights of bare ground only: no trees, no buildings, no wires. Antennas, power and noise are left out.\n"
    )


def _obstacle(answer: RayLoss) -> str:
    if not math.isfinite(answer.obstacle_km):
        return "none"
    return f"{answer.obstacle_km:.3f} km from the start, {answer.obstacle_height_m:.1f} m above sea level"


def pack_run_json(run: PackRun) -> str:
    """Return a run as JSON: one value per held row, at its end; null from a failed row on."""
    data = plain(run)
    data["time_s"] = [round(value, 9) for value in data["time_s"]]
    return json_text({"schema": SCHEMA, **data, "cautions": [PACK_CAUTION]})


def pack_run_text(run: PackRun) -> str:
    """Return a run as text: what came of it first, then a table thinned to some thirty rows."""
    lines = [_outcome(run)]
    if math.isfinite(run.land_by_s):
        lines.append(
            f"One cell at rest falls below {run.land_by_rest_v:.2f} V, its land-by volts, by {run.land_by_s:.0f} s."
        )
    lowest = float(np.nanmin(run.cell_loaded_v)) if np.isfinite(run.cell_loaded_v).any() else math.nan
    if math.isfinite(lowest):
        lines.append(f"Used {run.used_ah * 1000.0:.0f} mAh; lowest loaded volts of one cell {lowest:.2f} V.")
    lines += ["", *_table(run), ""]
    if run.assumed:
        lines.append("Assumed, since the pack file does not say it:")
        lines += [
            f"  - {_assumed(band.key, band.value, band.unit)}, {ORIGIN_WORDS[band.origin]}" for band in run.assumed
        ]
        lines.append("")
    return "\n".join([*lines, PACK_CAUTION]) + "\n"


def _assumed(key: str, value: float, unit: str) -> str:
    return f"{words.parameter(key)}: {numbers.words(value, unit, Units.METRIC)}"


def _outcome(run: PackRun) -> str:
    if run.failure:
        return f"{FAILURES[run.failure]} within the row that starts at {run.failed_s:.0f} s."
    return f"The pack carries the whole load, {run.time_s[-1]:.0f} s."


def _table(run: PackRun) -> list[str]:
    keep = np.unique(np.linspace(0, run.time_s.size - 1, min(MOST_ROWS, run.time_s.size)).round().astype(int))
    head = f"{'time':>9} {'pack':>8} {'one cell':>9} {'at rest':>8} {'charge':>7} {'current':>9} {'cell':>8}"
    rows = [
        f"{run.time_s[i]:>7.0f} s {run.volts_v[i]:>6.2f} V {run.cell_loaded_v[i]:>7.3f} V {run.cell_rest_v[i]:>6.3f} V "
        f"{100.0 * run.state_of_charge[i]:>5.1f} % {run.current_a[i]:>7.2f} A {run.temperature_c[i]:>5.1f} °C"
        for i in keep
        if np.isfinite(run.volts_v[i])
    ]
    return [head, *rows]


def _rows(rows: list[tuple[str, str]]) -> str:
    width = max(len(name) for name, _ in rows)
    return "".join(f"{name:<{width}}  {value}\n" for name, value in rows)
