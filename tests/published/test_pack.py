"""Pack, held against thevenin's run of the whole pack as one body, and against scipy's integral and maximum."""

from dataclasses import replace

import numpy as np
import pytest
from scipy import integrate, interpolate, optimize
from tests.published import cell_peers as peers
from tests.published.cell_peers import CURRENT, FULL, POWER, REFERENCE, Cell

from turnback.physics.cell import Load
from turnback.physics.pack import greatest_power_w, march_pack, stored_energy_wh
from turnback.rules.chemistry import chemistry

pytestmark = pytest.mark.published

LOADS = {CURRENT: Load.CURRENT, POWER: Load.POWER}
AMOUNT_A, SECONDS = [15.0, 30.0, 8.0, 0.0, 20.0, 12.0], [60.0, 4.0, 90.0, 10.0, 20.0, 70.0]


def whole(cell: Cell, cells: int) -> Cell:
    """Return a pack as one cell of many times the volts, resistance and mass: cells in series share one current."""
    volts = tuple(cells * volt for volt in cell.traits.ocv_v)
    return replace(
        cell, traits=replace(cell.traits, ocv_v=volts), r0_ohm=cells * cell.r0_ohm, mass_kg=cells * cell.mass_kg
    )


@pytest.mark.parametrize("cells", [1, 4, 6])
@pytest.mark.parametrize("cell", [REFERENCE, FULL], ids=["reference", "every trait"])
@pytest.mark.parametrize("load", LOADS)
def test_pack_against_thevenins_run_of_the_whole(cells: int, cell: Cell, load: str) -> None:
    amounts = AMOUNT_A if load == CURRENT else [3.6 * cells * amount for amount in AMOUNT_A]
    said = peers.run_thevenin(whole(cell, cells), load, amounts, SECONDS)
    march = march_pack(
        LOADS[load], amounts, SECONDS, cells, cell.traits, cell.r0_ohm, cell.capacity_ah, cell.soc, cell.start_c,
        cell.start_c, cell.mass_kg, 0.1,
    )  # fmt: skip
    assert march.volts_v == pytest.approx(said.volts_v, abs=cells * 1e-5)
    assert march.cell.current_a == pytest.approx(said.current_a, abs=1e-4)
    assert march.cell.soc == pytest.approx(said.soc, abs=1e-6)
    assert march.cell.temperature_c == pytest.approx(said.temperature_c, abs=1e-3)
    assert march.power_w == pytest.approx(said.volts_v * said.current_a, rel=1e-5, abs=1e-3)


def test_energy_at_the_plug_is_power_times_time() -> None:
    # Definition of the watt-hour: 200 W for 180 s is 10 Wh.
    march = march_pack(
        Load.POWER, [200.0] * 3, [60.0] * 3, 4, REFERENCE.traits, 0.006, 1.5, 0.98, 25.0, 25.0, 0.04, 1.0
    )
    assert march.energy_wh == pytest.approx([200.0 / 60.0, 400.0 / 60.0, 10.0], rel=1e-9)


@pytest.mark.parametrize(("volts", "ohm", "cells"), [(4.2, 0.006, 4), (3.7, 0.012, 6), (3.9, 0.05, 1)])
def test_greatest_power_is_scipys_maximum(volts: float, ohm: float, cells: int) -> None:
    found = optimize.minimize_scalar(
        lambda i: -cells * i * (volts - i * ohm), bounds=(0.0, volts / ohm), method="bounded", options={"xatol": 1e-9}
    )
    assert float(greatest_power_w(volts, ohm, cells)) == pytest.approx(-found.fun, rel=1e-9)


@pytest.mark.parametrize("name", ["LiPo", "high-voltage LiPo", "Li-ion"])
@pytest.mark.parametrize(("upper", "lower"), [(1.0, 0.0), (0.97, 0.2), (0.33, 0.31), (0.4, 0.9)])
def test_stored_energy_is_scipys_integral_of_rest_volts(name: str, upper: float, lower: float) -> None:
    law = chemistry(name)
    line = interpolate.make_interp_spline(law.ocv_soc, law.ocv_v, k=1)
    inner = sorted(node for node in law.ocv_soc if min(lower, upper) < node < max(lower, upper))
    area, _ = integrate.quad(lambda s: float(line(s)), lower, upper, points=inner or None, limit=400)
    assert float(stored_energy_wh(upper, lower, 1.5, 4, law)) == pytest.approx(4 * 1.5 * area, rel=1e-9)


def test_stored_energy_of_a_label() -> None:
    # Labels say nominal volts times ampere-hours (common practice): four cells, 3.7 V, 1.5 Ah, 22.2 Wh. A rested curve
    # integrates to 1-6 % more, for its mean lies above 3.7 V.
    assert 1.0 <= float(stored_energy_wh(1.0, 0.0, 1.5, 4, chemistry("LiPo"))) / 22.2 <= 1.06


def test_a_slow_discharge_takes_out_what_is_stored() -> None:
    # pybamm at a hundredth of the hour rate: what it gives approaches the integral of rest volts, less i² R.
    slow = replace(FULL, traits=replace(FULL.traits, arrhenius_j_per_mol=0.0), start_c=25.0)
    amounts, seconds = [0.015] * 90, [3600.0] * 90
    said = peers.run_pybamm(slow, CURRENT, amounts, seconds)
    volts = np.concatenate(([np.interp(slow.soc, slow.traits.ocv_soc, slow.traits.ocv_v)], said.volts_v))
    given_wh = float(np.trapezoid(volts * 0.015, dx=1.0))
    ours = float(stored_energy_wh(slow.soc, float(said.soc[-1]), slow.capacity_ah, 1, slow.traits))
    assert given_wh == pytest.approx(ours, rel=1e-3)
