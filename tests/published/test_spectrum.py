"""Densities and lines against scipy.signal, Parseval's theorem and sines of known size."""

from __future__ import annotations

import math

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import ndimage, signal

from turnback.physics.spectrum import (
    Density,
    evenly,
    floor_under,
    jitter_ratio,
    line_near,
    segment_densities,
    welch,
)

pytestmark = pytest.mark.published


def noise(n: int, seed: int = 1) -> NDArray[np.float64]:
    return np.random.default_rng(seed).normal(size=n) + 3.0


@pytest.mark.parametrize(("n", "rate_hz", "size"), [(5000, 1000.0, 1024), (5003, 333.0, 255), (300_000, 1000.0, 500)])
def test_density_is_that_of_scipy(n: int, rate_hz: float, size: int) -> None:
    values = noise(n)
    frequency_hz, expected = signal.welch(values, rate_hz, window="hann", nperseg=size, detrend="constant")
    ours = welch([values], rate_hz, size / rate_hz)
    np.testing.assert_allclose(ours.frequency_hz, frequency_hz, rtol=1e-12)
    np.testing.assert_allclose(ours.values, expected, rtol=1e-10, atol=1e-10 * expected.max())
    each = segment_densities(values, rate_hz, size / rate_hz)
    np.testing.assert_allclose(each.values.mean(axis=0), expected, rtol=1e-10, atol=1e-10 * expected.max())


def test_one_segment_is_the_periodogram_of_scipy() -> None:
    values = noise(777, 2)
    _, expected = signal.periodogram(values, 250.0, window="hann", detrend="constant")
    ours = segment_densities(values, 250.0, 777 / 250.0)
    assert ours.values.shape[0] == 1
    np.testing.assert_allclose(ours.values[0], expected, rtol=1e-10, atol=1e-12)


def test_spans_average_by_their_segments_and_short_ones_do_not_count() -> None:
    one, two, short = noise(4096, 3), 2.0 * noise(2048, 4), 100.0 * noise(200, 5)
    first = signal.welch(one, 100.0, nperseg=256)[1]
    second = signal.welch(two, 100.0, nperseg=256)[1]
    segments = [(4096 - 256) // 128 + 1, (2048 - 256) // 128 + 1]
    expected = (first * segments[0] + second * segments[1]) / sum(segments)
    np.testing.assert_allclose(welch([one, two, short], 100.0, 2.56).values, expected, rtol=1e-10, atol=1e-14)
    assert np.isnan(welch([short], 100.0, 2.56).values).all()


def test_power_is_the_mean_square_of_the_windowed_samples() -> None:
    # Parseval: the density summed over its bins is the mean square under the window, over the window's mean square.
    values = noise(1000, 6)
    window = signal.get_window("hann", 1000)
    expected = np.sum(((values - values.mean()) * window) ** 2) / np.sum(window**2)
    ours = segment_densities(values, 500.0, 2.0)
    assert float(ours.values[0].sum() * ours.frequency_hz[1]) == pytest.approx(expected, rel=1e-12)


def test_single_precision_samples_lose_nothing_that_counts() -> None:
    values = noise(8192, 7)
    expected = signal.welch(values, 1000.0, nperseg=1024)[1]
    np.testing.assert_allclose(welch([values.astype(np.float32)], 1000.0, 1.024).values, expected, rtol=1e-4, atol=1e-9)


def test_floor_is_the_running_median_of_scipy_and_does_not_see_a_line() -> None:
    level = np.abs(noise(400, 8))
    density = Density(np.arange(400) * 0.5, level)
    ours = floor_under(density, 20.0).values
    np.testing.assert_allclose(ours[20:-20], ndimage.median_filter(level, 41)[20:-20], rtol=1e-14)
    spiked = level.copy()
    spiked[200:203] = 1e6
    assert floor_under(Density(density.frequency_hz, spiked), 20.0).values.max() < level.max() + 1e-9


@pytest.mark.parametrize("frequency_hz", [123.0, 123.4, 122.51])
def test_a_sine_in_noise_has_its_frequency_and_amplitude(frequency_hz: float) -> None:
    t_s = np.arange(60_000) / 1000.0
    values = 0.7 * np.sin(2 * np.pi * frequency_hz * t_s + 0.3) + np.random.default_rng(9).normal(0.0, 1.0, t_s.size)
    density = welch([values], 1000.0, 1.0)
    line = line_near(density, floor_under(density, 30.0), 100.0, 200.0)
    assert line.frequency_hz == pytest.approx(frequency_hz, abs=0.1)
    assert line.amplitude == pytest.approx(0.7, rel=0.03)
    assert line.prominence_ratio > 50.0
    assert math.isnan(line_near(density, floor_under(density, 30.0), 900.0, 1000.0).amplitude)


def test_jitter_of_clocks_of_known_unevenness() -> None:
    even_s = np.arange(1000) * 0.001
    assert jitter_ratio(even_s) == pytest.approx(0.0, abs=1e-9)
    assert jitter_ratio(np.delete(even_s, [100, 500, 501])) == pytest.approx(0.0, abs=1e-9)
    shaken_s = even_s + np.random.default_rng(10).uniform(-0.0002, 0.0002, 1000)
    # the difference of two uniform errors ±h is triangular: its mean size is 2h/3
    assert jitter_ratio(shaken_s) == pytest.approx(2 * 0.2 / 3, rel=0.08)


def test_laying_even_keeps_a_line_and_interpolates_a_slow_sine() -> None:
    t_s = np.sort(np.random.default_rng(11).uniform(0.0, 10.0, 5000))
    np.testing.assert_allclose(evenly(t_s, 2.0 * t_s + 1.0, 500.0).values[5:20],
                               2.0 * (t_s[0] + np.arange(5, 20) / 500.0) + 1.0, rtol=1e-12)  # fmt: skip
    made = evenly(t_s, np.sin(2 * np.pi * 3.0 * t_s), 500.0)
    density = segment_densities(made.values, made.rate_hz, 8.0).values[0]
    assert float(np.sqrt(2.0 * density.sum() / 8.0)) == pytest.approx(1.0, rel=0.01)
    # half-way between even samples a sine of an eighth of the rate keeps cos(π/8)
    grid_s = np.arange(0.0, 1.0, 0.01)
    half_way = evenly(grid_s, np.cos(2 * np.pi * 12.5 * (grid_s - 0.005)), 200.0)
    assert half_way.values[1] == pytest.approx(math.cos(math.pi / 8), rel=1e-9)


@pytest.mark.published
@pytest.mark.parametrize("size", [1001, 4096])
def test_a_span_of_several_batches_is_that_of_scipy(size: int) -> None:
    """Welch 1967 as scipy.signal.welch has it; an odd segment overlaps by its half rounded down."""
    values = np.random.default_rng(4).normal(size=600_000)
    told = signal.welch(values, 1000.0, "hann", size, size // 2, detrend="constant")[1]
    assert welch([values], 1000.0, size / 1000.0).values == pytest.approx(told, rel=1e-9)
