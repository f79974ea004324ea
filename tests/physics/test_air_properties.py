"""Properties of air: lighter when hot, high or moist; heights and densities undo each other."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from turnback.base.errors import InputError
from turnback.physics.air import (
    density_altitude_m,
    density_kg_m3,
    pressure_from_qnh_pa,
    standard_pressure_pa,
    standard_temperature_k,
)

heights = st.floats(-400.0, 10_500.0)


@given(heights)
def test_density_altitude_undoes_the_standard_density(height_m: float) -> None:
    density = density_kg_m3(standard_temperature_k(height_m), standard_pressure_pa(height_m))
    assert float(density_altitude_m(density)) == pytest.approx(height_m, abs=1e-6)


@given(st.floats(240.0, 320.0), st.floats(0.1, 10.0), st.floats(60_000.0, 105_000.0), st.floats(0.0, 0.9))
def test_hot_moist_or_thin_air_is_lighter(kelvin: float, more_k: float, pascal: float, humidity: float) -> None:
    density = float(density_kg_m3(kelvin, pascal, humidity))
    assert float(density_kg_m3(kelvin + more_k, pascal, humidity)) < density
    assert float(density_kg_m3(kelvin, pascal, humidity + 0.1)) < density
    assert float(density_kg_m3(kelvin, pascal - 100.0, humidity)) < density
    assert float(density_altitude_m(density)) < float(density_altitude_m(density * 0.99))


@given(st.floats(95_000.0, 105_000.0), st.floats(0.0, 4000.0), st.floats(1.0, 500.0))
def test_pressure_falls_with_height_and_rises_with_qnh(qnh_pa: float, height_m: float, more_m: float) -> None:
    pressure = float(pressure_from_qnh_pa(qnh_pa, height_m))
    assert float(pressure_from_qnh_pa(qnh_pa, height_m + more_m)) < pressure
    assert float(pressure_from_qnh_pa(qnh_pa + 100.0, height_m)) > pressure


def test_qnh_at_sea_level_is_the_pressure() -> None:
    qnh_pa = np.array([96_000.0, 101_325.0, 104_500.0])
    assert pressure_from_qnh_pa(qnh_pa, 0.0) == pytest.approx(qnh_pa, rel=1e-12)


def test_shapes_broadcast() -> None:
    assert density_kg_m3(np.full((3, 1), 288.0), np.full(4, 1e5), 0.5).shape == (3, 4)


@pytest.mark.parametrize(
    ("kelvin", "pascal", "humidity", "word"),
    [(15.0, 1e5, 0.0, "Celsius"), (288.0, 1013.0, 0.0, "hectopascals"), (288.0, 1e5, 60.0, "0.6")],
)
def test_likely_slips_are_named(kelvin: float, pascal: float, humidity: float, word: str) -> None:
    with pytest.raises(InputError, match=word):
        density_kg_m3(kelvin, pascal, humidity)


def test_height_above_the_troposphere_is_refused() -> None:
    with pytest.raises(InputError, match="height_m"):
        standard_temperature_k(12_000.0)
