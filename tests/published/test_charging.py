"""Time on a charger: against an ODE of constant current, constant volts, integrated by scipy, and its limits."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from turnback.base.errors import InputError
from turnback.physics.charging import charge_time_s
from turnback.rules.chemistry import chemistry

pytestmark = pytest.mark.published


def by_ode(start: float, current_a: float, capacity_ah: float, ohm: float, share: float, name: str) -> float:
    """Return the same by integrating ds/dt = min(I, (V - E(s)) / R) / C until the current has fallen to its share."""
    law = chemistry(name)

    def flows_a(soc: float) -> float:
        return min(current_a, (law.full_v - float(np.interp(soc, law.ocv_soc, law.ocv_v))) / ohm)

    def ends(_: float, soc: np.ndarray) -> float:
        return flows_a(float(soc[0])) - share * current_a

    ends.terminal = True  # type: ignore[attr-defined]
    march = solve_ivp(
        lambda _, soc: [flows_a(float(soc[0])) / (capacity_ah * 3600.0)],
        (0.0, 1e6), [start], events=ends, max_step=20.0, rtol=1e-8, atol=1e-11,
    )  # fmt: skip
    return float(march.t_events[0][0])


@pytest.mark.parametrize(
    ("start", "current_a", "capacity_ah", "ohm", "share", "name"),
    [
        (0.2, 1.3, 1.3, 0.0113, 0.1, "LiPo"),
        (0.97, 1.3, 1.3, 0.0113, 0.05, "LiPo"),
        (0.35, 0.55, 0.55, 0.06, 0.1, "high-voltage LiPo"),
        (0.1, 2.0, 4.0, 0.03, 0.1, "Li-ion"),
        (0.1, 12.0, 4.0, 0.08, 0.1, "Li-ion"),  # three times its capacity an hour: constant volts most of the way
    ],
)
def test_it_takes_as_long_as_the_ode_says(
    start: float, current_a: float, capacity_ah: float, ohm: float, share: float, name: str
) -> None:
    found = float(charge_time_s(start, current_a, capacity_ah, ohm, share, chemistry(name)))
    assert found == pytest.approx(by_ode(start, current_a, capacity_ah, ohm, share, name), rel=4e-3)


def test_without_resistance_it_is_charge_over_current() -> None:
    # Textbook: at 1 C an empty cell of no resistance is full in an hour.
    law = chemistry("LiPo")
    assert float(charge_time_s(0.0, 1.5, 1.5, 1e-4, 0.1, law)) == pytest.approx(3600.0, rel=1e-3)
    assert float(charge_time_s(0.5, 3.0, 1.5, 1e-4, 0.1, law)) == pytest.approx(900.0, rel=1e-3)


def test_the_last_part_falls_by_its_time_constant() -> None:
    # Closed form: above 0.95 the curve rises by 1 V for the whole capacity; from I to I/10 it takes R C ln 10.
    law, ohm, capacity_ah = chemistry("LiPo"), 0.02, 1.5
    slope = (law.ocv_v[-1] - law.ocv_v[-2]) / (law.ocv_soc[-1] - law.ocv_soc[-2])
    soc = 1.0 - 1.5 * ohm / slope  # where 1.5 A meets the full volts
    expected = ohm * capacity_ah * 3600.0 / slope * math.log(10.0)
    assert float(charge_time_s(soc, 1.5, capacity_ah, ohm, 0.1, law)) == pytest.approx(expected, rel=1e-3)


def test_a_full_pack_needs_no_time_and_shapes_are_kept() -> None:
    law = chemistry("LiPo")
    found = charge_time_s(np.array([[0.2, 1.0]]), 1.3, np.array([[1.3], [2.6]]), 0.01, 0.1, law)
    assert found.shape == (2, 2)
    assert (found[:, 1] == 0.0).all()
    assert found[1, 0] > 1.8 * found[0, 0]


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("from_soc", 1.2),
        ("current_a", 0.0),
        ("capacity_ah", 1300.0),
        ("resistance_ohm", 6.0),
        ("end_current_fraction", 0.9),
    ],
)
def test_what_cannot_be_is_told(field: str, value: float) -> None:
    sound = {"from_soc": 0.2, "current_a": 1.0, "capacity_ah": 1.3, "resistance_ohm": 0.01, "end_current_fraction": 0.1}
    with pytest.raises(InputError) as told:
        charge_time_s(**{**sound, field: value}, traits=chemistry("LiPo"))
    assert told.value.faults[0].where == field
