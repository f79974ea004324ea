"""Properties of a fall: energy only goes, weight and wind only carry on, left is right in a mirror."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from turnback.base.constants import GRAVITY_MPS2
from turnback.base.errors import InputError
from turnback.physics.fall import drop_s, drop_speed_mps, fall_to_ground, terminal_mps
from turnback.physics.terrain_grid import TerrainGrid

masses = st.floats(0.02, 5.0)
areas = st.floats(0.002, 0.03)
heights = st.floats(0.5, 3000.0)
speeds = st.floats(-30.0, 30.0)
climbs = st.floats(-10.0, 10.0)
AIR = 1.2


@given(masses, areas, heights, speeds, speeds, climbs)
def test_still_air_only_takes_energy(mass: float, area: float, height: float, e: float, n: float, up: float) -> None:
    fall = fall_to_ground(mass, area, AIR, height, e, n, up, 0.0, 0.0, 0.05)
    given_j_per_kg = 0.5 * (e * e + n * n + up * up) + GRAVITY_MPS2 * height
    assert 0.5 * float(fall.speed_mps) ** 2 <= given_j_per_kg * (1.0 + 1e-6)


@given(heights, speeds, speeds, climbs)
def test_less_and_less_drag_is_free_fall(height: float, e: float, n: float, up: float) -> None:
    fall = fall_to_ground(1.0, 1e-9, AIR, height, e, n, up, 10.0, -10.0, 0.05)
    seconds = (up + math.sqrt(up * up + 2.0 * GRAVITY_MPS2 * height)) / GRAVITY_MPS2
    assert float(fall.fall_s) == pytest.approx(seconds, rel=1e-4)
    assert float(fall.x_m) == pytest.approx(e * seconds, abs=1e-3 * height)


@given(masses, st.floats(1.05, 3.0), areas, heights)
def test_heavier_falls_faster(mass: float, more: float, area: float, height: float) -> None:
    light, heavy = (
        fall_to_ground(each, area, AIR, height, 0.0, 0.0, 0.0, 0.0, 0.0, 0.05) for each in (mass, mass * more)
    )
    assert float(heavy.speed_mps) > float(light.speed_mps) * (1.0 - 1e-6)
    assert float(heavy.fall_s) < float(light.fall_s) * (1.0 + 1e-6)
    assert float(light.speed_mps) <= float(terminal_mps(mass, area, AIR)) * (1.0 + 1e-6)


@given(masses, areas, heights, st.floats(0.0, 20.0), st.floats(0.5, 20.0), st.floats(0.0, 360.0))
def test_more_wind_carries_farther_downwind(
    mass: float, area: float, height: float, wind: float, more: float, toward_deg: float
) -> None:
    east, north = math.sin(math.radians(toward_deg)), math.cos(math.radians(toward_deg))

    def drift(speed: float) -> float:
        fall = fall_to_ground(mass, area, AIR, height, 0.0, 0.0, 0.0, speed * east, speed * north, 0.05)
        return float(fall.x_m) * east + float(fall.y_m) * north

    assert drift(wind + more) > drift(wind) >= 0.0


@given(masses, areas, heights, speeds, speeds, climbs, speeds, speeds)
def test_a_mirror_shows_the_mirrored_fall(
    mass: float, area: float, height: float, e: float, n: float, up: float, wind_e: float, wind_n: float
) -> None:
    fall = fall_to_ground(mass, area, AIR, height, e, n, up, wind_e, wind_n, 0.05)
    mirrored = fall_to_ground(mass, area, AIR, height, -e, n, up, -wind_e, wind_n, 0.05)
    turned = fall_to_ground(mass, area, AIR, height, n, e, up, wind_n, wind_e, 0.05)
    assert (float(mirrored.x_m), float(mirrored.y_m)) == (-float(fall.x_m), float(fall.y_m))
    assert (float(turned.x_m), float(turned.y_m)) == pytest.approx((float(fall.y_m), float(fall.x_m)), rel=1e-9)
    assert float(mirrored.speed_mps) == float(fall.speed_mps)


@given(heights, st.floats(1.0, 100.0), st.floats(1.01, 2.0))
def test_a_higher_drop_takes_longer_and_ends_no_slower(height: float, end: float, more: float) -> None:
    higher = min(height * more, 5000.0)
    assert float(drop_s(higher, end)) > float(drop_s(height, end))
    assert float(drop_speed_mps(height, end)) <= float(drop_speed_mps(higher, end)) <= end


@given(st.floats(2.0, 300.0), speeds, speeds, st.integers(0, 1000))
def test_it_ends_on_the_ground_and_not_before(height: float, e: float, n: float, seed: int) -> None:
    rough = np.random.default_rng(seed).uniform(0.0, 1.0, (40, 40)).astype(np.float32)
    ground = TerrainGrid(rough, -585.0, 585.0, 30.0)
    fall = fall_to_ground(0.7, 0.02, AIR, height, e, n, 0.0, 5.0, 3.0, 0.05, 0.0, 0.0, ground)
    level = fall_to_ground(0.7, 0.02, AIR, [height - 1.0, height + 1.0], e, n, 0.0, 5.0, 3.0, 0.05)
    assert level.fall_s[0] * (1.0 - 1e-2) <= float(fall.fall_s) <= level.fall_s[1] * (1.0 + 1e-2)


def test_the_slowest_fall_from_the_greatest_height_comes_to_its_end() -> None:
    fall = fall_to_ground(0.005, 0.08, AIR, 5000.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.05)
    end = terminal_mps(0.005, 0.08, AIR)
    assert float(fall.fall_s) == pytest.approx(float(drop_s(5000.0, end)), rel=1e-6)
    assert float(fall.speed_mps) == pytest.approx(float(end), rel=1e-6)


def test_on_the_ground_already_it_has_the_speed_it_has() -> None:
    fall = fall_to_ground(0.7, 0.02, AIR, 0.0, 3.0, 4.0, 0.0, 9.0, 0.0, 0.05, 7.0, 8.0)
    assert [float(part) for part in fall] == [7.0, 8.0, 0.0, 5.0, 0.0]


def test_many_falls_are_each_on_their_own() -> None:
    heights_m, winds = np.array([[5.0], [50.0]]), np.array([0.0, 4.0, 8.0])
    many = fall_to_ground(0.7, 0.02, AIR, heights_m, 5.0, 0.0, 0.0, winds, 1.0, 0.05)
    assert many.x_m.shape == (2, 3)
    one = fall_to_ground(0.7, 0.02, AIR, 50.0, 5.0, 0.0, 0.0, 4.0, 1.0, 0.05)
    assert [float(part[1, 1]) for part in many] == [float(part) for part in one]


@pytest.mark.parametrize(
    ("field", "value"),
    [("mass_kg", 700.0), ("drag_area_m2", -0.1), ("height_m", -1.0), ("height_m", math.nan), ("east_mps", 400.0),
     ("roughness_m", 1e-6), ("roughness_m", 3.0), ("step_share", 0.0), ("density_kg_m3", 12.0)],
)  # fmt: skip
def test_what_cannot_be_is_refused_by_name(field: str, value: float) -> None:
    fields: dict[str, Any] = {
        "mass_kg": 0.7, "drag_area_m2": 0.02, "density_kg_m3": AIR, "height_m": 10.0, "east_mps": 0.0, "north_mps": 0.0,
        "climb_mps": 0.0, "wind_east_mps": 0.0, "wind_north_mps": 0.0, "roughness_m": 0.05,
    }  # fmt: skip
    with pytest.raises(InputError, match=field):
        fall_to_ground(**{**fields, field: value})


def test_what_would_float_is_refused() -> None:
    with pytest.raises(InputError, match="it would float"):
        fall_to_ground(0.005, 0.2, AIR, 10.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.05)
