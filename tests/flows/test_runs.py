"""``ray`` and ``pack-run``: the flows against outside programs, and their faces."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from astropy import units
from pycraf import conversions, pathprof

from turnback import api
from turnback.flows.pack_run import pack_run
from turnback.flows.ray import ray
from turnback.readers.plan_files import read_pack
from turnback.records.pack import PackFile
from turnback.records.profiles import Asked, HeightProfile, LoadProfile

ROOT = Path(__file__).parents[2]
PACK = ROOT / "examples" / "parts" / "pack-six-cells.toml"


def turnback(*words: str) -> subprocess.CompletedProcess[str]:
    """Run the command line."""
    return subprocess.run([sys.executable, "-m", "turnback", *words], capture_output=True, text=True, check=False)


def rough(seed: int) -> HeightProfile:
    """Return an invented rough profile of some kilometres."""
    generator = np.random.default_rng(seed)
    distance = np.linspace(0.0, generator.uniform(2.0, 12.0), 200)
    heights = np.cumsum(generator.normal(0.0, 6.0, 200)) + 300.0
    return HeightProfile(distance, heights)


@pytest.mark.parametrize("seed", range(6))
def test_diffraction_is_delta_bullington(seed: int) -> None:
    """`pycraf` (version 16 of its recommendation: delta-Bullington of ITU-R P.526), within 0.1 dB."""
    profile = rough(seed)
    answer = ray(profile, from_height_m=2.0, to_height_m=60.0, frequency_mhz=2400.0)
    path = pathprof.PathProp(
        2.4 * units.GHz, 288.15 * units.K, 1013.0 * units.hPa,
        0.0 * units.deg, 0.0 * units.deg, 0.1 * units.deg, 0.0 * units.deg,
        2.0 * units.m, 60.0 * units.m, 1.0 * units.m, 50 * units.percent,
        hprof_dists=profile.distance_km * units.km, hprof_heights=profile.height_m * units.m,
        hprof_bearing=0.0 * units.deg, hprof_backbearing=180.0 * units.deg,
        delta_N=157.0 * (1.0 - 6371.0 / 8500.0) * conversions.dimless / units.km, N0=325.0 * conversions.dimless,
        version=16,
    )  # fmt: skip
    assert answer.diffraction_db == pytest.approx(pathprof.loss_diffraction(path)[0].value, abs=0.1)


def test_ray_prints_and_writes_json(tmp_path: Path) -> None:
    """The keys of the issue; 1 km at 2400 MHz is 100.052 dB in free space (ITU-R P.525)."""
    table = tmp_path / "flat.csv"
    table.write_text("distance_km,height_m\n0,0\n0.5,0\n1,0\n")
    words = ["ray", "--profile", str(table), "--from-height", "10", "--to-height", "10", "--frequency-mhz", "2400"]
    done = turnback(*words, "--json")
    assert done.returncode == 0, done.stderr
    data = json.loads(done.stdout)
    assert data["free_space_db"] == pytest.approx(100.052, abs=0.001)
    assert {"diffraction_db", "knife_edge_db", "line_of_sight", "clearance_ratio", "obstacle_km"} <= data.keys()
    assert data["line_of_sight"] is True
    text = turnback(*words).stdout
    assert "100.05 dB" in text
    assert "no trees" in text
    bad = turnback(*words[:-1], "2.4")
    assert bad.returncode == 2
    assert "MHz" in bad.stderr
    assert "Traceback" not in bad.stderr


def test_a_constant_current_takes_its_charge() -> None:
    """Coulombs: 13 A for 120 s is 433 mAh, and energy is the sum of volts times current."""
    load = LoadProfile(Asked.CURRENT, 0.0, np.full(120, 13.0), np.full(120, 1.0))
    run = pack_run(read_pack(PACK), load)
    assert run.used_ah == pytest.approx(13.0 * 120.0 / 3600.0)
    assert run.energy_wh[-1] == pytest.approx((run.volts_v * 13.0).sum() / 3600.0, rel=0.002)
    assert (np.diff(run.volts_v) < 0.0).all()
    assert run.failure == ""
    assert {band.key for band in run.assumed} == {"pack.capacity_ah"}


def test_what_the_file_leaves_open_is_said() -> None:
    """A label alone: full at the start, resistance, temperature and mass of the class."""
    pack = PackFile(cells=4, capacity_mah=1500.0)
    run = pack_run(pack, LoadProfile(Asked.POWER, 0.0, np.array([200.0]), np.array([60.0])))
    assert {band.key for band in run.assumed} == {
        "pack.rest_v", "pack.resistance_ohm", "pack.capacity_ah", "pack.temperature_c", "pack.mass_kg",
    }  # fmt: skip
    assert run.power_w[-1] == pytest.approx(200.0, rel=1e-6)


def test_a_flat_pack_and_one_that_is_asked_too_much_are_told_apart() -> None:
    """Each with the row in which it failed, and nothing after it."""
    pack = read_pack(PACK)
    flat = pack_run(pack, LoadProfile(Asked.CURRENT, 0.0, np.full(5, 20.0), np.full(5, 100.0)))
    assert (flat.failure, flat.failed_s) == ("empty", 200.0)
    assert np.isnan(flat.volts_v[2:]).all()
    much = pack_run(pack, LoadProfile(Asked.POWER, 0.0, np.array([100.0, 9000.0]), np.array([10.0, 10.0])))
    assert (much.failure, much.failed_s) == ("cannot deliver", 10.0)
    assert "cannot give what is asked" in api.pack_run_text(much)


def test_pack_run_prints_and_writes_json(tmp_path: Path) -> None:
    """Volts, state of charge and temperature row by row, the caution beside them."""
    table = tmp_path / "load.csv"
    table.write_text("time_s,power_w\n0,150\n60,400\n70,150\n200,0\n")
    words = ["pack-run", "--pack", str(PACK), "--profile", str(table)]
    data = json.loads(turnback(*words, "--json").stdout)
    assert data["time_s"] == [60.0, 70.0, 200.0]
    assert data["volts_v"][1] < data["volts_v"][0]
    assert data["state_of_charge"] == sorted(data["state_of_charge"], reverse=True)
    assert data["temperature_c"] == sorted(data["temperature_c"])
    text = turnback(*words).stdout
    assert f"{data['volts_v'][1]:.2f} V" in text
    assert "LiPo packs burn" in text
    wrong = turnback("pack-run", "--pack", str(table), "--profile", str(table))
    assert wrong.returncode == 2
    assert "Traceback" not in wrong.stderr
