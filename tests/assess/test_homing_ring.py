"""The ring of a map that is drawn by hand: where it ends, why, and what share of the ground it holds."""

from __future__ import annotations

import numpy as np
import pytest

from turnback.assess.homing_ring import ring_of, thinned
from turnback.records.home_map import NO_DATA, Layer, Reason, TurnBackRing

CELLS, CELL_M = 41, 10.0
WEST_M = -(CELLS // 2) * CELL_M
EAST = WEST_M + CELL_M * np.arange(CELLS)
AWAY_M = np.hypot(EAST[None, :], EAST[:, None])


def ring(reason: np.ndarray, low: np.ndarray, limit_m: float | None = None) -> TurnBackRing:
    layers = {
        "reason": Layer("reason", reason.astype(np.int16), 1.0, ""),
        "home_low": Layer("home_low", low.astype(np.int16), 1e-4, "1"),
    }
    return ring_of(layers, WEST_M, -WEST_M, CELL_M, 200.0, 0.95, limit_m)


def disc(radius_m: float) -> tuple[np.ndarray, np.ndarray]:
    home = radius_m >= AWAY_M
    return np.where(home, Reason.HOME, Reason.VIDEO), np.where(home, 9900, 8000)


def test_a_disc_of_home_is_a_ring_of_its_radius() -> None:
    found = ring(*disc(120.0))
    assert found.bearing_deg.tolist() == list(range(360))
    # a place counts where all cells around it do: up to a cell and a step short of the disc, never beyond it
    assert found.turn_back_m.max() <= 120.0
    assert found.turn_back_m.min() >= 120.0 - CELL_M * np.sqrt(2.0) - CELL_M / 2.0
    assert set(found.reason) == {"video"}
    assert found.share_home == pytest.approx((AWAY_M <= 120.0).sum() / (AWAY_M <= 200.0).sum())


def test_home_everywhere_ends_with_the_map_or_the_entered_limit() -> None:
    assert ring(*disc(1e9)).turn_back_m.min() >= 195.0
    assert set(ring(*disc(1e9)).reason) == {"map"}
    limited = ring(*disc(1e9), limit_m=80.0)
    assert set(limited.turn_back_m) == {80.0}
    assert set(limited.reason) == {"limit"}


def test_a_single_cell_beside_the_bearing_ends_it_and_names_its_reason() -> None:
    reason, low = disc(1e9)
    row, column = CELLS // 2 - 8, CELLS // 2 + 1  # 80 m north, 10 m east
    reason[row, column], low[row, column] = Reason.ENERGY, 5000
    found = ring(reason, low)
    assert found.reason[4] == "energy"  # 4 degrees at 80 m is 6 m east: between two columns
    assert 65.0 <= found.turn_back_m[4] < 80.0
    assert found.reason[180] == "map"


def test_ground_that_nobody_knows_ends_the_way_as_terrain() -> None:
    reason, low = disc(1e9)
    reason[:, CELLS // 2 + 5 :], low[:, CELLS // 2 + 5 :] = NO_DATA, NO_DATA
    found = ring(reason, low)
    assert found.reason[90] == "terrain"
    assert found.turn_back_m[90] == pytest.approx(40.0)
    assert found.share_home == 1.0  # of the ground that is known


def test_a_small_picture_has_the_least_of_each_block() -> None:
    values = np.arange(25, dtype=np.int16).reshape(5, 5) + 100
    values[0, 0] = NO_DATA
    values[4, 4] = NO_DATA
    small, step = thinned(values, 3)
    assert step == 2
    assert small.tolist() == [[101, 102, 104], [110, 112, 114], [120, 122, NO_DATA]]
    assert thinned(values, 5)[1] == 1
