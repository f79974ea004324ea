"""The study of learning: its intervals, its page, and two loops of it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy import stats
from studies.learning_loops import asked, flown, run
from studies.learning_loops.figures import NAMES, Row, page, wilson


@pytest.mark.parametrize(("held", "count"), [(0, 10), (9, 10), (450, 500), (500, 500)])
def test_the_interval_is_wilsons(held: int, count: int) -> None:
    """Outside value: scipy's."""
    oracle = stats.binomtest(held, count).proportion_ci(method="wilson")
    assert wilson(held, count) == pytest.approx((oracle.low, oracle.high), abs=1e-9)


def test_the_simulators_hover_is_momentum_theory() -> None:
    """Outside value: 0.7 kg on 0.050671 m², ideal 51.05 W (models.md)."""
    of = {
        "aircraft.mass_kg": 0.5, "pack.mass_kg": 0.2, "density_kg_m3": 1.225, "disc_m2": 0.050671,
        "aircraft.figure_of_merit": 0.5, "aircraft.electrical_efficiency": 0.75, "aircraft.drag_area_m2": 0.02,
        "aircraft.cruise_mps": 13.0, "aircraft.auxiliary_w": 8.0,
    }  # fmt: skip
    truth = flown.Truth(of, (0.5, 0.6), np.zeros(12), 1.0, 1.0, 1.0, 0.0, np.zeros((2, 200)))
    assert flown.steady_w(truth, 0.0) == pytest.approx(51.05 / 0.5 / 0.75 + 8.0, abs=0.05)


def test_its_page_tells_every_quantity() -> None:
    """With a made row each: the truth in the band before and after."""
    rows = [
        Row(0, name, 1.0, (0.0, 0.5, 0.6), (1.0, 1.0, 1.0), (2.0, 1.5, 1.4), (True, True)) for name in NAMES
    ]  # fmt: skip
    text = page(rows, 1, 7)
    assert "no band before" not in text
    assert all(f"| {name} | 100, 100 | 0.50, 0.40 | 100 |" in text for name in NAMES.values())


def test_what_had_no_band_before_is_not_said_to_be_narrower() -> None:
    """A first brief says that the link's loss does not grow, without a band."""
    row = Row(0, "excess_exponent", 0.0, (0.0, -0.4, -0.3), (0.0, 0.1, 0.0), (0.0, 0.5, 0.4), (True, True))
    line = next(each for each in page([replace(row, quantity=name) for name in NAMES], 1, 7).splitlines()
                if each.startswith("| how the link's loss"))  # fmt: skip
    assert "| no band before |  | no band | 100.0 (" in line


@pytest.mark.slow
def test_two_loops_narrow_and_are_the_same_again(tmp_path: Path) -> None:
    """Rows that were kept are those of a run without a break."""
    kept = tmp_path / "rows.jsonl"
    first = run.rows_of(1, 5, 1, kept)
    both = run.rows_of(2, 5, 1, kept)
    assert both[: len(first)] == first
    assert run.rows_of(2, 5, 1) == both
    for row in both:
        if row.quantity in {"resistance_mohm_per_cell", "hover_current_a", "cruise_current_a"}:
            assert row.high[2] - row.low[2] < 0.8 * (row.high[0] - row.low[0])
    assert asked.ROUTE_M > 0.0
