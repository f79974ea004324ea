"""Properties of the loss of one path: the same both ways, no worse with height, never negative."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from turnback.physics.diffraction import delta_bullington_db, knife_edge_db, ray_loss, single_edge_db
from turnback.physics.polarisation import Polarisation
from turnback.physics.profile import path_geometry

Array = NDArray[np.float64]


@st.composite
def paths(draw: st.DrawFn) -> tuple[Array, Array, float, float, float]:
    """Return distance, ground, both antenna heights and a frequency."""
    ground = draw(st.lists(st.floats(0.0, 400.0), min_size=3, max_size=40))
    path_km = draw(st.floats(0.05, 20.0))
    distance = np.linspace(0.0, path_km, len(ground))
    from_m = draw(st.floats(0.5, 20.0))
    to_m = draw(st.floats(0.5, 300.0))
    return distance, np.array(ground), from_m, to_m, draw(st.sampled_from([433.0, 868.0, 2400.0, 5800.0]))


@given(paths())
@settings(max_examples=200, deadline=None)
def test_a_path_loses_the_same_both_ways(path: tuple[Array, Array, float, float, float]) -> None:
    distance, ground, from_m, to_m, frequency_mhz = path
    there = ray_loss(distance, ground, from_m, to_m, frequency_mhz)
    back_km = distance[-1] - distance[::-1]
    back_km[0] = 0.0
    back = ray_loss(back_km, ground[::-1], to_m, from_m, frequency_mhz)
    assert back.diffraction_db == pytest.approx(there.diffraction_db, abs=1e-5)
    assert back.knife_edge_db == pytest.approx(there.knife_edge_db, abs=1e-6)
    assert back.free_space_db == pytest.approx(there.free_space_db, abs=1e-9)
    assert back.clearance_ratio == pytest.approx(there.clearance_ratio, abs=1e-6, rel=1e-6)


@given(paths())
@settings(max_examples=200, deadline=None)
def test_losses_are_finite_and_never_a_gain(path: tuple[Array, Array, float, float, float]) -> None:
    distance, ground, from_m, to_m, frequency_mhz = path
    ray = ray_loss(distance, ground, from_m, to_m, frequency_mhz)
    assert math.isfinite(ray.diffraction_db)
    assert ray.diffraction_db >= 0.0
    assert ray.knife_edge_db >= 0.0
    assert ray.line_of_sight == (ray.clearance_ratio > 0.0)
    assert 0.0 < ray.obstacle_km < distance[-1]


@given(paths(), st.floats(0.1, 200.0))
@settings(max_examples=200, deadline=None)
def test_height_never_costs_clearance(path: tuple[Array, Array, float, float, float], higher_m: float) -> None:
    distance, ground, from_m, to_m, frequency_mhz = path
    low = path_geometry(distance, ground, from_m, to_m, frequency_mhz)
    high = path_geometry(distance, ground, from_m, to_m + higher_m, frequency_mhz)
    assert high.clearance_ratio >= low.clearance_ratio
    assert single_edge_db(distance, ground, from_m, to_m + higher_m, frequency_mhz) <= single_edge_db(
        distance, ground, from_m, to_m, frequency_mhz
    )


@given(paths())
@settings(max_examples=100, deadline=None)
def test_one_path_by_parts_is_the_whole(path: tuple[Array, Array, float, float, float]) -> None:
    distance, ground, from_m, to_m, frequency_mhz = path
    ray = ray_loss(distance, ground, from_m, to_m, frequency_mhz)
    geometry = path_geometry(distance, ground, from_m, to_m, frequency_mhz)
    assert geometry.clearance_ratio == pytest.approx(ray.clearance_ratio, rel=1e-12)
    assert (geometry.obstacle_km, geometry.obstacle_height_m) == (ray.obstacle_km, ray.obstacle_height_m)
    both = delta_bullington_db(distance, ground, from_m, to_m, [frequency_mhz, 1300.0])
    assert both[0] == ray.diffraction_db
    assert both.shape == (2,)


@given(st.floats(-5.0, 50.0), st.floats(0.0, 5.0))
def test_a_deeper_edge_loses_more(nu: float, more: float) -> None:
    assert knife_edge_db(nu + more) >= knife_edge_db(nu) - 1e-12


def test_polarisation_hardly_matters_over_land() -> None:
    # The claim by which a circular wave is taken as vertical.
    distance = np.linspace(0.0, 10.0, 200)
    ground = 20.0 * np.sin(distance) ** 2
    for frequency_mhz in (868.0, 2400.0, 5800.0):
        upright = delta_bullington_db(distance, ground, 1.5, 30.0, frequency_mhz, polarisation=Polarisation.VERTICAL)
        level = delta_bullington_db(distance, ground, 1.5, 30.0, frequency_mhz, polarisation=Polarisation.HORIZONTAL)
        assert abs(float(upright - level)) < 0.1


def test_a_smaller_earth_is_never_kinder_to_sight() -> None:
    distance = np.linspace(0.0, 8.0, 300)
    clear = [
        path_geometry(distance, np.zeros(300), 2.0, 30.0, 2400.0, radius_km).clearance_ratio
        for radius_km in (4247.0, 6371.0, 8500.0)
    ]
    assert clear == sorted(clear)
