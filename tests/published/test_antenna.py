"""Antennas and polarisation against textbook values and the element pattern of pycraf (GPL: a peer in tests only)."""

from __future__ import annotations

import math

import numpy as np
import pytest
from astropy import units
from pycraf import antenna as peer_antenna
from pycraf.conversions import dB, dBi
from scipy import integrate

from turnback.base.errors import InputError
from turnback.physics.antenna import (
    NULL_FLOOR_DB,
    Pattern,
    attitude_loss_db,
    axis_angle_rad,
    gain_toward_dbi,
    patch_beamwidth_rad,
    pattern_loss_db,
    worst_attitude_loss_db,
)
from turnback.physics.polarisation import Polarisation, polarisation_loss_db

pytestmark = pytest.mark.published

V, H = Polarisation.VERTICAL, Polarisation.HORIZONTAL
LEFT, RIGHT = Polarisation.CIRCULAR_LEFT, Polarisation.CIRCULAR_RIGHT


def directivity_dbi(pattern: Pattern) -> float:
    """Return the directivity of a body of revolution by numerical integration (scipy)."""
    power, _ = integrate.quad(
        lambda a: 10.0 ** (-float(pattern_loss_db(pattern, a, floor_db=60.0)) / 10.0) * math.sin(a), 0.0, math.pi
    )
    return 10.0 * math.log10(2.0 / power)


def test_half_wave_dipole_has_two_point_one_five_decibels() -> None:
    # Textbook: 2.15 dBi, half-power beamwidth 78 degrees.
    assert directivity_dbi(Pattern.DIPOLE) == pytest.approx(2.15, abs=0.01)
    assert float(pattern_loss_db(Pattern.DIPOLE, math.radians(90.0 - 39.0))) == pytest.approx(3.01, abs=0.03)


def test_short_element_has_one_point_seven_six_decibels() -> None:
    # Textbook: 1.76 dBi, half-power beamwidth 90 degrees.
    assert directivity_dbi(Pattern.OMNIDIRECTIONAL) == pytest.approx(1.76, abs=0.01)
    assert float(pattern_loss_db(Pattern.OMNIDIRECTIONAL, math.radians(45.0))) == pytest.approx(3.01, abs=0.01)


def test_patch_is_the_element_pattern_of_imt() -> None:
    # ITU-R M.2101 element in its horizontal cut, through pycraf.
    width_rad = float(patch_beamwidth_rad(8.0))
    azimuth = np.radians(np.linspace(0.0, 180.0, 91))
    width = math.degrees(width_rad) * units.deg
    peer = peer_antenna.imt2020_single_element_pattern(
        np.degrees(azimuth) * units.deg, 0.0 * units.deg, 8.0 * dBi, 25.0 * dB, 25.0 * dB, width, width
    )
    assert gain_toward_dbi(Pattern.PATCH, azimuth, 8.0, 25.0) == pytest.approx(np.asarray(peer.value), abs=1e-9)


def test_patch_beamwidth_is_about_that_of_imt() -> None:
    # ITU-R M.2101 tables 65 degrees for an element of 8 dBi; 32,400 over the square of the width is Elliott's (from
    # memory): they agree within 10 %.
    assert math.degrees(float(patch_beamwidth_rad(8.0))) == pytest.approx(65.0, rel=0.12)


def test_antenna_along_the_axis_is_blind_overhead() -> None:
    # Geometry; null floors are common practice.
    assert float(attitude_loss_db(Pattern.DIPOLE, 0.0)) == pytest.approx(0.0, abs=1e-12)
    assert float(attitude_loss_db(Pattern.DIPOLE, -math.pi / 2)) == NULL_FLOOR_DB[Pattern.DIPOLE]
    # A pilot seen 30 degrees below: half-wave dipole cos(90° sin 30°) / cos 30° = -1.76 dB.
    expected_db = -20.0 * math.log10(math.cos(math.pi / 4.0) / math.cos(math.radians(30.0)))
    assert float(attitude_loss_db(Pattern.DIPOLE, math.radians(-30.0))) == pytest.approx(expected_db, abs=1e-9)
    # A patch that looks down loses nothing straight below.
    assert float(attitude_loss_db(Pattern.PATCH, -math.pi / 2)) == pytest.approx(0.0, abs=1e-9)


def test_axis_angle_by_vectors() -> None:
    rng = np.random.default_rng(4)
    elevation, tilt = rng.uniform(-1.5, 1.5, 50), rng.uniform(0.0, 1.5, 50)
    bearing = rng.uniform(-3.0, 3.0, 50)
    ray = np.array([np.cos(elevation) * np.cos(bearing), np.cos(elevation) * np.sin(bearing), np.sin(elevation)])
    axis = np.array([np.sin(tilt), np.zeros(50), np.cos(tilt)])
    assert axis_angle_rad(elevation, tilt, bearing) == pytest.approx(np.arccos((ray * axis).sum(axis=0)), abs=1e-7)


def test_worst_attitude_is_the_worst_of_all_headings_and_leans() -> None:
    # A search over headings and leans up to 25 degrees.
    heading, lean = np.meshgrid(np.linspace(0.0, 2.0 * math.pi, 361), np.radians(np.linspace(0.0, 25.0, 51)))
    for pattern in Pattern:
        for elevation in np.radians([-80.0, -50.0, -20.0, -2.0]):
            searched = float(attitude_loss_db(pattern, elevation, lean, heading).max())
            closed = float(worst_attitude_loss_db(pattern, elevation, math.radians(25.0)))
            assert closed == pytest.approx(searched, abs=0.02)


@pytest.mark.parametrize(
    ("one", "other", "turned_deg", "loss_db"),
    [
        (V, V, 0.0, 0.0),
        (V, V, 45.0, 3.01),
        (V, V, 60.0, 6.02),
        (V, V, 90.0, 20.0),
        (V, H, 0.0, 20.0),
        (H, V, 90.0, 0.0),
        (V, LEFT, 30.0, 3.0),
        (RIGHT, H, 0.0, 3.0),
        (RIGHT, RIGHT, 70.0, 0.0),
        (LEFT, RIGHT, 0.0, 20.0),
    ],
)
def test_polarisation_mismatch(one: Polarisation, other: Polarisation, turned_deg: float, loss_db: float) -> None:
    # Textbook 20 log10 cos; floor, 3 and 20 dB are common practice.
    found = polarisation_loss_db(one, other, math.radians(turned_deg))
    assert float(found) == pytest.approx(loss_db, abs=0.005)


def test_bad_inputs_are_told() -> None:
    with pytest.raises(InputError, match="radians, not degrees"):
        pattern_loss_db(Pattern.DIPOLE, 45.0)
    with pytest.raises(InputError, match="gain_dbi"):
        gain_toward_dbi(Pattern.PATCH, 0.1, 40.0)
