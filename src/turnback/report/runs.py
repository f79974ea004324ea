"""The answers of ``ray`` and ``pack-run``, as text and as JSON."""

from __future__ import annotations

import math
from typing import Final

import numpy as np

from turnback.physics.diffraction import RayLoss
from turnback.records.common import SCHEMA
from turnback.records.profiles import PackRun
from turnback.records.world import Band
from turnback.report import numbers, words
from turnback.report.brief_json import json_text, plain
from turnback.report.cautions import CAUTIONS
from turnback.report.language import mark, text
from turnback.report.numbers import Units
from turnback.report.words_parameters import ORIGIN_WORDS

MOST_ROWS: Final = 30
PACK_CAUTION: Final = CAUTIONS[1]
FAILURES: Final = {
    "cannot deliver": mark("The pack cannot give what is asked; it fails within the row that starts at {time}."),
    "empty": mark("The pack runs empty within the row that starts at {time}."),
}
COLUMNS: Final = (
    (mark("time"), 9), (mark("pack"), 8), (mark("one cell"), 9), (mark("at rest"), 8), (mark("charge"), 7),
    (mark("current"), 9), (mark("cell"), 8),
)  # fmt: skip
"""Heads of the run's table, and the width of what stands below them."""


def ray_json(answer: RayLoss) -> str:
    """Return one path as JSON; the obstacle is null where nothing comes near the ray."""
    return json_text({"schema": SCHEMA, **plain(answer)})


def ray_text(answer: RayLoss) -> str:
    """Return one path as lines of text."""
    clearance = numbers.ratio(answer.clearance_ratio)
    rows = [
        (text("Loss in free space"), f"{answer.free_space_db:.2f} dB"),
        (
            text("Loss by diffraction, to be added"),
            text("{loss} (ITU-R P.526, delta-Bullington)", loss=f"{answer.diffraction_db:.2f} dB"),
        ),
        (text("The ruling edge alone"), f"{answer.knife_edge_db:.2f} dB"),
        (text("Line of sight"), text("yes") if answer.line_of_sight else text("no, the ground is in the way")),
        (text("Least clearance, in first Fresnel radii"), text("{ratio} (0.6 is clear)", ratio=clearance)),
        (text("Ruling obstacle"), _obstacle(answer)),
    ]
    limits = text(
        "Heights of bare ground only: no trees, no buildings, no wires. Antennas, power and noise are left out."
    )
    return f"{_rows(rows)}\n{limits}\n"


def _obstacle(answer: RayLoss) -> str:
    if not math.isfinite(answer.obstacle_km):
        return text("none")
    distance, height = f"{answer.obstacle_km:.3f} km", f"{answer.obstacle_height_m:.1f} m"
    return text("{distance} from the start, {height} above sea level", distance=distance, height=height)


def pack_run_json(run: PackRun) -> str:
    """Return a run as JSON: one value per held row, at its end; null from a failed row on."""
    data = plain(run)
    data["time_s"] = [round(value, 9) for value in data["time_s"]]
    return json_text({"schema": SCHEMA, **data, "cautions": [text(PACK_CAUTION)]})


def pack_run_text(run: PackRun) -> str:
    """Return a run as text: what came of it first, then a table thinned to some thirty rows."""
    lines = [_outcome(run)]
    if math.isfinite(run.land_by_s):
        lines.append(
            text(
                "One cell at rest falls below {volts}, its land-by volts, by {time}.",
                volts=f"{run.land_by_rest_v:.2f} V",
                time=f"{run.land_by_s:.0f} s",
            )
        )
    lowest = float(np.nanmin(run.cell_loaded_v)) if np.isfinite(run.cell_loaded_v).any() else math.nan
    if math.isfinite(lowest):
        lines.append(
            text(
                "Used {charge}; lowest loaded volts of one cell {volts}.",
                charge=f"{run.used_ah * 1000.0:.0f} mAh",
                volts=f"{lowest:.2f} V",
            )
        )
    lines += ["", *_table(run), ""]
    if run.assumed:
        lines.append(text("Assumed, since the pack file does not say it:"))
        lines += [f"  - {_assumed(band)}" for band in run.assumed]
        lines.append("")
    return "\n".join([*lines, text(PACK_CAUTION)]) + "\n"


def _assumed(band: Band) -> str:
    return text(
        "{name}: {value}, {origin}",
        name=words.parameter(band.key),
        value=numbers.words(band.value, band.unit, Units.METRIC),
        origin=text(ORIGIN_WORDS[band.origin]),
    )


def _outcome(run: PackRun) -> str:
    if run.failure:
        return text(FAILURES[run.failure], time=f"{run.failed_s:.0f} s")
    return text("The pack carries the whole load, {time}.", time=f"{run.time_s[-1]:.0f} s")


def _table(run: PackRun) -> list[str]:
    keep = np.unique(np.linspace(0, run.time_s.size - 1, min(MOST_ROWS, run.time_s.size)).round().astype(int))
    head = " ".join(f"{text(name):>{width}}" for name, width in COLUMNS)
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
