"""Trees and walls against the rows of ITU-R P.833 and against pycraf's ITU-R P.2109 (GPL: a peer in tests only)."""

from __future__ import annotations

import math

import numpy as np
import pytest
from astropy import units
from pycraf import pathprof

from turnback.base.errors import InputError
from turnback.physics.clutter import (
    WOODLAND,
    Building,
    building_entry_db,
    canopy_kernel,
    canopy_path_m,
    vegetation_db,
    woodland,
)

pytestmark = pytest.mark.published


def test_twenty_metres_of_wood_at_949_megahertz() -> None:
    # ITU-R P.833 table and equation: 3.191 dB.
    wood = woodland(949.0)
    assert float(vegetation_db(20.0, wood.specific_db_per_m, wood.greatest_db)) == pytest.approx(3.191, abs=5e-4)


@pytest.mark.parametrize(
    ("frequency_mhz", "specific_db_per_m", "greatest_db"),
    [(105.9, 0.04, 9.4), (466.475, 0.12, 18.0), (949.0, 0.17, 26.5), (1852.2, 0.30, 29.0), (2117.5, 0.34, 34.1)],
)
def test_rows_of_the_table(frequency_mhz: float, specific_db_per_m: float, greatest_db: float) -> None:
    # ITU-R P.833, table of woodland (second-hand).
    wood = woodland(frequency_mhz)
    assert float(wood.specific_db_per_m) == pytest.approx(specific_db_per_m, rel=1e-12)
    assert float(wood.greatest_db) == pytest.approx(greatest_db, rel=1e-12)
    assert not wood.extrapolated


def test_outside_the_table_the_band_is_wide_and_says_so() -> None:
    # Fits Am = A1 f^alpha quoted with ITU-R P.833 (from memory): 0.18 f^0.752 and 1.15 f^0.43. Both at 2.4 GHz, and
    # the second at 5.8 GHz, stand inside or near the band.
    wood = woodland([2400.0, 5800.0])
    assert wood.extrapolated.all()
    assert (wood.greatest_low_db < wood.greatest_db).all()
    assert (wood.greatest_db < wood.greatest_high_db).all()
    assert wood.greatest_low_db[1] < 1.15 * 5800.0**0.43 < wood.greatest_high_db[1]
    assert wood.specific_high_db_per_m[1] / wood.specific_low_db_per_m[1] > 4.0
    inside = woodland([300.0, 900.0])
    assert np.array_equal(inside.greatest_low_db, inside.greatest_high_db)
    assert len(WOODLAND) == 5


@pytest.mark.parametrize(
    ("building", "median_db", "ninety_db"),
    [(Building.TRADITIONAL, 15.19, 27.62), (Building.THERMALLY_EFFICIENT, 30.57, 47.87)],
)
def test_building_entry_at_two_point_four_gigahertz(building: Building, median_db: float, ninety_db: float) -> None:
    # pycraf's ITU-R P.2109 at 2.4 GHz, level path.
    assert building_entry_db(2400.0, building, [0.5, 0.9]) == pytest.approx([median_db, ninety_db], abs=0.005)


@pytest.mark.parametrize("building", list(Building))
def test_building_entry_is_pycrafs(building: Building) -> None:
    kind = {
        Building.TRADITIONAL: pathprof.BuildingType.TRADITIONAL,
        Building.THERMALLY_EFFICIENT: pathprof.BuildingType.THERM_EFF,
    }[building]
    frequency, chance, elevation = np.meshgrid([868.0, 2400.0, 5800.0], [0.05, 0.5, 0.95], [0.0, 30.0, 75.0])
    peer = pathprof.building_entry_loss(
        frequency / 1000.0 * units.GHz, elevation * units.deg, chance * units.dimensionless_unscaled, kind
    ).value
    ours = building_entry_db(frequency, building, chance, np.radians(elevation))
    # Measured: 0.006 dB at most; the peer approximates the normal quantile.
    assert np.abs(ours - peer).max() < 0.01


def test_slant_under_a_canopy_on_flat_ground() -> None:
    # Plain geometry: from 1.5 m below a top of 15 m to an aircraft at 101.5 m, 1 km out: (15 - 1.5) / sin(elevation).
    distance = np.linspace(0.0, 1.0, 2001)
    slant_m = 13.5 / math.sin(math.atan2(100.0, 1000.0))
    found_m = canopy_path_m(distance, np.zeros(2001), 1.5, 101.5, 15.0, 100_000.0)
    assert found_m == pytest.approx(slant_m, rel=2e-3)
    assert canopy_kernel(distance, np.zeros(2001), 1.5, 101.5, 100_000.0, 15.0) == found_m


def test_under_a_canopy_all_the_way() -> None:
    distance = np.linspace(0.0, 0.2, 21)
    assert canopy_path_m(distance, np.zeros(21), 1.5, 5.0, 10.0) == pytest.approx(math.hypot(200.0, 3.5), rel=1e-9)


def test_trees_on_the_ridge_that_blocks() -> None:
    # Plain geometry, flat Earth: tangents over a triangular ridge run (canopy / slope difference) under its trees.
    distance = np.linspace(0.0, 2.0, 2001)
    height = np.maximum(0.0, 100.0 - 400.0 * np.abs(distance - 1.0))
    found_m = canopy_path_m(distance, height, 30.0, 30.0, 10.0, 100_000.0)
    # Ground falls 400 m/km, the ray 70 m/km from the top: 10 m apart after 1/33 km, on both sides.
    assert found_m == pytest.approx(2.0 * 10.0 / 330.0 * math.hypot(1000.0, 70.0), rel=0.02)


def test_bad_inputs_are_told() -> None:
    with pytest.raises(InputError, match=r"2\.4 GHz is 2400"):
        woodland(2.4)
    with pytest.raises(InputError, match="fraction"):
        building_entry_db(2400.0, Building.TRADITIONAL, 90.0)
    with pytest.raises(InputError, match="depth_m"):
        vegetation_db(-1.0, 0.3, 30.0)
