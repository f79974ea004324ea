"""A measured pouch cell: 0.5 C and 1 C fitted, 2 C predicted, held against the measurement and a straight line.

The measurements are Rieger and others, J. Electrochem. Soc. 163(8), 2016, A1566, as `pybamm` 24.1 ships them; see
``tools/oracle_data.py``, which the test runs where they are missing.
"""

import numpy as np
import pytest
from tools import oracle_data

from studies import pouch_cell_fit as study
from turnback.physics.cell import Load, Traits, march_cell

pytestmark = pytest.mark.published


@pytest.fixture(scope="module")
def told() -> study.Comparison:
    """Return the prediction beside the measurement; the fit is given the two slower records and nothing else."""
    slow, fast = study.read("0.5C"), study.read("1C")
    return study.compare(study.fit([slow, fast]), slow, fast, study.read("2C"))


def test_the_records_are_the_published_cell() -> None:
    # 2.28 Ah from 4.18 V to 3.0 V (the papers), one row a second.
    for rate in ("0.5C", "1C", "2C"):
        record = study.read(rate)
        assert record.time_s == pytest.approx(np.arange(record.time_s.size))
        assert record.volts_v[0] == pytest.approx(4.18, abs=0.005)
        assert record.volts_v[-1] == pytest.approx(3.0, abs=0.02)
        assert record.used_ah[-1] == pytest.approx(2.28, rel=0.02)


def test_effective_resistance_grows_as_the_design_says() -> None:
    # 56 mΩ near full, 83 mΩ near empty (the design, from these records): chord from 0.5 C to 1 C at equal charge.
    slow, fast = study.read("0.5C"), study.read("1C")
    used = np.linspace(0.1, 1.9, 181)
    chord = study.straight_line(slow, fast, slow.current_a, used) - study.straight_line(
        slow, fast, fast.current_a, used
    )
    chord /= fast.current_a - slow.current_a
    assert chord[:20].mean() == pytest.approx(0.056, abs=0.004)
    assert chord[-20:].mean() == pytest.approx(0.083, abs=0.004)


def test_a_straight_line_misses_2_c_by_19_mv(told: study.Comparison) -> None:
    assert told.line_rmse_v == pytest.approx(0.019, abs=0.0005)  # the design's figure


def test_we_beat_the_line_and_the_aim(told: study.Comparison) -> None:
    # Obtained: 5.6 mV. The aim is 15 mV, the line 19 mV.
    assert told.ours_rmse_v < told.line_rmse_v
    assert told.ours_rmse_v < 0.015
    assert np.abs(told.ours_v - told.measured_v).max() < 0.025


def test_predicted_warmth_is_the_measured_one(told: study.Comparison) -> None:
    # Obtained: 8.2 K for 8.8 K, with heat fitted on the slower records only.
    assert told.ours_k == pytest.approx(told.measured_k, rel=0.15)


def test_the_fit_finds_a_cell_that_is_known() -> None:
    # Two records made by our own march of a cell given here: what counts is that the study predicts a third of it.
    nodes = tuple(float(node) for node in study.OCV_NODES)
    cell = Traits(
        nodes, tuple(3.4 + 0.75 * node + 0.05 * node**2 for node in nodes), (0.0, 0.3, 1.0), (1.6, 1.1, 0.9), 0.4, 12.0,
        0.5, 150.0, 20_000.0, study.AIR_C, 1500.0, 2.0,
    )  # fmt: skip

    def made(rate: float) -> study.Record:
        current = rate * study.LABEL_AH
        time = np.arange(0.0, 2.25 * 3600.0 / current)
        march = march_cell(
            Load.CURRENT, np.full(time.size - 1, current), np.ones(time.size - 1), cell, 0.03, study.FULL_AH, 1.0,
            study.AIR_C, study.AIR_C, study.MASS_KG,
        )  # fmt: skip
        return study.Record(
            current, time, np.concatenate(([4.2], march.volts_v)), np.concatenate(([0.0], march.temperature_c - 25.0))
        )

    slow, fast = made(0.5), made(1.0)
    found = study.compare(study.fit([slow, fast]), slow, fast, made(2.0))
    assert found.ours_rmse_v < 0.003
    assert found.ours_rmse_v < 0.5 * found.line_rmse_v


def test_the_tool_refuses_another_file() -> None:
    folder = oracle_data.ensure()
    assert oracle_data.complete()
    with pytest.raises(SystemExit, match="not the file expected"):
        oracle_data.verified(next(folder.iterdir()))
