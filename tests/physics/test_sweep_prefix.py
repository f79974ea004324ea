"""Properties of the sweep: to every sample of a ray it is the path over the samples so far, walked anew."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from tests.physics.sweep_prefix import prefix_ray

from turnback.physics.profile import ruling_edge
from turnback.physics.sweep import sweep_ray, sweep_wanted
from turnback.physics.sweep_blocks import block_lines, close_blocks
from turnback.physics.sweep_hull import push_hull, steepest_behind
from turnback.physics.sweep_sight import ruling_sample

Array = NDArray[np.float64]

RADIUS_KM = 8500.0
LINKS_MHZ = np.array([868.0, 2400.0, 5800.0])
CANOPIES_M = np.array([2.0, 5.0, 10.0, 15.0, 20.0, 30.0])
KINDS: dict[str, Callable[[np.random.Generator, Array], Array]] = {
    "flat": lambda _, x: np.full(x.size, 200.0),
    "ramp": lambda rng, x: 200.0 + rng.uniform(-100.0, 100.0) * x,
    "dome": lambda rng, x: 200.0 + rng.uniform(5.0, 150.0) * np.exp(-12.0 * (x - rng.uniform(-0.2, 1.2)) ** 2),
    "gentle": lambda rng, x: 200.0 + rng.uniform(0.2, 5.0) * 0.1 * rng.standard_normal(x.size).cumsum(),
    "noise": lambda rng, x: 200.0 + rng.uniform(0.1, 5.0) * rng.standard_normal(x.size),
    "fractal": lambda rng, x: 300.0 + rng.uniform(0.5, 12.0) * rng.standard_normal(x.size).cumsum(),
    "waves": lambda rng, x: 200.0 + rng.uniform(0.5, 40.0) * np.sin(x * rng.uniform(5.0, 60.0)),
}
HEIGHTS: dict[str, Callable[[np.random.Generator, Array], Array]] = {
    "just over ground": lambda _, ground: ground + 0.5,
    "over ground": lambda rng, ground: ground + rng.choice([2.0, 10.0, 60.0, 300.0]),
    "over launch": lambda rng, ground: np.maximum(ground[0] + rng.uniform(0.0, 150.0), ground + 0.5),
    "anywhere": lambda rng, ground: ground + 0.5 + 2000.0 * rng.uniform(0.0, 1.0, ground.size) ** 4,
}


def spaced(count: int, step_km: float) -> Array:
    return np.asarray(np.arange(count) * step_km, dtype=np.float64)


def walked(kernel: Any, distance_km: Array, ground_m: Array, aircraft_m: Array, antenna_m: float) -> tuple[Array, ...]:
    """Return table, metres under canopies and highest ground of a ray; not a number where nothing is written."""
    count = distance_km.size
    table = np.full((count, LINKS_MHZ.size, 3), math.nan)
    under, top = np.full((count, CANOPIES_M.size), math.nan), np.full(count, math.nan)
    kernel(
        distance_km, ground_m, aircraft_m, antenna_m, LINKS_MHZ, RADIUS_KM, True, 22.0, 0.003, CANOPIES_M, table, under,
        top,
    )  # fmt: skip
    return table, under, top


def held(ratio: Array) -> Array:
    """Return clearance ratios as far as anything depends on them."""
    return np.minimum(ratio, 0.6)


def hold_against_prefix(distance_km: Array, ground_m: Array, aircraft_m: Array, antenna_m: float) -> None:
    slow, slow_under, slow_top = walked(prefix_ray, distance_km, ground_m, aircraft_m, antenna_m)
    quick, under, top = walked(sweep_ray, distance_km, ground_m, aircraft_m, antenna_m)
    assert quick[..., :2] == pytest.approx(slow[..., :2], abs=1e-6)
    assert held(quick[..., 2]) == pytest.approx(held(slow[..., 2]), abs=1e-6)
    assert np.array_equal(quick[..., 2] > 0.0, slow[..., 2] > 0.0)
    assert np.isfinite(quick[1:, :, 2]).all()
    assert under == pytest.approx(slow_under, abs=1e-5)
    assert np.array_equal(top, slow_top)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("heights", HEIGHTS)
def test_a_sweep_is_the_path_to_every_sample(kind: str, heights: str) -> None:
    rng = np.random.default_rng(sum(map(ord, kind + heights)))
    for step_m, count in ((1.0, 300), (10.0, 200), (30.0, 330), (90.0, 150), (30.0, 6)):
        distance = spaced(count, step_m / 1000.0)
        ground = KINDS[kind](rng, distance / distance[-1])
        antenna_m = ground[0] + float(rng.choice([0.3, 1.5, 10.0, 40.0]))
        hold_against_prefix(distance, ground, HEIGHTS[heights](rng, ground), antenna_m)


@settings(max_examples=150)
@given(
    seed=st.integers(0, 2**32 - 1),
    kind=st.sampled_from(sorted(KINDS)),
    heights=st.sampled_from(sorted(HEIGHTS)),
    count=st.integers(1, 150),
    step_m=st.sampled_from([0.2, 1.0, 30.0, 92.6, 400.0]),
    even=st.booleans(),
)
def test_any_ray_is_the_path_to_every_sample(
    seed: int, kind: str, heights: str, count: int, step_m: float, even: bool
) -> None:
    rng = np.random.default_rng(seed)
    steps = np.full(count - 1, step_m) if even else rng.uniform(0.2, 3.0, count - 1) * step_m
    distance = np.asarray(np.concatenate([[0.0], steps.cumsum()]) / 1000.0, dtype=np.float64)
    ground = KINDS[kind](rng, distance / max(distance[-1], 1e-3))
    hold_against_prefix(distance, ground, HEIGHTS[heights](rng, ground), ground[0] + float(rng.uniform(0.1, 30.0)))


@pytest.mark.slow
@pytest.mark.parametrize("kind", KINDS)
def test_long_rays_are_the_path_to_every_sample(kind: str) -> None:
    rng = np.random.default_rng(5)
    distance = spaced(2500, 0.01)
    ground = KINDS[kind](rng, distance / distance[-1])
    hold_against_prefix(distance, ground, HEIGHTS["over ground"](rng, ground), ground[0] + 1.5)


def test_only_samples_that_are_wanted_are_written() -> None:
    rng = np.random.default_rng(2)
    distance = spaced(200, 0.03)
    ground = KINDS["fractal"](rng, distance)
    aircraft = ground + 30.0
    whole, whole_under, whole_top = walked(sweep_ray, distance, ground, aircraft, ground[0] + 2.0)
    wanted = np.zeros(200, dtype=np.bool_)
    wanted[[7, 8, 150, 199]] = True

    def some(*given: Any) -> None:
        arguments: Any = (*given[:10], wanted, *given[10:])
        sweep_wanted(*arguments)

    part, part_under, part_top = walked(some, distance, ground, aircraft, ground[0] + 2.0)
    assert part[wanted] == pytest.approx(whole[wanted], abs=1e-9)
    assert part_under[wanted] == pytest.approx(whole_under[wanted], abs=1e-9)
    assert np.isnan(part[2:][~wanted[2:]]).all()
    assert np.array_equal(part_top, whole_top)


def test_canopies_in_any_order_keep_their_place() -> None:
    rng = np.random.default_rng(4)
    distance = spaced(120, 0.03)
    ground = KINDS["waves"](rng, distance)
    turned = np.array([10.0, 2.0, 30.0, 5.0])
    found = {}
    for canopies in (turned, np.sort(turned)):
        under = np.empty((120, 4))
        sweep_ray(
            distance, ground, ground + 20.0, ground[0] + 1.5, LINKS_MHZ, RADIUS_KM, True, 22.0, 0.003, canopies,
            np.empty((120, 3, 3)), under, np.empty(120),
        )  # fmt: skip
        found[canopies.tobytes()] = under
    mixed, sorted_ = found[turned.tobytes()], found[np.sort(turned).tobytes()]
    assert np.array_equal(mixed[:, np.argsort(turned)], sorted_)
    assert (np.diff(sorted_, axis=1) >= 0.0).all()
    assert sorted_.max() > 100.0


@pytest.mark.parametrize("kind", KINDS)
def test_blocks_find_the_sample_that_rules(kind: str) -> None:
    rng = np.random.default_rng(9)
    distance = spaced(400, 0.02)
    ground = KINDS[kind](rng, distance / distance[-1])
    from_m = float(ground[0]) + 1.5
    flat = np.asarray(ground - 500.0 * distance**2 / RADIUS_KM, dtype=np.float64)
    lines, hull, size, ahead, before, seen = block_lines(400), np.empty(400, dtype=np.int64), 0, 1, 1, 0
    for i in range(2, 400):
        size = push_hull(hull, size, distance, flat, i - 1)
        close_blocks(lines, distance, flat, i - 1)
        ahead = max(range(1, i), key=lambda j: (flat[j] - from_m) / distance[j])
        to_m = float(ground[i] + rng.choice([0.5, 3.0, 40.0]))
        at_m = to_m - 500.0 * distance[i] ** 2 / RADIUS_KM
        behind = steepest_behind(hull, size, distance, flat, distance[i], at_m)
        nu_root, _ = ruling_edge(distance[: i + 1], ground[: i + 1], from_m, to_m, RADIUS_KM)
        value, before = ruling_sample(
            distance, flat, lines, hull, size, i - 1, from_m, at_m, distance[i], ahead, behind, before, -0.05
        )
        wanted = math.copysign(nu_root**2 / (0.002 * distance[i]), nu_root)
        assert value == pytest.approx(max(wanted, -0.05), rel=1e-9, abs=1e-12)
        seen += wanted > -0.05
    assert seen > 10
