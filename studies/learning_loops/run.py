"""Run the loops: ``python -m studies.learning_loops.run --loops 500 --seed 13``; it writes the figures of the page."""

from __future__ import annotations

import argparse
import json
import sys
import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import asdict
from multiprocessing import get_context
from pathlib import Path
from typing import Any, Final

import numpy as np
from studies.learning_loops import asked, flown
from studies.learning_loops.figures import NAMES, Row, page

from turnback.records.finding import Spread

PAGE: Final = Path(__file__).resolve().parents[2] / "docs" / "learning.md"
FULL_SOC: Final = (0.97, 1.0)
PLANNED_SOC: Final = 0.988
"""What 4.19 V at rest stand for."""
RESTS: Final = 0.7
"""Share of the records that run on after landing."""
KEY_OF: Final = {"level_dbm": "control_offset_db", "level_mean_dbm": "control_offset_db",
                 "excess_exponent": "control_excess_exponent"}  # fmt: skip
NO_BAND: Final = Spread(0.0, 0.0, 0.0)
"""What the first brief says of the link's growing loss: that there is none."""


def loop(number: int, seed: int) -> list[Row]:
    """Draw one truth, fly it twice, and return what the briefs said of it."""
    rng = np.random.default_rng([seed, number])
    case = asked.first_case()
    truth = flown.drawn(asked.bands_of(case), rng)
    facts = asked.facts_of(case)
    air = truth.value["site.qnh_pa"] / (287.05 * (truth.value["site.temperature_c"] + 273.15))
    truth = flown.with_facts(truth, {**facts, "density_kg_m3": air})
    said, learned = [asked.said_by(case)], []
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "learned.toml"
        for flight in (1, 2):
            columns, _ = flown.flown(truth, rng, float(rng.uniform(*FULL_SOC)), rests=bool(rng.random() < RESTS))
            case, lessons = asked.taught(case, columns, flight, file)
            learned.append({each.quantity for each in lessons.numbers})
            said.append(asked.said_by(case))
    true = true_of(truth, facts["nominal_v"] * facts["cells"])
    rows = []
    for name in NAMES:
        ends = [each.get(name, NO_BAND) for each in said]
        taught = [KEY_OF.get(name, name) in each or name.startswith("landing") for each in learned]
        rows.append(
            Row(
                number, name, true[name], _three([each.low for each in ends]), _three([each.mid for each in ends]),
                _three([each.high for each in ends]), (taught[0], taught[1]),
            )
        )  # fmt: skip
    return rows


def _three(values: Sequence[float]) -> tuple[float, float, float]:
    return values[0], values[1], values[2]


def true_of(truth: flown.Truth, label_v: float) -> dict[str, float]:
    """Return what is so, in the units of the plan."""
    of = truth.value
    table_v, own_v = flown.landing_rest_v(truth, asked.ROUTE_M, asked.ROUTE_HOVER_S, PLANNED_SOC)
    away, height = np.array([asked.LEVEL_AT_M]), np.array([flown.HEIGHT_M])
    return {
        "resistance_mohm_per_cell": of["pack.resistance_ohm"] * 1e3,
        "capacity_mah": of["pack.capacity_ah"] * 1e3,
        "hover_current_a": flown.steady_w(truth, 0.0) / label_v,
        "cruise_current_a": flown.steady_w(truth, of["aircraft.cruise_mps"]) / label_v,
        "drag_area_cm2": of["aircraft.drag_area_m2"] * 1e4,
        "level_dbm": flown.level_dbm(truth, asked.LEVEL_AT_M, flown.HEIGHT_M),
        "level_mean_dbm": float(flown.mean_level_dbm(truth, away, height)[0]),
        "excess_exponent": 0.0,  # the simulator's level falls as free space does
        "landing_rest_v": table_v,
        "landing_own_v": own_v,
    }


def _one(pair: tuple[int, int]) -> list[Row]:
    return loop(*pair)


def rows_of(loops: int, seed: int, workers: int, kept: Path | None = None) -> list[Row]:
    """Run the loops, each with a stream of its own: workers move no figure.

    Loops whose rows a file of an earlier run keeps are not run again; new ones are added to it as they end.
    """
    there = [] if kept is None or not kept.exists() else [_read(line) for line in kept.read_text().splitlines()]
    rows = [row for row in there if row.loop < loops]
    done = {row.loop for row in rows}
    pairs = [(number, seed) for number in range(loops) if number not in done]
    for new in _runs(pairs, workers):
        rows += new
        if kept is not None:
            with kept.open("a", encoding="utf-8") as file:
                file.writelines(json.dumps(asdict(row)) + "\n" for row in new)
    return sorted(rows, key=lambda row: row.loop)


def _runs(pairs: Sequence[tuple[int, int]], workers: int) -> Iterator[list[Row]]:
    """Run loops in order: in this process with one worker, else in fresh ones.

    Never in forked ones: a process that has run compiled threads once cannot be forked and run them again.
    """
    if workers <= 1:
        yield from map(_one, pairs)
        return
    with get_context("spawn").Pool(workers) as pool:
        yield from pool.imap(_one, pairs)


def _read(line: str) -> Row:
    """Read one row back."""
    found: Any = json.loads(line)
    for key in ("low", "mid", "high", "learned"):
        found[key] = tuple(found[key])
    return Row(**found)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run and write the page."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--loops", type=int, default=500)
    parser.add_argument("--seed", type=int, default=13)
    parser.add_argument("--workers", type=int, default=1)
    parser.add_argument("--page", type=Path, default=PAGE)
    parser.add_argument("--rows", type=Path, help="file that keeps the rows, so that a run can go on later")
    asked_for = parser.parse_args(arguments)
    rows = rows_of(asked_for.loops, asked_for.seed, asked_for.workers, asked_for.rows)
    text = page(rows, asked_for.loops, asked_for.seed)
    asked_for.page.write_text(text, encoding="utf-8")
    sys.stdout.write(text)
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
