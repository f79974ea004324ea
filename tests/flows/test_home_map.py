"""The turn-back map: what it holds, and that at a place it says what the brief of a flight straight there says."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache
from typing import Any

import numba
import numpy as np
import pytest
from tests.assess.cases import case_of, ridge, valley

from turnback.base.errors import InputError
from turnback.flows.flight import Flight
from turnback.flows.home_map import home_map
from turnback.readers.terrain_shapes import flat_terrain
from turnback.records.case import Case
from turnback.records.home_map import LAYERS, NO_DATA, HomeMap, Reason
from turnback.records.route import HeightReference, Route
from turnback.records.terrain import Terrain

WITHIN = 0.02
TREES = {"site__canopy": "don't know"}


def case_on(terrain: Terrain, **changes: Any) -> Case:
    return case_of(terrain, **changes)


@cache
def small() -> Terrain:
    """41 by 41 cells of flat ground."""
    return flat_terrain(570.0, 30.0)


@cache
def small_map() -> HomeMap:
    return home_map(case_on(small()))


def straight_to(case: Case, x_m: float, y_m: float, height_m: float, reference: HeightReference) -> Flight:
    """Return the brief's own flight straight to a place and back, no look round there."""
    route = Route(
        np.array([0.0, x_m]), np.array([0.0, y_m]), np.array([height_m, height_m]), reference, case.route.speed_mps,
        0.0, straight=True, closes_at_launch=False,
    )  # fmt: skip
    return Flight(replace(case, route=route))


def test_the_layers_are_those_that_the_plan_allows_in_the_order_written() -> None:
    found = small_map()
    assert list(found.layers) == [key for key in LAYERS if key != "people"]
    for key, layer in found.layers.items():
        assert layer.values.dtype == np.int16
        assert layer.values.shape == (41, 41)
        assert (layer.scale, layer.unit) == LAYERS[key]
        assert not (layer.values == NO_DATA).any()


def test_chances_lie_in_order_and_reasons_follow_them() -> None:
    layers = small_map().layers
    low, middle, high = (layers[key].values for key in ("home_low", "home", "home_high"))
    assert ((low <= middle) & (middle <= high)).all()
    assert ((layers["reason"].values == Reason.HOME) == (low >= 9500)).all()


def test_flat_ground_is_in_sight_and_costs_nothing_behind_edges() -> None:
    layers = small_map().layers
    assert (layers["sight"].values == 1).all()
    assert layers["return_clearance"].numbers() == pytest.approx(60.0)
    assert layers["control_diffraction"].numbers().max() < 1.0
    control = layers["control_margin"].values
    assert control[20, 25] > control[20, 30] > control[20, 40]


def test_the_same_seed_gives_the_same_bytes_with_any_number_of_threads() -> None:
    threads = numba.get_num_threads()
    try:
        numba.set_num_threads(1)
        alone = home_map(case_on(small()))
    finally:
        numba.set_num_threads(threads)
    for key, layer in small_map().layers.items():
        assert layer.values.tobytes() == alone.layers[key].values.tobytes()


@pytest.mark.parametrize(
    ("what", "asked"),
    [
        ("above the limit", {"heights": (30.0, 150.0)}),
        ("out of range", {"height_m": 0.5}),
        ("no reference", {"height_above": "sea level"}),
        ("chance", {"chance": 1.5}),
    ],
)
def test_what_cannot_be_asked_is_refused(what: str, asked: dict[str, object]) -> None:
    with pytest.raises(InputError) as error:
        home_map(case_on(small()), **asked)  # type: ignore[arg-type]
    assert len(error.value.faults) == 1, what


def test_more_heights_are_told_in_short_and_a_map_above_the_limit_says_so() -> None:
    found = home_map(case_on(small()), height_m=130.0, heights=(60.0, 30.0, 60.0))
    assert [step.height_m for step in found.heights] == [30.0, 60.0]
    assert found.over_limit
    assert not small_map().over_limit
    first = found.heights[0]
    assert first.thinned == 1
    assert first.home_low is not None
    assert first.home_low.shape == (41, 41)
    assert first.ring.turn_back_m.shape == (360,)


def test_it_tells_how_far_it_is_and_can_be_stopped() -> None:
    shares: list[float] = []
    home_map(case_on(small()), heights=(30.0,), tell=shares.append)
    assert shares == sorted(shares)
    assert 0.0 <= shares[0] < shares[-1] <= 1.0

    def stop(share: float) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        home_map(case_on(small()), tell=stop)


def test_beyond_a_void_nothing_is_said() -> None:
    terrain = small()
    known = np.ones(terrain.heights_m.shape, dtype=np.bool_)
    known[20, 30] = False  # 300 m east of the launch point
    found = home_map(case_on(replace(terrain, known=known)))
    assert (found.layers["home"].values[20, 31:] == NO_DATA).all()
    assert (found.layers["home"].values[20, :29] != NO_DATA).all()
    assert found.ring.reason[90] in {"terrain", "video", "control", "energy"}
    assert found.ring.turn_back_m[90] < 300.0


