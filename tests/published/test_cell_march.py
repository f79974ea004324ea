"""Many worlds at once, held against thevenin's run of each."""

import numpy as np
import pytest
from scipy import optimize
from tests.published import cell_peers as peers
from tests.published.cell_peers import FULL, POWER, REFERENCE, Cell

from turnback.physics.cell_march import march_worlds

pytestmark = pytest.mark.published

CELLS_IN_SERIES = 4
CELL_W = [[50.0, 20.0, 90.0, 35.0, 0.0, 60.0], [30.0, 30.0, 30.0, 30.0, 30.0, 30.0], [5.0, 80.0, 5.0, 80.0, 5.0, 80.0]]
SECONDS = [[20.0, 60.0, 3.0, 80.0, 10.0, 40.0], [50.0] * 6, [30.0, 8.0, 30.0, 8.0, 30.0, 8.0]]
WORLDS = [
    (0.005, 1.4, 0.99, 5.0, 0.038),
    (0.009, 1.5, 0.90, 25.0, 0.040),
    (0.0065, 2.2, 0.70, 38.0, 0.055),
]


@pytest.mark.parametrize("kind", [REFERENCE, FULL], ids=["reference", "every trait"])
def test_every_world_is_what_thevenin_says_of_it(kind: Cell) -> None:
    columns = [np.array(column) for column in zip(*WORLDS, strict=True)]
    march = march_worlds(
        CELLS_IN_SERIES * np.array(CELL_W), SECONDS, cells_in_series=CELLS_IN_SERIES, r0_ohm=columns[0],
        capacity_ah=columns[1], start_soc=columns[2], temperature_c=columns[3], ambient_c=columns[3],
        cell_mass_kg=columns[4], traits=kind.traits, step_s=0.1,
    )  # fmt: skip
    assert march.deliverable.all()
    for world, (r0, capacity, soc, celsius, mass) in enumerate(WORLDS):
        said = peers.run_thevenin(
            Cell(kind.traits, r0, capacity, soc, celsius, mass), POWER, CELL_W[world], SECONDS[world]
        )
        assert march.soc[world] == pytest.approx(said.soc, abs=1e-6)
        assert march.temperature_c[world] == pytest.approx(said.temperature_c, abs=1e-3)
        rest = np.interp(said.soc, kind.traits.ocv_soc, kind.traits.ocv_v)
        assert march.rest_v[world] == pytest.approx(rest, abs=1e-5)


def test_least_volts_and_greatest_current_of_a_constant_power() -> None:
    # Volts only fall and current only rises under a constant power: the extremes are the ends thevenin gives.
    march = march_worlds(
        [[200.0, 200.0]], [[60.0, 60.0]], cells_in_series=4, r0_ohm=0.006, capacity_ah=1.5, start_soc=0.98,
        temperature_c=25.0, ambient_c=25.0, cell_mass_kg=0.04, traits=REFERENCE.traits, step_s=0.1,
    )  # fmt: skip
    said = peers.run_thevenin(REFERENCE, POWER, [50.0, 50.0], [60.0, 60.0])
    assert march.loaded_low_v[0] == pytest.approx(said.volts_v, abs=1e-5)
    assert march.current_a[0] == pytest.approx(said.current_a, abs=1e-4)


def test_a_world_stays_deliverable_until_thevenin_says_it_is_empty() -> None:
    # The time at which 0.0001 of the charge is left in thevenin's run; a little sooner is carried, a little later not.
    cell = Cell(REFERENCE.traits, 0.006, 1.5, 0.10)
    empty_s = optimize.brentq(
        lambda seconds: float(peers.run_thevenin(cell, POWER, [20.0], [seconds]).soc[0]) - 1e-4, 60.0, 88.4, xtol=1e-6
    )
    march = march_worlds(
        [[20.0], [20.0], [np.nan], [20.0]], [[empty_s], [empty_s + 0.5], [1.0], [np.inf]], cells_in_series=1,
        r0_ohm=0.006, capacity_ah=1.5, start_soc=0.10, temperature_c=25.0, ambient_c=25.0, cell_mass_kg=0.04,
        traits=REFERENCE.traits, step_s=0.05,
    )  # fmt: skip
    assert march.deliverable.tolist() == [True, False, False, False]
    assert np.isnan(march.soc[:, 0]).tolist() == [False, True, True, True]
    assert float(march.soc[0, 0]) == pytest.approx(1e-4, abs=1e-6)
