"""A pack file run over a load, held against thevenin with the pack's own numbers, for every chemistry."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from tests.published import cell_peers as peers
from tests.published.cell_peers import CURRENT, POWER, Cell

from turnback.flows.pack_run import pack_run
from turnback.physics.cell import Traits
from turnback.readers.plan_files import read_pack
from turnback.readers.profile_csv import read_load_profile
from turnback.rules.chemistry import chemistry

pytestmark = pytest.mark.published

CELLS, CAPACITY_AH, R0_OHM, MASS_KG, REST_V, CELSIUS = 4, 1.45, 0.0068, 0.172, 3.95, 12.0
PACK = """
schema = 1
id = "invented-four-cells"
note = "Invented for this test: no such pack exists."
chemistry = "{chemistry}"
cells = 4
capacity_mah = {{ value = 1450, how = "measured" }}
resistance_mohm_per_cell = {{ value = 6.8, how = "measured" }}
mass_g = {{ value = 172, how = "measured" }}
temperature_c = {{ value = 12, how = "measured" }}
cell_rest_v = [3.95, 3.96, 3.95, 3.95]
"""
LOADS = {CURRENT: [14.0, 35.0, 9.0, 0.0, 18.0], POWER: [200.0, 480.0, 130.0, 0.0, 250.0]}
SECONDS = [40.0, 4.0, 60.0, 6.0, 25.0]


def whole_pack(name: str) -> Cell:
    """Return the pack as thevenin takes it: one body of four cells' volts, resistance and mass."""
    law = chemistry(name)
    numbers = {field: getattr(law, field) for field in Traits.__slots__}
    traits = replace(Traits(**numbers), ocv_v=tuple(CELLS * volt for volt in law.ocv_v))
    soc = float(np.interp(REST_V, law.ocv_v, law.ocv_soc))
    return Cell(traits, CELLS * R0_OHM, CAPACITY_AH, soc, CELSIUS, MASS_KG)


@pytest.mark.parametrize("load", LOADS)
@pytest.mark.parametrize("name", ["LiPo", "high-voltage LiPo", "Li-ion"])
def test_a_pack_file_and_a_load_file_give_thevenins_volts(name: str, load: str, tmp_path: Path) -> None:
    (tmp_path / "pack.toml").write_text(PACK.format(chemistry=name), encoding="utf-8")
    times = np.concatenate(([0.0], np.cumsum(SECONDS)))
    column = "current_a" if load == CURRENT else "power_w"
    rows = [f"{at},{amount}" for at, amount in zip(times, [*LOADS[load], 0.0], strict=True)]
    (tmp_path / "load.csv").write_text("\n".join([f"time_s,{column}", *rows]), encoding="utf-8")

    run = pack_run(read_pack(tmp_path / "pack.toml"), read_load_profile(tmp_path / "load.csv"))
    said = peers.run_thevenin(whole_pack(name), load, LOADS[load], SECONDS)
    assert run.failure == ""
    assert run.assumed == ()
    assert run.time_s == pytest.approx(times[1:])
    assert run.volts_v == pytest.approx(said.volts_v, abs=CELLS * 1e-3)  # a millivolt a cell, as flown
    assert run.cell_loaded_v == pytest.approx(said.volts_v / CELLS, abs=1e-3)
    assert run.state_of_charge == pytest.approx(said.soc, abs=2e-4)
    assert run.temperature_c == pytest.approx(said.temperature_c, abs=0.1)
    assert run.current_a == pytest.approx(said.current_a, abs=0.02)
    assert run.used_ah == pytest.approx(CAPACITY_AH * (whole_pack(name).soc - said.soc[-1]), abs=1e-3)
    if load == POWER:  # definition of the watt-hour
        assert run.energy_wh[-1] == pytest.approx(np.dot(LOADS[load], SECONDS) / 3600.0, rel=1e-6)


def test_land_by_volts_pass_when_thevenin_says_so(tmp_path: Path) -> None:
    # The row whose end is first below the chemistry's land-by volts at rest, by thevenin's charge.
    law = chemistry("LiPo")
    (tmp_path / "pack.toml").write_text(PACK.format(chemistry="LiPo"), encoding="utf-8")
    rows = [f"{10 * row},11" for row in range(34)]
    (tmp_path / "load.csv").write_text("\n".join(["time_s,current_a", *rows]), encoding="utf-8")
    run = pack_run(read_pack(tmp_path / "pack.toml"), read_load_profile(tmp_path / "load.csv"))
    said = peers.run_thevenin(whole_pack("LiPo"), CURRENT, [11.0] * 33, [10.0] * 33)
    rest = np.interp(said.soc, law.ocv_soc, law.ocv_v)
    first = int(np.flatnonzero(rest < law.land_by_rest_v)[0])
    assert run.land_by_s == pytest.approx(10.0 * (first + 1))