def test_a_way_through_a_ridge_meets_the_ground() -> None:
    found = home_map(case_on(ridge(300.0, 60.0, 570.0), route__height_m=40))
    reason, middle = found.layers["reason"].values, found.layers["home"].values
    row, column = np.array(reason.shape) // 2
    assert reason[row, column + 12] == Reason.GROUND  # 360 m east, behind a ridge of 60 m
    assert middle[row, column + 12] == 0
    assert reason[row, column + 3] != Reason.GROUND
    assert found.layers["sight"].values[row, column + 12] == 0


def test_a_way_below_the_tops_of_trees_meets_them_beyond_the_launch_field() -> None:
    """Flown at 5 m; the launch field has no trees for 30 m, a cell; whoever says that there are none flies on."""
    low = home_map(case_on(small(), **TREES), height_m=5.0).layers["reason"].values
    assert (low[20, 22:] == Reason.GROUND).all()
    assert low[20, 20] != Reason.GROUND
    assert not (home_map(case_on(small()), height_m=5.0).layers["reason"].values == Reason.GROUND).any()


def places(case: Case, count: int, seed: int) -> tuple[np.ndarray, np.ndarray]:
    """Return rows and columns, every third on the rim."""
    rows, columns = case.terrain.heights_m.shape
    random = np.random.default_rng(seed)
    row, column = random.integers(0, rows, count), random.integers(0, columns, count)
    row[::6], column[3::6] = 0, columns - 1
    return row, column


def apart(case: Case, height_m: float, reference: HeightReference, count: int, seed: int) -> np.ndarray:
    """Return how far map and brief are apart: at the place, by its neighbourhood, and the end's margins in dB.

    Shape ``(count, 3)``; a place whose way meets the ground is left out: the brief says so in other words.
    """
    found = home_map(case, height_m=height_m, height_above=reference.value)
    terrain, layers = case.terrain, found.layers
    away = []
    for row, column in zip(*places(case, count, seed), strict=True):
        if layers["reason"].values[row, column] == Reason.GROUND:
            continue
        x_m, y_m = terrain.x_west_m + column * terrain.cell_m, terrain.y_north_m - row * terrain.cell_m
        flight = straight_to(case, x_m, y_m, height_m, reference)
        told = flight.home
        around = (slice(max(row - 1, 0), row + 2), slice(max(column - 1, 0), column + 2))
        here, near, margin = 0.0, 0.0, 0.0
        for key, exact in (("home", told.mid), ("home_low", told.low), ("home_high", told.high)):
            numbers = layers[key].numbers()
            here = max(here, abs(float(numbers[row, column]) - exact))
            near = max(near, exact - float(numbers[around].max()), float(numbers[around].min()) - exact)
        if row in (0, terrain.heights_m.shape[0] - 1) or column in (0, terrain.heights_m.shape[1] - 1):
            for link in flight.links:
                far = int(np.argmax(flight.track.from_launch_m * (flight.track.phase == 0)))
                said = float(layers[f"{link.result.name}_margin"].numbers()[row, column])
                margin = max(margin, abs(said - float(link.result.margin_mid_db[far])))
        away.append((here, near, margin))
    return np.array(away)


LAUNCH, GROUND = HeightReference.LAUNCH, HeightReference.GROUND
PLANS: dict[str, tuple[Callable[[], Case], float, HeightReference]] = {
    "flat": (lambda: case_on(flat_terrain(1500.0, 30.0)), 40.0, LAUNCH),
    "flat, trees": (lambda: case_on(flat_terrain(1200.0, 30.0), **TREES), 60.0, LAUNCH),
    "valley over ground": (lambda: case_on(valley(1400.0)), 45.0, GROUND),
    "valley above launch": (lambda: case_on(valley(1400.0)), 80.0, LAUNCH),
    "valley, trees": (lambda: case_on(valley(1400.0), **TREES), 45.0, GROUND),
    "ridge, trees": (lambda: case_on(ridge(500.0, 40.0, 1500.0), **TREES), 70.0, LAUNCH),
    "ridge over ground": (lambda: case_on(ridge(500.0, 40.0, 1500.0)), 30.0, GROUND),
    "windy": (lambda: case_on(flat_terrain(1500.0, 30.0), weather__wind_mps=8), 50.0, LAUNCH),
}


@pytest.mark.parametrize("name", ["flat, trees", "valley over ground"])
@pytest.mark.slow
def test_the_map_says_what_the_brief_says(name: str) -> None:
    case, height_m, reference = PLANS[name]
    away = apart(case(), height_m, reference, 4, 3)
    assert away[:, 1].max() <= WITHIN
    assert away[:, 2].max() <= 0.05


@pytest.mark.slow
def test_the_map_says_what_the_brief_says_at_many_places() -> None:
    away = []
    for i, (case, height_m, reference) in enumerate(PLANS.values()):
        away.append(apart(case(), height_m, reference, 9, 11 + i))
    every = np.concatenate(away)
    assert len(every) >= 60
    assert every[:, 1].max() <= WITHIN, "by the neighbourhood of three by three cells"
    assert every[:, 2].max() <= 0.05, "margins at the ends of rays, dB"
    assert (every[:, 0] <= WITHIN).mean() >= 0.9, "place by place"
