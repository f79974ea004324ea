"""One fault, one sentence: where, what, what to do; several faults are raised together."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from turnback.base.errors import Fault, InputError, bad_input
from turnback.base.ranges import within


def test_a_fault_is_one_sentence() -> None:
    fault = Fault("plan.toml: pack.cells", "14 is outside 1 to 12", "enter cells in series, not cells in all")
    assert fault.sentence() == (
        "plan.toml: pack.cells: 14 is outside 1 to 12; enter cells in series, not cells in all."
    )


def test_all_faults_travel_in_one_error() -> None:
    faults = (Fault("a.toml: mass_g", "missing", "weigh it"), Fault("a.toml: cells", "is 0", "enter 1 or more"))
    error = InputError(*faults)
    assert error.faults == faults
    assert str(error).splitlines() == [fault.sentence() for fault in faults]
    assert error.exit_status == 2


def test_bad_input_makes_one_fault() -> None:
    error = bad_input("x_m", "is -1", "enter a distance")
    assert error.faults == (Fault("x_m", "is -1", "enter a distance"),)


@given(st.lists(st.floats(-5.0, 5.0), min_size=1, max_size=20))
def test_values_inside_pass_unchanged(values: list[float]) -> None:
    passed = within("x_m", values, -5.0, 5.0, "m")
    assert passed.dtype == np.float64
    assert passed.tolist() == values


@pytest.mark.parametrize("bad", [-5.1, 5.1, float("nan"), float("inf"), -float("inf")])
def test_one_value_outside_is_named(bad: float) -> None:
    with pytest.raises(InputError) as caught:
        within("x_m", [[0.0, bad], [1.0, 2.0]], -5.0, 5.0, "m", "enter metres, not kilometres")
    (fault,) = caught.value.faults
    assert fault.where == "x_m"
    assert fault.what == f"{bad:g} m is outside -5 to 5 m"
    assert fault.do == "enter metres, not kilometres"


def test_a_value_without_unit_reads_without_gaps() -> None:
    with pytest.raises(InputError, match=r"^soc: 2 is outside 0 to 1 ?; enter a value inside that range\.$"):
        within("soc", 2.0, 0.0, 1.0, "")


def test_empty_input_is_inside() -> None:
    assert within("x_m", [], 0.0, 1.0, "m").shape == (0,)
