"""Returning, held against the navigator's worked example and figures worked by hand."""

import numpy as np
import pytest
from scipy import optimize

from turnback.physics.returning import (
    energy_for_way_j,
    headwind_home_mps,
    point_of_no_return_m,
    point_of_no_return_s,
    time_home_s,
    turn_back_distance_in_wind_m,
    turn_back_distance_m,
)

pytestmark = pytest.mark.published

KNOT_MPS = 1852.0 / 3600.0
PACK_J = 15.0 * 3600.0


def test_worked_point_of_no_return() -> None:
    # Navigation handbooks' worked example: endurance 390 min, 240 kt out, 210 kt home: 182 min and 728 NM, exactly.
    out, home = 240.0 * KNOT_MPS, 210.0 * KNOT_MPS
    assert float(point_of_no_return_s(390.0 * 60.0, out, home)) / 60.0 == pytest.approx(182.0, rel=1e-12)
    assert float(point_of_no_return_m(390.0 * 60.0, out, home)) / 1852.0 == pytest.approx(728.0, rel=1e-12)


@pytest.mark.parametrize(("headwind_mps", "distance_m"), [(0.0, 1620.0), (5.0, 1440.0), (8.0, 1159.2), (12.0, 583.2)])
def test_electric_turn_back(headwind_mps: float, distance_m: float) -> None:
    # 15 Wh, 250 W, 15 m/s, wind in the face on the way home: 54000 / (250 / (15 + w) + 250 / (15 - w)), by hand.
    ours = turn_back_distance_m(PACK_J, 250.0, 15.0 + headwind_mps, 250.0, 15.0 - headwind_mps)
    assert float(ours) == pytest.approx(distance_m, abs=0.05)
    in_wind = turn_back_distance_in_wind_m(PACK_J, 250.0, 250.0, 15.0, headwind_mps, 180.0, 0.0)
    assert float(in_wind) == pytest.approx(distance_m, abs=0.05)


def test_climb_and_reserve_come_off_the_pack() -> None:
    # A fifth of the pack kept and a tenth climbed away leave seven tenths of 1620 m (proportion).
    ours = turn_back_distance_m(PACK_J, 250.0, 15.0, 250.0, 15.0, 0.1 * PACK_J, 0.2 * PACK_J)
    assert float(ours) == pytest.approx(0.7 * 1620.0, abs=1e-6)


def test_wind_from_any_side_by_vectors() -> None:
    # Scipy finds the distance whose two ways, each flown with a heading that holds the track, empty the pack.
    wind = 7.0 * np.exp(1j * np.deg2rad(100.0 + 180.0))

    def ground_mps(track_deg: float) -> float:
        along = np.exp(1j * np.deg2rad(track_deg))
        lead = optimize.brentq(lambda a: float(np.imag((12.0 * np.exp(1j * a) * along + wind) / along)), -1.0, 1.0)
        return float(np.real((12.0 * np.exp(1j * lead) * along + wind) / along))

    spent = optimize.brentq(
        lambda d: 200.0 * d / ground_mps(60.0) + 260.0 * d / ground_mps(240.0) - PACK_J, 1.0, 5000.0, xtol=1e-9
    )
    ours = turn_back_distance_in_wind_m(PACK_J, 200.0, 260.0, 12.0, 7.0, 100.0, 60.0)
    assert float(ours) == pytest.approx(spent, rel=1e-9)


def test_way_home_by_hand() -> None:
    # 583.2 m at 3 m/s take 194.4 s and, at 250 W, 48,600 J; with those, 15 m/s of airspeed beat 12 m/s (by hand).
    assert float(time_home_s(583.2, 3.0)) == pytest.approx(194.4, rel=1e-12)
    assert float(energy_for_way_j(583.2, 250.0, 3.0)) == pytest.approx(48_600.0, rel=1e-12)
    assert float(headwind_home_mps(48_600.0, 583.2, 250.0, 15.0)) == pytest.approx(12.0, rel=1e-12)
