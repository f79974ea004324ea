"""The link budget against handbook values, scipy and p528."""

from __future__ import annotations

import math

import numpy as np
import p528
import pytest
from astropy import units
from pycraf import conversions
from scipy import constants, stats

from turnback.base.errors import InputError
from turnback.physics.link import free_space_db, link_probability, margin_db, noise_dbm, power_sum_dbm, received_dbm
from turnback.physics.polarisation import Polarisation
from turnback.physics.two_ray import ground_reflection, two_ray, two_ray_crossover_m

pytestmark = pytest.mark.published


def test_free_space_of_one_kilometre() -> None:
    # 100.052 dB at 2.4 GHz by pycraf (GPL: a peer in tests only), and its own value beside it.
    peer = conversions.free_space_loss(1.0 * units.km, 2.4 * units.GHz).to_value(conversions.dB)
    ours = float(free_space_db(1000.0, 2400.0))
    assert ours == pytest.approx(100.052, abs=5e-4)
    assert ours == pytest.approx(abs(float(peer)), abs=1e-9)


def test_free_space_of_p528_within_line_of_sight() -> None:
    # ITU-R P.528-5: published p528(15, 10, 1000, 500, 0, 50) = 110.01 dB, of which 0.045 dB are air.
    peer = p528.p528(15.0, 10.0, 1000.0, 500.0, 0, 50.0)
    ours = float(free_space_db(math.hypot(15_000.0, 990.0), 500.0))
    assert peer.A__db == pytest.approx(110.01, abs=0.01)
    assert ours == pytest.approx(peer.A_fs__db, abs=0.01)
    assert ours == pytest.approx(110.01, abs=0.06)


def test_two_rays_cross_over() -> None:
    # 4 h1 h2 / λ: 1.5 and 50 m at 2.4 GHz, 2402 m (textbook).
    assert float(two_ray_crossover_m(1.5, 50.0, 2400.0)) == pytest.approx(2402.0, abs=0.5)


def test_two_rays_far_out() -> None:
    # 10 km, 1.5 and 50 m, 2.4 GHz, reflection -1: 122.71 dB; textbook limit 40 log10 d - 20 log10(h1 h2).
    far = two_ray(10_000.0, 1.5, 50.0, 2400.0)
    assert float(far.loss_db) == pytest.approx(122.71, abs=0.005)
    limit_db = 40.0 * math.log10(100_000.0) - 20.0 * math.log10(75.0)
    assert float(two_ray(100_000.0, 1.5, 50.0, 2400.0).loss_db) == pytest.approx(limit_db, abs=0.02)


def test_two_rays_at_the_crossover_add_six_decibels() -> None:
    at = two_ray(float(two_ray_crossover_m(1.5, 50.0, 2400.0)), 1.5, 50.0, 2400.0)
    free_db = float(free_space_db(math.hypot(2401.66, 48.5), 2400.0))
    assert float(at.loss_db) == pytest.approx(free_db - 6.02, abs=0.01)
    assert float(at.least_db) == pytest.approx(free_db - 6.02, abs=0.01)


def test_null_depth_by_the_standing_wave() -> None:
    # Textbook: |reflection| 0.5 swings between +3.52 and -6.02 dB (far out both paths are equally long).
    found = two_ray(50_000.0, 1.5, 20.0, 2400.0, -0.5)
    assert float(found.null_depth_db) == pytest.approx(6.02, abs=0.01)
    assert float(found.greatest_db - found.least_db) == pytest.approx(3.52 + 6.02, abs=0.01)


def test_reflection_by_fresnel() -> None:
    # Textbook: normal incidence (n - 1) / (n + 1), grazing -1, none for vertical at Brewster's angle.
    straight = (math.sqrt(22.0) - 1.0) / (math.sqrt(22.0) + 1.0)
    for polarisation in (Polarisation.VERTICAL, Polarisation.HORIZONTAL):
        coefficient = complex(ground_reflection(math.pi / 2, 2400.0, polarisation, 22.0, 0.0))
        assert abs(coefficient) == pytest.approx(straight, rel=1e-12)
        assert complex(ground_reflection(0.0, 2400.0, polarisation)) == pytest.approx(-1.0, abs=1e-12)
    brewster_rad = math.atan(1.0 / math.sqrt(22.0))
    assert abs(complex(ground_reflection(brewster_rad, 2400.0, Polarisation.VERTICAL, 22.0, 0.0))) < 1e-12
    # A circular wave turns its hand on reflection from straight above, and keeps it at grazing.
    assert abs(complex(ground_reflection(math.pi / 2, 2400.0, Polarisation.CIRCULAR_LEFT))) < 1e-12
    assert complex(ground_reflection(0.0, 2400.0, Polarisation.CIRCULAR_LEFT)) == pytest.approx(-1.0, abs=1e-12)


def test_noise_floor() -> None:
    # Handbook: -174 dBm/Hz, so -117.01 dBm in 500 kHz and -100.99 in 20 MHz; exact at 290 K it is 0.02 dB more.
    assert noise_dbm([500e3, 20e6]) == pytest.approx([-117.01, -100.99], abs=0.03)
    exact_dbm = 10.0 * math.log10(constants.k * 290.0 * 20e6 * 1e3)
    assert float(noise_dbm(20e6, 7.0)) == pytest.approx(exact_dbm + 7.0, abs=1e-9)


def test_two_equal_powers_are_three_decibels_more() -> None:
    # Textbook: +3.01 dB; 10 dB apart +0.41 dB.
    assert float(power_sum_dbm(-90.0, -90.0)) == pytest.approx(-86.99, abs=0.001)
    assert float(power_sum_dbm(-90.0, -100.0)) == pytest.approx(-89.59, abs=0.005)


def test_a_budget_by_hand() -> None:
    # 100 mW, 2 and 0 dBi, 2.4 GHz, 1 km: 20 + 2 + 0 - 100.05 = -78.05 dBm; by hand.
    level_dbm = received_dbm(20.0, 2.0, 0.0, free_space_db(1000.0, 2400.0))
    assert float(level_dbm) == pytest.approx(-78.05, abs=0.005)
    # Quiet: sensitivity rules, 105 - 78.05 = 26.95; noisy: -85 + 5 = -80 rules, 1.95.
    assert float(margin_db(level_dbm, -105.0, -115.0, 5.0)) == pytest.approx(26.95, abs=0.005)
    assert float(margin_db(level_dbm, -105.0, -85.0, 5.0)) == pytest.approx(1.95, abs=0.005)


def test_chance_is_the_normal_distribution() -> None:
    margin = np.linspace(-40.0, 40.0, 81)
    assert np.abs(link_probability(margin, 7.0) - stats.norm.cdf(margin / 7.0)).max() < 1e-12
    # Tables: 2.326 sigma is 0.99, 1.645 is 0.95.
    assert link_probability([2.3263 * 6.0, 1.6449 * 6.0], 6.0) == pytest.approx([0.99, 0.95], abs=1e-5)


def test_bad_inputs_are_told() -> None:
    with pytest.raises(InputError, match="not km"):
        free_space_db(0.0, 2400.0)
    with pytest.raises(InputError, match="negative number of dBm"):
        margin_db(-80.0, 105.0, -100.0, 5.0)
    with pytest.raises(InputError, match="reflection"):
        two_ray(1000.0, 1.5, 50.0, 2400.0, -1.2)
    with pytest.raises(InputError, match="sigma_db"):
        link_probability(3.0, 0.0)
