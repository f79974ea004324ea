"""Wind, held against the European wind-action standard and worked wind triangles."""

import math

import numpy as np
import pytest

from turnback.physics.wind import (
    beatable_headwind_mps,
    beatable_wind_mps,
    drift_correction_deg,
    ground_speed_mps,
    ground_speed_on_track_mps,
    gust_at_height_mps,
    turbulence_intensity,
    wind_across_mps,
    wind_along_mps,
    wind_at_height_mps,
)

pytestmark = pytest.mark.published


def test_profile_of_the_standard() -> None:
    # EN 1991-1-4, terrain category II (z0 0.05 m, kr 0.19): roughness factor 1.007 at 10 m, 1.139 at 20, 1.313 at 50.
    factors = 1.007 * wind_at_height_mps(1.0, 10.0, np.array([10.0, 20.0, 50.0]), 0.05)
    assert factors == pytest.approx([1.007, 1.139, 1.313], abs=1e-3)


def test_exposure_of_the_standard() -> None:
    # EN 1991-1-4, equation 4.8 and figure 4.2: exposure factor 2.35 at 10 m, category II; 1.28 at 5 m, category III.
    for height_m, roughness_m, kr, exposure in ((10.0, 0.05, 0.190, 2.35), (5.0, 0.3, 0.2154, 1.28)):
        intensity = float(turbulence_intensity(height_m, roughness_m))
        factor = (kr / intensity) ** 2 * (1.0 + 7.0 * intensity)
        assert factor == pytest.approx(exposure, abs=0.02)


def test_gust_excess_is_the_standards_constant_deviation() -> None:
    # EN 1991-1-4, equations 4.6 to 4.8: gust = mean (1 + 3.5 I), and 3.5 σ is the same at 10 m and at 50 m.
    mean_10, intensity_10 = 8.0, 1.0 / math.log(10.0 / 0.05)
    mean_50, intensity_50 = 8.0 * math.log(1000.0) / math.log(200.0), 1.0 / math.log(50.0 / 0.05)
    gust = gust_at_height_mps(mean_10, mean_10 * (1.0 + 3.5 * intensity_10), 10.0, 50.0, 0.05)
    assert float(gust) == pytest.approx(mean_50 * (1.0 + 3.5 * intensity_50), rel=1e-9)


def test_parts_of_a_wind_on_the_half_clock() -> None:
    # Pilots' rule (common practice): wind 30° off the nose crosses with one half, 60° with about nine tenths.
    assert float(wind_across_mps(10.0, 30.0, 0.0)) == pytest.approx(5.0, abs=1e-9)
    assert float(wind_across_mps(10.0, 60.0, 0.0)) == pytest.approx(8.66, abs=1e-2)
    assert float(wind_along_mps(10.0, 30.0, 0.0)) == pytest.approx(-8.66, abs=1e-2)
    assert float(wind_along_mps(10.0, 180.0, 0.0)) == pytest.approx(10.0, abs=1e-9)


def test_three_four_five() -> None:
    # 5 m/s of airspeed against 3 m/s square across the track leaves 4 (Pythagoras).
    assert float(ground_speed_mps(5.0, 0.0, 3.0)) == pytest.approx(4.0, abs=1e-12)
    assert float(ground_speed_on_track_mps(5.0, 3.0, 90.0, 0.0)) == pytest.approx(4.0, abs=1e-9)
    assert float(drift_correction_deg(5.0, 3.0, 90.0, 0.0)) == pytest.approx(36.87, abs=5e-3)


def test_wind_triangle_in_complex_numbers() -> None:
    # The triangle itself: heading vector and wind vector, summed, must lie on the track.
    for track, origin in ((0.0, 40.0), (75.0, 200.0), (300.0, 310.0), (181.0, 90.0)):
        lead = float(drift_correction_deg(15.0, 9.0, origin, track))
        air = 15.0 * np.exp(1j * math.radians(track + lead))
        moved = air - 9.0 * np.exp(1j * math.radians(origin))
        assert abs(moved) == pytest.approx(float(ground_speed_on_track_mps(15.0, 9.0, origin, track)), abs=1e-9)
        assert math.degrees(np.angle(moved * np.exp(-1j * math.radians(track)))) == pytest.approx(0.0, abs=1e-9)


def test_beatable_wind_against_a_search() -> None:
    # Brute force on the triangle: the greatest wind with at least 3 m/s over ground at 12 m/s of airspeed.
    winds = np.arange(0.0, 60.0, 0.001)
    assert float(beatable_headwind_mps(12.0, 3.0)) == pytest.approx(9.0, abs=1e-12)
    for origin in (0.0, 35.0, 80.0, 110.0, 150.0):
        square = 144.0 - (winds * math.sin(math.radians(origin))) ** 2
        ground = np.sqrt(np.maximum(square, 0.0)) - winds * math.cos(math.radians(origin))
        best = winds[(square >= 0.0) & (ground >= 3.0)].max()
        assert float(beatable_wind_mps(12.0, 3.0, origin, 0.0)) == pytest.approx(best, abs=2e-3)
